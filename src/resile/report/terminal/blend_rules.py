"""Quick answers by published rules, in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.blending.mixed import RuleAnswer
from resile.records.blending.polymer import StorageLoss
from resile.records.blending.reclaimed import ReclaimedAnswer, ReclaimedLine, RecyclingDose, ShareWindow
from resile.report.numbers import fixed, full
from resile.report.paper.models.model import RIGHT, Column
from resile.report.terminal.grids import bullet_line, fact_lines, grid_of, sheet_of, small_line, title_line
from resile.report.words import title_of

if TYPE_CHECKING:
    from rich.console import Group

_CRITERIA = {
    "original": "original, high",
    "short_term_aged": "short-term aged, high",
    "intermediate": "intermediate",
    "stiffness": "beam, stiffness",
    "m_value": "beam, m-value",
}


def render_mixing_rules(entries: Sequence[dict[str, Any]]) -> Group:
    """Give every mixing rule as a sheet.

    Parameters
    ----------
    entries : sequence of dict
        Rule, title, quantities, unit, validity, source, evidence.

    Returns
    -------
    rich.console.Group
        One block a rule.
    """
    parts: list[Any] = [title_line("Mixing rules")]
    for entry in entries:
        parts += [
            "",
            title_line(str(entry["rule"])),
            bullet_line(
                f"{entry['title']}; mixes {' or '.join(entry['quantities'])} in {entry['worked_in']}"
            ),
            bullet_line(f"holds for: {entry['validity']}"),
            bullet_line(f"source: {entry['source']} [{entry['evidence']}]"),
        ]
    return sheet_of(parts)


def render_mixed(answer: RuleAnswer) -> Group:
    """Give a property by a rule as a sheet.

    Parameters
    ----------
    answer : RuleAnswer
        As worked out.

    Returns
    -------
    rich.console.Group
        Components, the blend, and what the rule rests on.
    """
    mixed = answer.mixed
    rows = [
        [f"component {place + 1}", full(share), f"{value:.4g}"]
        for place, (share, value) in enumerate(zip(answer.percent, answer.values, strict=True))
    ]
    rows.append(["blend", full(sum(answer.percent)), f"{mixed.values[0]:.4g}"])
    heading = f"{title_of(answer.quantity)} [{answer.unit}]"
    columns = [Column(""), Column("Share [%]", RIGHT), Column(heading, RIGHT)]
    return sheet_of(
        [
            title_line(f"{mixed.rule}: {answer.title}"),
            "",
            grid_of(columns, rows, strong=(len(rows) - 1,)),
            "",
            bullet_line(f"worked in {mixed.worked_in}"),
            bullet_line(f"holds for: {mixed.validity}"),
            bullet_line(f"source: {mixed.source} [{mixed.evidence}]"),
            bullet_line("A first guess: make the blend and test it."),
        ]
    )


def render_reclaimed(answer: ReclaimedAnswer) -> Group:
    """Give the answer on reclaimed binder as a sheet.

    Parameters
    ----------
    answer : ReclaimedAnswer
        As worked out.

    Returns
    -------
    rich.console.Group
        Window of shares, needed binder, every criterion, published error of the rule.
    """
    share = "" if answer.share_percent is None else f" at {full(answer.share_percent)} %"
    columns = [Column("Criterion [°C]"), Column("Reclaimed", RIGHT), Column("Wanted", RIGHT)]
    given = answer.lines[0].new_c is not None
    columns += [Column("New", RIGHT), Column("Meets at [%]", RIGHT)] if given else []
    columns += [Column("New needed", RIGHT)] if answer.share_percent is not None else []
    columns += [Column("Blend", RIGHT)] if given and answer.share_percent is not None else []
    rows = [_criterion(line, given, answer.share_percent is not None) for line in answer.lines]
    facts = tuple(_facts(answer, share))
    return sheet_of(
        [
            title_line("Reclaimed binder, linear rule of critical temperatures"),
            "",
            *fact_lines(facts),
            "",
            grid_of(columns, rows),
            "",
            bullet_line(f"The rule is not exact. Measured less predicted: {_errors(answer)}."),
            *(bullet_line(note) for note in answer.practice.notes),
            "",
            small_line(f"Errors: {answer.practice.blends_source}. Tiers: {answer.practice.tiers_source}."),
        ]
    )


def render_dose(answer: RecyclingDose) -> Group:
    """Give the dose of a recycling agent as a sheet.

    Parameters
    ----------
    answer : RecyclingDose
        As worked out.

    Returns
    -------
    rich.console.Group
        Dose, temperatures at it, largest dose.
    """
    beyond = " (beyond the tested dose: test it)"
    facts = [
        ("dose", f"{fixed(answer.dose_percent, 2)} %{beyond if answer.extrapolated else ''}"),
        ("high temperature there", f"{fixed(answer.high_c, 1)} °C"),
        ("low temperature there", f"{fixed(answer.low_c, 1)} °C"),
    ]
    if answer.largest_percent is not None:
        more = beyond if answer.largest_extrapolated else ""
        facts.append(("largest dose for the contract", f"{fixed(answer.largest_percent, 2)} %{more}"))
    return sheet_of(
        [
            title_line("Recycling agent, straight lines to the tested dose"),
            "",
            *fact_lines(tuple(facts)),
            "",
            bullet_line("A first guess from one dose: make the blend and test both ends."),
            small_line("Method: FHWA Turner-Fairbank, sheet on dosage of recycling agents (2025) [read]."),
        ]
    )


def render_warm_mix(binder: str, plant_c: tuple[float, float], gain_c: float, source: str) -> Group:
    """Give what a cooler plant gains as a sheet.

    Parameters
    ----------
    binder : str
        Grade of the new binder.
    plant_c : tuple of float
        Usual temperature of the plant, and that of the warm mix [°C].
    gain_c : float
        Improvement of the low grade towards colder [°C].
    source : str
        Where the rate was published.

    Returns
    -------
    rich.console.Group
        The gain and its source.
    """
    facts = (
        ("new binder", binder),
        ("plant", f"{fixed(plant_c[0], 0)} °C, as warm mix {fixed(plant_c[1], 0)} °C"),
        ("low grade colder by", f"{fixed(gain_c, 1)} °C"),
    )
    return sheet_of(
        [
            title_line("Warm mix, by the published rate of the grade"),
            "",
            *fact_lines(facts),
            "",
            bullet_line(
                "A first guess: the binder hardens less in a cooler plant; test the recovered binder."
            ),
            small_line(f"Source: {source}."),
        ]
    )


def render_storage(answer: StorageLoss, source: str) -> Group:
    """Give what hot storage leaves as a sheet.

    Parameters
    ----------
    answer : StorageLoss
        As worked out.
    source : str
        Where the statements come from.

    Returns
    -------
    rich.console.Group
        Retained share and what is known.
    """
    left = "not known" if answer.retained is None else f"{fixed(100.0 * answer.retained, 0)} %"
    facts = [("left of the polymer's effect", left)]
    if answer.hours_to_loss is not None:
        facts.append(("time to its loss at this temperature", f"{fixed(answer.hours_to_loss, 0)} h"))
    return sheet_of(
        [
            title_line("Hot storage"),
            "",
            *fact_lines(tuple(facts)),
            "",
            bullet_line(answer.words),
            small_line(f"Source: {source}."),
        ]
    )


def _criterion(line: ReclaimedLine, given: bool, shared: bool) -> list[Any]:
    row = [_CRITERIA.get(line.criterion, line.criterion), fixed(line.reclaimed_c, 1), fixed(line.wanted_c, 1)]
    if given:
        row += [fixed(line.new_c, 1), "–" if line.share is None else fixed(100.0 * line.share, 1)]
    row += [fixed(line.needed_c, 1)] if shared else []
    row += [fixed(line.blend_c, 1)] if given and shared else []
    return row


def _facts(answer: ReclaimedAnswer, share: str) -> list[tuple[str, str]]:
    facts = []
    if answer.window is not None:
        facts.append(("share of reclaimed binder", _window(answer.window)))
    if answer.share_percent is not None:
        facts.append((f"new binder needed{share}", _grade(answer)))
    if answer.tier is not None:
        facts.append((f"published practice{share}", answer.tier.asks))
    return facts


def _window(window: ShareWindow) -> str:
    if not window.open:
        return "no share keeps every criterion"
    return f"{fixed(100.0 * window.lowest, 0)} to {fixed(100.0 * window.highest, 0)} %"


def _grade(answer: ReclaimedAnswer) -> str:
    parts = []
    if any(line.criterion in ("original", "short_term_aged") for line in answer.lines):
        parts.append(
            "beyond the ladder, high"
            if answer.needed_high_c is None
            else f"high {fixed(answer.needed_high_c, 0)}"
        )
    if any(line.criterion in ("stiffness", "m_value") for line in answer.lines):
        parts.append(
            "beyond the ladder, low"
            if answer.needed_low_c is None
            else f"low {fixed(answer.needed_low_c, 0)}"
        )
    return ", ".join(parts) + " °C" if parts else "by the intermediate criterion alone: see the table"


def _errors(answer: ReclaimedAnswer) -> str:
    return "; ".join(
        f"at {fixed(100.0 * one.share, 0)} % high {fixed(one.high_error_c, 1, signed=True)} and "
        f"low {fixed(one.low_error_c, 1, signed=True)} °C"
        for one in answer.practice.blends
    )
