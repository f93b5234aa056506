"""What is published of a polymer, or of reclaimed binder, in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from resile.records.blending.polymer import PolymerEffect
from resile.records.blending.reclaimed import ReclaimedPractice
from resile.report.numbers import fixed
from resile.report.paper.models.model import measured
from resile.report.terminal.grids import bullet_line, fact_lines, sheet_of, small_line, title_line

if TYPE_CHECKING:
    from rich.console import Group


def render_blend_data(data: PolymerEffect | ReclaimedPractice) -> Group:
    """Give a file of published practice for blends as a sheet.

    Parameters
    ----------
    data : PolymerEffect or ReclaimedPractice
        As loaded.

    Returns
    -------
    rich.console.Group
        Numbers with their sources, and notes.
    """
    polymer = isinstance(data, PolymerEffect)
    facts, sources = _of_polymer(data) if isinstance(data, PolymerEffect) else _of_practice(data)
    return sheet_of(
        [
            title_line(f"{data.identifier}: {data.title}"),
            small_line("published polymer effect" if polymer else "practice for reclaimed binder"),
            "",
            *fact_lines((*facts, ("checked", data.checked or "no"))),
            "",
            *(bullet_line(note) for note in data.notes),
            *(small_line(f"Source: {source}.") for source in sources),
        ]
    )


def _of_polymer(data: PolymerEffect) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    prior = data.prior
    facts = [
        ("recovery at much polymer", f"{measured(prior.plateau)} ± {measured(prior.plateau_standard)} %"),
        ("half of it at", f"{measured(prior.middle_percent)} ± {measured(prior.middle_standard)} % polymer"),
        (
            "width of the rise",
            f"{measured(prior.width_percent)} ± {measured(prior.width_standard)} % polymer",
        ),
        *(
            (f"{fixed(one.hours, 0)} h at {fixed(one.temperature_c, 0)} °C", f"{one.outcome}: {one.said}")
            for one in data.storage
        ),
    ]
    return tuple(facts), (data.prior_source, data.storage_source)


def _of_practice(data: ReclaimedPractice) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    facts = [
        *((f"warm mix, {one.new_binder}", f"{measured(one.gain_per_c)} °C per °C") for one in data.warm_mix),
        *(
            (f"share {'from' if one.included else 'above'} {measured(one.from_percent)} %", one.asks)
            for one in data.tiers
        ),
    ]
    return tuple(facts), (data.warm_mix_source, data.tiers_source, data.blends_source)
