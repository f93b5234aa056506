"""What a record file says of itself, and where what was said of it contradicts that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from resile.judge.rules.file_contradictions import judge_contradictions
from resile.readers.batches.details import told_by_details
from resile.readers.signals.stated_temperature import temperature_in_lines
from resile.readers.stated_condition import conditions_in_lines
from resile.readers.stated_instrument import instrument_in_lines
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.file_statement import FileStatement
from resile.records.oscillation import OscillationRun
from resile.records.viscosity import ViscosityRun
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.reducing.reduction import Run


def details_of(run: Run) -> Mapping[str, str]:
    """Give the lines above the columns of the file of a run."""
    return run.signal.details if run.signal is not None else {}


def residue_in_file(run: Run) -> Condition:
    """Give the residue that the file names; unknown where it names none."""
    if not isinstance(run, CreepRecoveryRun):
        return run.condition
    stated = conditions_in_lines(details_of(run))
    return stated[-1] if stated else Condition.UNKNOWN


def said_by_file(run: Run) -> FileStatement:
    """Give what a file says of one of its runs.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        As it was reduced, before anything that was said of the file is put in.
    """
    details = details_of(run)
    own = told_by_details(details)
    condition = residue_in_file(run)
    stated, _ = temperature_in_lines(details)
    instrument = instrument_in_lines(details)
    return FileStatement(
        condition=Condition(own.condition or "unknown") if condition is Condition.UNKNOWN else condition,
        temperatures_c=(stated,) if stated is not None else _measured(run),
        tested=own.tested,
        instruments=(instrument,) if instrument else (),
    )


def with_contradictions(run: Run, said: FileStatement) -> Run:
    """Add to a run what contradicts between its file and what was said of it.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        As it was reduced.
    said : FileStatement
        What a person, an order, a register or the name of a folder says of the file.

    Returns
    -------
    Run
        The same run; findings that it has already are not doubled.
    """
    found = judge_contradictions(said, said_by_file(run), load_finding_rules("file_contradictions"))
    new = tuple(one for one in found if one not in run.findings)
    return replace(run, findings=(*run.findings, *new)) if new else run


def _measured(run: Run) -> tuple[float, ...]:
    if isinstance(run, ViscosityRun):
        return tuple(point.temperature_c for point in run.points)
    if isinstance(run, OscillationRun):
        return tuple(point.temperature_c for point in run.points if point.temperature_c is not None)
    return () if run.temperature_c is None else (run.temperature_c,)
