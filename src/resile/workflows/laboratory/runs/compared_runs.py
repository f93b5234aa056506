"""Stored creep-recovery runs set over each other, and the runs of a sample to choose from."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records import register
from resile.records.register import Actor, Kept, Sample
from resile.report.figures.series import MOST_SERIES
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.runs import RunRow, RunsWanted, runs_listed
from resile.storage.reading import kind_of_key
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.runs.kept_runs import CREEP_RECOVERY, sight_of_run
from resile.workflows.laboratory.runs.reduced_again import reduced_run
from resile.workflows.laboratory.runs.run_comparison import RunComparison, compare_runs

_MOST = 40


@dataclass(frozen=True, slots=True)
class KeptComparison:
    """Stored runs side by side.

    Attributes
    ----------
    comparison : RunComparison
        Picture, table and doubts.
    runs : tuple of Kept of Run
        In the order asked for.
    """

    comparison: RunComparison
    runs: tuple[Kept[register.Run], ...]


@dataclass(frozen=True, slots=True)
class Choices:
    """What can be compared.

    Attributes
    ----------
    sample : Kept of Sample or None
        Whose runs they are.
    runs : tuple of RunRow
        Its creep-recovery runs, the newest first.
    """

    sample: Kept[Sample] | None
    runs: tuple[RunRow, ...]


def compare_kept_runs(
    record: LaboratoryRecord,
    keys: list[str],
    *,
    actor: Actor,
    stress_kpa: float | None = None,
    place: int = 1,
) -> KeptComparison:
    """Set stored creep-recovery runs over each other.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    keys : list of str
        Keys of two to six runs.
    actor : Actor
        Who asks.
    stress_kpa : float, optional
        Stress to draw [kPa].
    place : int
        Evaluated cycle to magnify, counted from 1.

    Returns
    -------
    KeptComparison
        The comparison and the runs.

    Raises
    ------
    InputError, RecordNotFoundError, PermissionRefusedError
        As in `see_run` and `run_comparison.compare_runs`.
    """
    kept_runs, runs, names = [], [], []
    keys = list(dict.fromkeys(keys))
    with record.reading() as reading:
        for key in keys[: MOST_SERIES + 1]:
            kept, sample = sight_of_run(reading, key, actor)
            kept_runs.append(kept)
            runs.append(reduced_run(reading, kept.value))
            names.append(f"{key} {sample.value.number}" if sample else key)
    conditions = [kept.value.condition for kept in kept_runs]
    compared = compare_runs(runs, names, conditions=conditions, stress_kpa=stress_kpa, place=place)
    return KeptComparison(compared, tuple(kept_runs))


def runs_to_compare(record: LaboratoryRecord, of: str, *, actor: Actor) -> Choices:
    """Give the creep-recovery runs of a sample, to choose from.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    of : str
        Key of the sample, or of one of its runs.
    actor : Actor
        Who asks.

    Returns
    -------
    Choices
        Without runs where a run of no sample was named.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        if kind_of_key(of) is register.Run:
            sample = sight_of_run(reading, of, actor)[1]
        else:
            sample = reading.get(Sample, of)
            require_sight(actor, sample.value.customer)
        if sample is None:
            return Choices(None, ())
        rows = runs_listed(reading, RunsWanted(sample=sample.key, test=CREEP_RECOVERY), limit=_MOST)
    return Choices(sample, tuple(rows))
