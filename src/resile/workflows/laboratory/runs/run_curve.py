"""Master curves of stored frequency sweeps, fitted when they are asked for; nothing new is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from resile.errors import InputError, MeasurementError
from resile.records import register
from resile.records.creep_recovery import METHOD as CREEP_RECOVERY
from resile.records.determination import Condition
from resile.records.models.master_curve import CurveShape, CurveShift
from resile.records.oscillation import METHOD, OscillationRun
from resile.records.register import Actor, Kept, Sample
from resile.report.paper.models.model import Page
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.runs import RunRow, RunsWanted, runs_listed
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.runs.kept_runs import sight_of_run
from resile.workflows.laboratory.runs.reduced_again import reduced_run
from resile.workflows.laboratory.runs.run_view import CONDITION_WORDS
from resile.workflows.modelling.curve_settings import CurveSettings, curve_settings
from resile.workflows.modelling.damage import holds_amplitude_sweep
from resile.workflows.modelling.master_curve import MasterCurveReport, curves_of_runs, joins_a_curve

SHAPE_CHOICES = (
    (str(CurveShape.CA), "CA, for unmodified binders"),
    (str(CurveShape.CAM), "CAM, down to viscous flow"),
    (str(CurveShape.TWO_S_TWO_P_ONE_D), "2S2P1D, also with polymer"),
)
SHIFT_CHOICES = (
    (str(CurveShift.WLF), "WLF, three temperatures or more"),
    (str(CurveShift.FREE), "free, one number a temperature"),
    (str(CurveShift.ARRHENIUS), "Arrhenius, a narrow range"),
    (str(CurveShift.KAELBLE), "Kaelble, across the glass transition"),
)
"""Names with the words of a page."""
_MOST_RUNS = 40


@dataclass(frozen=True, slots=True)
class CurveOfRun:
    """A stored sweep and its curve, or why there is none.

    Attributes
    ----------
    kept, sample
        The run and its sample, where it has one.
    report : MasterCurveReport or None
        The curve with what follows from it.
    page : Page or None
        Its sections.
    refusal : str
        Why there are none, in one sentence.
    """

    kept: Kept[register.Run]
    sample: Kept[Sample] | None
    report: MasterCurveReport | None = None
    page: Page | None = None
    refusal: str = ""

    def to_json(self) -> dict[str, Any]:
        """Give the curve for machines, as ``resile model sweep --json``; refuse where there is none."""
        if self.report is None:
            raise MeasurementError(f"run {self.kept.key}: {self.refusal}")
        return self.report.to_json()


@dataclass(frozen=True, slots=True)
class CurvesOfSample:
    """A sample and the curves of its sweeps, one a residue.

    Attributes
    ----------
    sample : Kept of Sample
        The sample.
    curves : tuple of (str, Page or None, str)
        Residue in words; sections of its curve; else why there is none, in one sentence.
    creep, amplitude : tuple of (str, str)
        Key of each creep-recovery run and of each amplitude sweep, and what it is of, in words.
    """

    sample: Kept[Sample]
    curves: tuple[tuple[str, Page | None, str], ...]
    creep: tuple[tuple[str, str], ...] = ()
    amplitude: tuple[tuple[str, str], ...] = ()


def curve_of_run(
    record: LaboratoryRecord, key: str, *, actor: Actor, typed: Mapping[str, str], day: str
) -> CurveOfRun:
    """Fit a master curve to a stored frequency sweep.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    key : str
        Key of the run.
    actor : Actor
        Who asks.
    typed : mapping of str to str
        ``shape``, ``shift`` and ``reference`` as typed; empty for the usual ones.
    day : str
        Today, YYYY-MM-DD.

    Returns
    -------
    CurveOfRun
        With sections for a page, or the sentence why there are none.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        There is no such run, or it is not theirs to see.
    InputError
        The run is of another test.
    """
    with record.reading() as reading:
        kept, sample = sight_of_run(reading, key, actor)
        run = reduced_run(reading, kept.value)
    if not isinstance(run, OscillationRun):
        raise InputError(f"run {key}: no oscillation test; a master curve is made of frequency sweeps")
    report, refusal = _report_of((run,), typed)
    return CurveOfRun(kept, sample, report, report.page(date=day) if report else None, refusal)


def curves_of_sample(
    record: LaboratoryRecord, key: str, *, actor: Actor, typed: Mapping[str, str], day: str
) -> CurvesOfSample:
    """Fit a master curve to all frequency sweeps of a sample, those of one residue joined.

    Parameters
    ----------
    record, actor, typed, day
        As in `curve_of_run`.
    key : str
        Key of the sample.

    Returns
    -------
    CurvesOfSample
        In the order of the residues.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        There is no such sample, or it is not theirs to see.
    """
    require(actor, "runs.see")
    by_residue: dict[str, list[OscillationRun]] = {}
    amplitude: list[tuple[str, str]] = []
    with record.reading() as reading:
        sample = reading.get(Sample, key)
        require_sight(actor, sample.value.customer)
        for row in reversed(runs_listed(reading, RunsWanted(sample=key, test=METHOD), limit=_MOST_RUNS)):
            run = reduced_run(reading, reading.get(register.Run, row.key).value)
            if isinstance(run, OscillationRun) and joins_a_curve(run):
                by_residue.setdefault(row.condition, []).append(run)
            elif isinstance(run, OscillationRun) and holds_amplitude_sweep(run.points):
                amplitude.append((row.key, _told(row)))
        creep = runs_listed(reading, RunsWanted(sample=key, test=CREEP_RECOVERY), limit=_MOST_RUNS)
    curves = []
    for residue, runs in by_residue.items():
        report, refusal = _report_of(tuple(runs), typed)
        page = report.page(date=day) if report else None
        curves.append((CONDITION_WORDS[Condition(residue)], page, refusal))
    pushed = tuple((row.key, _told(row)) for row in reversed(creep))
    return CurvesOfSample(sample, tuple(curves), pushed, tuple(amplitude))


def _told(row: RunRow) -> str:
    parts = (row.file_name, row.part, CONDITION_WORDS[Condition(row.condition)])
    return ", ".join(part for part in parts if part)


def _report_of(
    runs: tuple[OscillationRun, ...], typed: Mapping[str, str]
) -> tuple[MasterCurveReport | None, str]:
    try:
        report = curves_of_runs(runs, settings=_settings(typed), join=True)
    except (InputError, MeasurementError) as error:
        return None, str(error)
    if report.refused:
        return None, str(report.refused[0].error)
    return report, ""


def _settings(typed: Mapping[str, str]) -> CurveSettings:
    reference = typed.get("reference", "").replace(",", ".")
    try:
        reference_c = float(reference) if reference else None
    except ValueError:
        raise InputError(
            f"reference temperature: '{reference}' is no number; degrees Celsius are needed"
        ) from None
    return curve_settings(
        shape=typed.get("shape") or CurveShape.CA,
        shift=typed.get("shift") or CurveShift.WLF,
        reference_c=reference_c,
    )
