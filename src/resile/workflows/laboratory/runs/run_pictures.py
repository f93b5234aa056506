"""The pictures of a run by name: what its test is drawn as, on the screen and as a still."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from resile.errors import RecordNotFoundError
from resile.judge.results.precision import precision_at
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.oscillation import OscillationRun
from resile.report.figures import figure_cycle
from resile.report.figures.any_run import figure_any_run
from resile.report.figures.oscillation import figure_strain_sweep
from resile.report.figures.runs.cycle_strip import figure_cycle_strip
from resile.report.figures.runs.whole_run import figure_whole_run
from resile.report.paper.models.model import Picture
from resile.report.paper.runs.runs import magnified_cycle
from resile.report.render import render_svg
from resile.specifications.load import load_all_precision
from resile.workflows.modelling.damage import amplitude_points
from resile.workflows.reducing.reduction import Run

_HALF_BAND = 2.0


@dataclass(frozen=True, slots=True)
class Chosen:
    """What of a run a person wants to see.

    Attributes
    ----------
    stress_kpa : float or None
        Stress of the magnified cycle [kPa]; the highest when None.
    cycle : int or None
        Number of the magnified cycle at that stress; the middle evaluated one when None.
    window_s : tuple of float or None
        First and last running time drawn [s]; the whole run when None.
    """

    stress_kpa: float | None = None
    cycle: int | None = None
    window_s: tuple[float, float] | None = None


def picture_names(run: Run) -> tuple[str, ...]:
    """Give the names of the pictures a run has, in the order in which they are looked at."""
    if not isinstance(run, CreepRecoveryRun):
        return ("run",)
    return ("run", "cycle", "cycles") if any(level.cycles for level in run.levels) else ()


def chosen_cycle(run: CreepRecoveryRun, chosen: Chosen) -> tuple[float, int]:
    """Settle which cycle is magnified.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run with cycles.
    chosen : Chosen
        Where only a number is given, the cycle of that number at the highest stress that has one.

    Returns
    -------
    tuple of (float, int)
        Stress [kPa] and number; figures refuse one that the run does not have.

    Raises
    ------
    RecordNotFoundError
        The run was typed from a summary.
    """
    middle = magnified_cycle(run)
    if middle is None:
        raise RecordNotFoundError("This result was typed from a summary: there is no cycle to magnify.")
    if chosen.cycle is None:
        if chosen.stress_kpa is None:
            return middle
        level = run.level(chosen.stress_kpa)
        cycles = level.cycles if level else ()
        return chosen.stress_kpa, cycles[(len(cycles) - 1) // 2].number if cycles else 0
    if chosen.stress_kpa is not None:
        return chosen.stress_kpa, chosen.cycle
    for level in reversed(run.levels):
        numbers = [cycle.number for cycle in level.cycles]
        if level is run.levels[0]:
            numbers += [cycle.number for cycle in run.conditioning]
        if chosen.cycle in numbers:
            return level.stress_kpa, chosen.cycle
    return middle[0], chosen.cycle


def run_picture(
    run: Run, name: str, *, chosen: Chosen, condition: Condition = Condition.SHORT_TERM_AGED
) -> Picture:
    """Draw one picture of a run.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run, its signal kept.
    name : str
        One of `picture_names`.
    chosen : Chosen
        Cycle and part of the run.
    condition : Condition
        Residue tested: the published spread may depend on it.

    Returns
    -------
    Picture
        Chart specification and caption.

    Raises
    ------
    RecordNotFoundError
        The run has no such picture or no such cycle.
    """
    if name not in picture_names(run):
        had = ", ".join(picture_names(run)) or "none"
        raise RecordNotFoundError(f"This run has no picture '{name}'; it has: {had}.")
    if not isinstance(run, CreepRecoveryRun):
        swept = amplitude_points(run.points) if isinstance(run, OscillationRun) else ()
        return Picture(name, figure_strain_sweep(swept) if swept else figure_any_run(run), "")
    draw: dict[str, Callable[[], Picture]] = {
        "run": lambda: _whole(run, chosen),
        "cycle": lambda: _cycle(run, chosen),
        "cycles": lambda: _cycles(run, condition),
    }
    return draw[name]()


def still_of(spec: dict[str, Any]) -> str:
    """Give a chart as SVG, for a page without script and for paper."""
    return render_svg(spec)


def _whole(run: CreepRecoveryRun, chosen: Chosen) -> Picture:
    caption = (
        "Strain and stress over time, each stress on its own axis. Conditioning cycles are dashed. Below, "
        "every cycle of the run."
    )
    return Picture("run", figure_whole_run(run, window_s=chosen.window_s), caption)


def _cycle(run: CreepRecoveryRun, chosen: Chosen) -> Picture:
    stress, number = chosen_cycle(run, chosen)
    caption = (
        f"Cycle {number} at {stress:g} kPa. Hatched: strain that springs back. Plain: strain that stays "
        "behind. R is the hatched share at the end; Jnr is the plain part there, over the stress."
    )
    return Picture("cycle", figure_cycle(run, stress, number), caption)


def _cycles(run: CreepRecoveryRun, condition: Condition) -> Picture:
    spreads, sources = published_spreads(run, condition)
    band = (
        "The band is the mean ± 2 standard deviations of single results of one operator "
        f"({'; '.join(sources)}): cycles of one specimen should keep well inside it."
        if sources
        else "No published precision covers these values, so no band is drawn."
    )
    caption = (
        f"Jnr and recovery of each cycle; hollow: conditioning. A level line is a steady specimen. {band}"
    )
    return Picture("cycles", figure_cycle_strip(run, spreads), caption)


def published_spreads(
    run: CreepRecoveryRun, condition: Condition
) -> tuple[dict[str, float | None], tuple[str, ...]]:
    """Give the half width of the band about each mean, and where it comes from.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.
    condition : Condition
        Residue tested.

    Returns
    -------
    tuple of (dict, tuple of str)
        Two published single-operator standard deviations by quantity, and the documents.
    """
    statements = load_all_precision()
    spreads: dict[str, float | None] = {}
    sources: dict[str, None] = {}
    for level in run.levels:
        for field in ("jnr", "percent_recovery"):
            value = getattr(level, field)
            if value is None:
                continue
            name = f"{field}_{level.stress_kpa:g}"
            found = precision_at(value, name, condition, statements)
            spreads[name] = None if found.repeatability is None else _HALF_BAND * found.repeatability
            if found.repeatability is not None:
                sources[found.note.partition(":")[0]] = None
    return spreads, tuple(sources)
