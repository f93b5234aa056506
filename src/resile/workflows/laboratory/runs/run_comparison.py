"""Several creep-recovery runs set over each other, with their spread against the published repeatability."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from resile.errors import InputError
from resile.judge.across.pairs import SAME_TEMPERATURE_C
from resile.judge.results.repeated_runs import judge_repeats
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.repeats import Repeats
from resile.report.figures.runs.overlaid import figure_overlaid
from resile.report.figures.series import MOST_SERIES
from resile.report.paper.models.model import Table
from resile.report.paper.runs.repeated_runs import repeats_table
from resile.specifications.load import load_all_precision
from resile.workflows.reducing.reduction import Run


@dataclass(frozen=True, slots=True)
class RunComparison:
    """Runs side by side.

    Attributes
    ----------
    names : tuple of str
        One a run.
    stresses_kpa : tuple of float
        Stresses that any of them has [kPa].
    stress_kpa : float
        The one drawn [kPa].
    place : int
        Evaluated cycle that is magnified, counted from 1.
    most_cycles : int
        Evaluated cycles at that stress, at most.
    repeats : tuple of Repeats
        Jnr and recovery at every stress.
    table : Table
        The same as a table.
    spec : dict
        Chart specification.
    doubts : tuple of str
        Sentences: what makes the comparison doubtful.
    """

    names: tuple[str, ...]
    stresses_kpa: tuple[float, ...]
    stress_kpa: float
    place: int
    most_cycles: int
    repeats: tuple[Repeats, ...]
    table: Table
    spec: dict[str, Any]
    doubts: tuple[str, ...] = ()


def compare_runs(
    runs: Sequence[Run],
    names: Sequence[str],
    *,
    conditions: Sequence[Condition] = (),
    stress_kpa: float | None = None,
    place: int = 1,
) -> RunComparison:
    """Set creep-recovery runs over each other.

    Parameters
    ----------
    runs : sequence of CreepRecoveryRun
        Two to six reduced runs; their signals kept.
    names : sequence of str
        What tells them apart, one a run.
    conditions : sequence of Condition
        Residue of each run, where it is known.
    stress_kpa : float, optional
        Stress to draw [kPa]; the highest when left out.
    place : int
        Evaluated cycle to magnify, counted from 1.

    Returns
    -------
    RunComparison
        Picture, table and what makes the comparison doubtful.

    Raises
    ------
    InputError
        Fewer than two, more than six, or not all of creep recovery.
    """
    creep = [run for run in runs if isinstance(run, CreepRecoveryRun)]
    if not 2 <= len(runs) <= MOST_SERIES:
        raise InputError(f"{len(runs)} runs were chosen; two to {MOST_SERIES} can be compared")
    if len(creep) < len(runs):
        raise InputError("only creep-recovery runs can be laid over each other; leave the others out")
    stresses = tuple(sorted({level.stress_kpa for run in creep for level in run.levels if level.cycles}))
    if not stresses:
        raise InputError("none of these runs has cycles: they were typed from summaries")
    stress = stress_kpa if stress_kpa in stresses else stresses[-1]
    most = max(len(level.cycles) for run in creep if (level := run.level(stress)) is not None)
    repeats = _repeats(creep, conditions, stresses)
    chosen = min(max(place, 1), most)
    return RunComparison(
        tuple(names),
        stresses,
        stress,
        chosen,
        most,
        repeats,
        repeats_table(repeats, names),
        figure_overlaid(creep, names, stress_kpa=stress, place=chosen),
        _doubts(creep, conditions),
    )


def _repeats(
    runs: Sequence[CreepRecoveryRun], conditions: Sequence[Condition], stresses: Sequence[float]
) -> tuple[Repeats, ...]:
    statements = load_all_precision()
    condition = conditions[0] if conditions else Condition.SHORT_TERM_AGED
    found = []
    for stress in stresses:
        for field in ("jnr", "percent_recovery"):
            values = [getattr(level, field) if (level := run.level(stress)) else None for run in runs]
            found.append(judge_repeats(values, f"{field}_{stress:g}", condition, statements))
    return tuple(found)


def _doubts(runs: Sequence[CreepRecoveryRun], conditions: Sequence[Condition]) -> tuple[str, ...]:
    doubts = []
    temperatures = [run.temperature_c for run in runs if run.temperature_c is not None]
    if temperatures and max(temperatures) - min(temperatures) > SAME_TEMPERATURE_C:
        doubts.append(
            f"The runs were made at {min(temperatures):.1f} to {max(temperatures):.1f} °C: their values "
            "cannot be compared, and the repeatability limit does not hold for them."
        )
    if len(set(conditions)) > 1:
        doubts.append("The runs are of different residues: the repeatability limit does not hold for them.")
    if len({run.source.sha256 for run in runs if run.source}) < len([r for r in runs if r.source]):
        doubts.append("Two of these runs come from the same file.")
    return tuple(doubts)
