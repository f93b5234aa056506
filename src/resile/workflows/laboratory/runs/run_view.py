"""All that a page says of one run: what it is, what is doubted, how it was read, what it hangs on."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Finding
from resile.records.oscillation import OscillationRun
from resile.records.reading import SourceFile
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun
from resile.report.figures.creep_recovery_run import cycle_length, levels_in_order
from resile.report.numbers import shown_temperature
from resile.report.paper.models.model import Table
from resile.report.paper.runs.machine_tables import (
    beam_table,
    points_table,
    report_times_table,
    viscosity_table,
    working_table,
)
from resile.report.paper.runs.reading import account_facts, column_table, refused_table
from resile.report.paper.runs.runs import cycle_table
from resile.report.paper.statements.results import comparison_facts, run_results_table
from resile.report.words import CONDITION_WORDS, METHOD_TITLES, heaviest_first
from resile.workflows.laboratory.runs.run_pictures import Chosen, chosen_cycle, picture_names
from resile.workflows.modelling.damage import holds_amplitude_sweep
from resile.workflows.modelling.frequency_sweeps import holds_frequency_sweeps
from resile.workflows.reducing.reduction import Run
from resile.workflows.reducing.run_groups import group_runs

__all__ = ["CONDITION_WORDS", "CycleChoice", "RunView", "Table", "cycles_as_csv", "run_view"]


@dataclass(frozen=True, slots=True)
class CycleChoice:
    """One cycle that can be magnified.

    Attributes
    ----------
    stress_kpa : float
        Nominal stress [kPa].
    number : int
        Number at that stress, conditioning cycles included.
    use : str
        ``conditioning`` or ``evaluated``.
    start_s, end_s : float
        Where it lies in running time [s].
    percent_recovery, jnr : float
        As reduced, at full precision [%], [1/kPa].
    """

    stress_kpa: float
    number: int
    use: str
    start_s: float
    end_s: float
    percent_recovery: float
    jnr: float


@dataclass(frozen=True, slots=True)
class RunView:
    """What a page shows of one run, in the order in which it is looked at.

    Attributes
    ----------
    test : str
        Kind of test in words.
    findings : tuple of Finding
        The heaviest first.
    source : SourceFile or None
        The file it hangs on; None for a typed result.
    facts : tuple of (str, str)
        What compares the stresses, and the temperature, as label and value.
    pictures : tuple of str
        Names of its pictures.
    tables : tuple of Table
        Results and values.
    reading : tuple of (str, str)
        How the file was read, as label and value.
    reading_tables : tuple of Table
        Columns as understood; rows that were not used.
    remarks : tuple of str
        Sentences of the reader.
    cycles : tuple of CycleChoice
        Of creep recovery; empty for other tests.
    chosen : tuple of (float, int) or None
        Stress [kPa] and number of the magnified cycle.
    amplitude_sweep : bool
        Whether the strain grows along the run, so that damage can be told from it.
    frequency_sweeps : bool
        Whether a master curve can be made of it.
    """

    test: str
    findings: tuple[Finding, ...]
    source: SourceFile | None
    facts: tuple[tuple[str, str], ...]
    pictures: tuple[str, ...]
    tables: tuple[Table, ...]
    reading: tuple[tuple[str, str], ...]
    reading_tables: tuple[Table, ...]
    remarks: tuple[str, ...]
    cycles: tuple[CycleChoice, ...] = ()
    chosen: tuple[float, int] | None = None
    amplitude_sweep: bool = False
    frequency_sweeps: bool = False


def run_view(run: Run, *, chosen: Chosen | None = None) -> RunView:
    """Gather what a page says of a run.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.
    chosen : Chosen, optional
        Which cycle is magnified.

    Returns
    -------
    RunView
        Texts and tables; the pictures are drawn one by one by `run_pictures.run_picture`.
    """
    account = run.account
    refused = None if account is None else refused_table(account.rows_refused, account.rows_refused_count)
    columns = (column_table(account),) if account is not None and account.columns else ()
    pictures = picture_names(run)
    magnified = (
        chosen_cycle(run, chosen or Chosen())
        if isinstance(run, CreepRecoveryRun) and "cycle" in pictures
        else None
    )
    return RunView(
        test=METHOD_TITLES[run.method],
        findings=heaviest_first(run.findings),
        source=run.source,
        facts=_facts(run),
        pictures=pictures,
        tables=_tables(run),
        reading=() if account is None else account_facts(run.source, account),
        reading_tables=(*columns, *((refused,) if refused is not None else ())),
        remarks=() if account is None else account.remarks,
        cycles=_cycles(run),
        chosen=magnified,
        amplitude_sweep=isinstance(run, OscillationRun) and holds_amplitude_sweep(run.points),
        frequency_sweeps=isinstance(run, OscillationRun) and holds_frequency_sweeps(run.points),
    )


def _facts(run: Run) -> tuple[tuple[str, str], ...]:
    temperature = getattr(run, "temperature_c", None)
    told = () if temperature is None else (("Temperature", shown_temperature(temperature)),)
    return (*told, *(comparison_facts(run) if isinstance(run, CreepRecoveryRun) else ()))


def _tables(run: Run) -> tuple[Table, ...]:
    if isinstance(run, CreepRecoveryRun):
        cycles = cycle_table(run)
        return (run_results_table(run), *((cycles,) if cycles is not None else ()))
    if isinstance(run, ViscosityRun):
        working = working_table(run.working_temperatures)
        return (viscosity_table(run), *((working,) if working is not None else ()))
    (group,) = group_runs([run])
    return _group_tables(group)


def _group_tables(group: RunGroup) -> tuple[Table, ...]:
    if group.method == "bending_beam":
        return (beam_table(group), report_times_table(group.runs, group.names))  # type: ignore[arg-type]
    return (points_table(group.runs, group.names),)  # type: ignore[arg-type]


def cycles_as_csv(view: RunView) -> str:
    """Give every cycle at full precision as CSV, in the words of the glossary."""
    lines = ["stress_kpa,cycle,use,start_s,percent_recovery,jnr"]
    lines += [
        f"{one.stress_kpa!r},{one.number},{one.use},{one.start_s!r},{one.percent_recovery!r},{one.jnr!r}"
        for one in view.cycles
    ]
    return "\n".join(lines) + "\n"


def _cycles(run: Run) -> tuple[CycleChoice, ...]:
    if not isinstance(run, CreepRecoveryRun):
        return ()
    length = cycle_length(run) if levels_in_order(run) else 0.0
    return tuple(
        CycleChoice(
            stress,
            cycle.number,
            "conditioning" if cycle in run.conditioning else "evaluated",
            float(cycle.start_s),
            float(cycle.start_s) + length,
            float(cycle.percent_recovery),
            float(cycle.jnr),
        )
        for stress, cycles in levels_in_order(run)
        for cycle in cycles
    )
