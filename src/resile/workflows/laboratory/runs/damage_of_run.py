"""The amplitude sweep of a kept run, analysed on demand from its stored file."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import InputError
from resile.records.models.amplitude_sweep import AmplitudeSweep
from resile.records.reading import HeldFile
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.runs.kept_runs import sight_of_run
from resile.workflows.laboratory.runs.reduced_again import layout_of_run
from resile.workflows.modelling.damage import DamageReport, analyse_damage

_TEST = "oscillation"


def damage_of_run(
    record: LaboratoryRecord,
    key: str,
    *,
    actor: Actor,
    convention: str = "inverse-slope",
    slope: float | None = None,
    at_strain_percent: tuple[float, ...] = (),
) -> DamageReport:
    """Analyse the amplitude sweep of a kept run.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    key : str
        Key of the run.
    actor : Actor
        Who asks.
    convention, slope, at_strain_percent
        As in `resile.workflows.modelling.damage.analyse_damage`; 2.5 and 5 % where no strain is asked for.

    Returns
    -------
    DamageReport
        The sweep of this run, or every one of its file where a name does not tell it apart.

    Raises
    ------
    InputError
        The run is another test, or an option is out of range.
    MeasurementError
        The file holds no amplitude sweep.
    PermissionRefusedError, RecordNotFoundError
        Who may not; no such run.
    """
    with record.reading() as reading:
        kept, sample = sight_of_run(reading, key, actor)
        run = kept.value
        if run.test != _TEST:
            raise InputError(
                f"run {key} is a test of {run.test.replace('_', ' ')}; an amplitude sweep is an "
                "oscillation test"
            )
        file, layout = HeldFile(run.file_name, reading.file(run.file)), layout_of_run(reading, run)
    with from_outside():
        report = analyse_damage(
            file,
            layout=layout,
            convention=convention,
            slope=slope,
            at_strain_percent=at_strain_percent or None,
        )
    own = tuple(sweep for sweep in report.sweeps if sweep.label == run.part)
    number = sample.value.number if sample is not None else ""
    return replace(report, sweeps=tuple(_named(sweep, number) for sweep in own or report.sweeps))


def _named(sweep: AmplitudeSweep, number: str) -> AmplitudeSweep:
    return replace(sweep, sample=number) if number and not sweep.sample else sweep
