"""From record files to reduced runs with findings.

`reduce_record` reduces one file; `reduce_records` walks through many, one at a time, so that memory does not
grow with their number, and keeps going past the ones that cannot be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
from resile.errors import MeasurementError, ResileError, answer_for
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.readers.raw_record import CREEP_RECOVERY, read_raw_record
from resile.records.bending_beam import BeamRun
from resile.records.creep_recovery import CreepRecoveryProgramme, CreepRecoveryRun
from resile.records.finding import FindingRule, Measure
from resile.records.oscillation import OscillationRun
from resile.records.reading import HeldFile
from resile.records.signal import Signal
from resile.records.viscosity import ViscosityRun
from resile.specifications.creep_recovery import load_finding_rules, load_programme

Run = CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun


@dataclass(frozen=True, slots=True)
class Reduction:
    """What one file gave; shows itself in a notebook.

    Attributes
    ----------
    path : str
        The file as it was named.
    runs : tuple of CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        One a specimen, each with its `method`; empty where the file was refused.
    error : ResileError or None
        Why nothing could be reduced.
    """

    path: str
    runs: tuple[Run, ...] = ()
    error: ResileError | None = None

    def to_json(self) -> list[dict[str, Any]]:
        """Give the runs as the fixed interface of ``resile reduce --json`` names them."""
        return [run_json(run) for run in self.runs]

    @property
    def creep_recovery_runs(self) -> tuple[CreepRecoveryRun, ...]:
        """The runs of creep recovery alone: the ones that can be drawn and set on a page."""
        return tuple(run for run in self.runs if isinstance(run, CreepRecoveryRun))

    def to_terminal(self, *, cycles: bool = False) -> Any:
        """Give a readable sheet for a terminal, findings first."""
        from rich.console import Group

        return Group(*(run_sheet(run, cycles=cycles) for run in self.runs))

    def figure(self, number: int = 0) -> dict[str, Any]:
        """Give the chart specification of one run, counted from 0: what its test is drawn as."""
        from resile.report.figures.any_run import figure_any_run

        return figure_any_run(self.runs[number])

    def _repr_html_(self) -> str:
        from resile.report.notebook import runs_html
        from resile.workflows.reducing.run_groups import group_runs

        others = [run for run in self.runs if not isinstance(run, CreepRecoveryRun)]
        return runs_html(self.creep_recovery_runs, group_runs(others))


def run_json(run: Run) -> dict[str, Any]:
    """Give a run of any method as ``resile reduce --json`` names it.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.

    Returns
    -------
    dict
        Full precision, None where unknown.
    """
    if isinstance(run, CreepRecoveryRun):
        from resile.report.machine.records import run_to_json

        return run_to_json(run)
    from resile.report.machine.tests import machine_run_to_json

    return machine_run_to_json(run)


def refusal_json(path: str, error: ResileError) -> dict[str, Any]:
    """Give a file that could not be reduced as ``resile reduce --json`` names it.

    Parameters
    ----------
    path : str
        The file.
    error : ResileError
        Why.

    Returns
    -------
    dict
    """
    return {"path": path, "message": str(error), "exit_code": answer_for(error).exit_code}


def reductions_json(reductions: Iterable[Reduction]) -> dict[str, Any]:
    """Give all that ``resile reduce --json`` prints.

    Parameters
    ----------
    reductions : iterable of Reduction
        Of one task.

    Returns
    -------
    dict
        ``runs``, ``replicate_beams`` and ``errors``.
    """
    from resile.workflows.reducing.run_groups import replicates_json

    kept = list(reductions)
    return {
        "runs": [run for reduction in kept for run in reduction.to_json()],
        "replicate_beams": replicates_json(
            run for one in kept for run in one.runs if isinstance(run, BeamRun)
        ),
        "errors": [refusal_json(one.path, one.error) for one in kept if one.error is not None],
    }


def run_sheet(run: Run, *, cycles: bool = False) -> Any:
    """Give a readable sheet of a run of any method.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.
    cycles : bool
        Add the table of every cycle of a creep-recovery run.

    Returns
    -------
    rich.console.Group
        Findings first.
    """
    if isinstance(run, CreepRecoveryRun):
        from resile.report.terminal import render_run

        return render_run(run, cycles=cycles)
    from resile.report.terminal.tests import render_machine_run

    return render_machine_run(run)


def named_findings(run: Run, name: str) -> Run:
    """Name a run in its findings: on a page they stand beside those of other runs.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.
    name : str
        What tells it from the others; empty to leave it as it is.

    Returns
    -------
    CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        The same run.
    """
    if not name:
        return run
    named = tuple(replace(finding, message=f"{name}: {finding.message}") for finding in run.findings)
    return replace(run, findings=named)


def reduce_record(
    path: str | Path | HeldFile,
    *,
    layout: Layout | None = None,
    keep_signal: bool = True,
    temperature_c: float | None = None,
) -> Reduction:
    """Reduce one record file.

    Parameters
    ----------
    path : str, Path or HeldFile
        Text or workbook file of a raw test: creep recovery, oscillation, bending beam or rotational
        viscosity; which one is told from its columns.
    layout : Layout, optional
        How the file is to be understood, where that is not left to the reader.
    keep_signal : bool
        Keep the columns with each run, so that it can be drawn.
    temperature_c : float, optional
        Test temperature where the record has none [°C].

    Returns
    -------
    Reduction
        The runs, with findings.

    Raises
    ------
    ResileError
        Where the file cannot be read or holds no test that is known.
    """
    programme, rules = load_programme(), load_finding_rules()
    runs: list[Run] = []
    for signal in read_raw_record(_file(path), layout=layout if layout is not None else Layout()):
        if signal.method == CREEP_RECOVERY:
            runs += _creep_recovery_runs(signal, programme, rules, keep_signal, temperature_c)
        else:
            from resile.workflows.reducing.machine_tests import reduce_signal

            runs.append(reduce_signal(signal, keep_signal=keep_signal, temperature_c=temperature_c))
    return Reduction(path=str(path), runs=tuple(runs))


def _file(path: str | Path | HeldFile) -> Path | HeldFile:
    return path if isinstance(path, HeldFile) else Path(path)


def _creep_recovery_runs(
    signal: Signal,
    programme: CreepRecoveryProgramme,
    rules: tuple[FindingRule, ...],
    keep_signal: bool,
    temperature_c: float | None,
) -> list[CreepRecoveryRun]:
    columns = signal.columns
    try:
        reduced = reduce_creep_recovery(
            columns["time_s"],
            columns["stress_kpa"],
            columns["strain"],
            temperature_c=columns.get("temperature_c", temperature_c),
            programme=programme,
        )
    except MeasurementError as error:
        place = f"{signal.source.path}, {signal.label}" if signal.label else signal.source.path
        raise MeasurementError(f"{place}: {error}") from error
    return [
        replace(
            run,
            source=signal.source,
            account=signal.account,
            label=_label(signal, number, len(reduced)),
            signal=signal if keep_signal else None,
            findings=judge_measures((*run.measures, *_numbering(signal, run)), rules),
        )
        for number, run in enumerate(reduced, start=1)
    ]


def reduce_records(
    paths: Iterable[str | Path | HeldFile],
    *,
    layout: Layout | None = None,
    keep_signal: bool = False,
    temperature_c: float | None = None,
    jobs: int = 1,
) -> Iterator[Reduction]:
    """Reduce files one after another; a file that is refused gives a `Reduction` with its error.

    The runs of one binder in one file are compared; what is odd is told with the first of them.

    Parameters
    ----------
    paths : iterable of str, Path or HeldFile
        Record files.
    layout, keep_signal, temperature_c
        As in `reduce_record`.
    jobs : int
        Processes to share the files among; 1 stays in this one.

    Yields
    ------
    Reduction
        In the order of `paths`.
    """
    one = partial(_reduce_or_refuse, layout=layout, keep_signal=keep_signal, temperature_c=temperature_c)
    if jobs == 1:
        yield from map(one, paths)
        return
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(one, paths, chunksize=16)


def _reduce_or_refuse(
    path: str | Path | HeldFile, *, layout: Layout | None, keep_signal: bool, temperature_c: float | None
) -> Reduction:
    from resile.workflows.reducing.across_runs import with_findings_across

    try:
        alone = reduce_record(path, layout=layout, keep_signal=keep_signal, temperature_c=temperature_c)
        return replace(alone, runs=with_findings_across(alone.runs))
    except ResileError as error:
        return Reduction(path=str(path), error=error)


def _label(signal: Signal, number: int, count: int) -> str:
    if count == 1:
        return signal.label
    return f"{signal.label}, run {number}" if signal.label else f"run {number}"


def _numbering(signal: Signal, run: CreepRecoveryRun) -> tuple[Measure, ...]:
    """Compare the file's own cycle numbers with the cycles found in the signal."""
    numbers = signal.columns.get("cycle_number")
    if numbers is None:
        return ()
    found = len(run.conditioning) + sum(len(level.cycles) for level in run.levels)
    written = len(set(numbers.tolist()))
    return (
        Measure("cycle_numbers_written", float(written)),
        Measure("cycles_off_numbering", abs(written - found)),
    )
