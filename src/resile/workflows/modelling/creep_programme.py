"""What a fitted creep model answers to a programme of stress and temperature."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from resile.errors import InputError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.readers.step_programme import read_step_programme
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Measure
from resile.records.models.creep_model import CreepModelFit
from resile.records.models.step_programme import ProgrammeAnswer, ProgrammeShift, StepProgramme
from resile.specifications.creep_recovery import load_finding_rules
from resile.version import __version__
from resile.workflows.modelling.creep_model import CHOSEN, fit_creep_run
from resile.workflows.modelling.pages import write_model_pages
from resile.workflows.modelling.programme_shift import StatedShift, shift_of_programme
from resile.workflows.reducing.reduction import reduce_record

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

RULES = "creep_programme"
_POINTS = 40  # a step, for pictures and tables; close together where the stress has just changed
_MOST_POINTS = 4000


@dataclass(frozen=True, slots=True)
class ProgrammeReport:
    """The answer to a programme; shows itself as sheet, page, table and JSON.

    Attributes
    ----------
    answer : ProgrammeAnswer
        The answer.
    path : str
        The record as it was named.
    """

    answer: ProgrammeAnswer
    path: str

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        from resile.report.machine.models.creep_programme import programme_to_json

        return programme_to_json(self.answer)

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.models.creep_programme import render_programme

        return render_programme(self.answer)

    def page(self, *, date: str) -> Page:
        """Give the page, dated YYYY-MM-DD, as texts and pictures ready to be set."""
        from resile.report.paper.models.creep_programme import programme_page

        return programme_page(self.answer, date=date, package_version=__version__)

    def to_csv(self) -> str:
        """Give the strain over time as separated text."""
        response = self.answer.response
        text = io.StringIO()
        table = csv.writer(text, lineterminator="\n")
        columns = {
            "strain (%)": response.strain,
            "flow strain (%)": response.flow_strain,
            "strain, lower (%)": response.strain_lower,
            "strain, upper (%)": response.strain_upper,
            "flow strain, lower (%)": response.flow_strain_lower,
            "flow strain, upper (%)": response.flow_strain_upper,
        }
        table.writerow(("time (s)", *columns))
        for time, *strains in zip(response.time_s, *columns.values(), strict=True):
            table.writerow((f"{time:.6g}", *(f"{100.0 * one:.8g}" for one in strains)))
        return text.getvalue()

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the page (.html, .pdf), its picture (.svg) or the table (.csv); give the files written."""
        from resile.report.figures.models.creep_programme import figure_programme
        from resile.workflows.orders.pages import write_file

        source = self.answer.programme.source
        read = [self.path, *([source.path] if source else [])]
        tables = [Path(one) for one in targets if Path(one).suffix.lower() == ".csv"]
        for path in tables:
            if any(path.resolve() == Path(one).resolve() for one in read):
                raise InputError(f"{path}: the answer rests on this file; choose another name")
        pages = [one for one in targets if Path(one) not in tables]
        figures = {"programme": figure_programme(self.answer)}
        written = write_model_pages(self.page(date=date), figures, pages, sources=read) if pages else []
        return [*written, *(write_file(path, self.to_csv().encode()) for path in tables)]


def answer_programme(
    record: str | Path,
    steps: str | Path,
    *,
    kind: str = CHOSEN,
    elements: int | None = None,
    shift: StatedShift | None = None,
    layout: Layout | None = None,
) -> ProgrammeReport:
    """Fit a model to a creep-recovery record and ask it about steps of stress and temperature.

    Parameters
    ----------
    record : str or Path
        Raw record with one creep-recovery run.
    steps : str or Path
        Table of steps.
    kind, elements
        As in `fit_creep_run`.
    shift : StatedShift, optional
        Where the time-temperature shift comes from; needed as soon as a step has another temperature.
    layout : Layout, optional
        How records are to be understood, where that is not left to the reader.

    Returns
    -------
    ProgrammeReport
        Strain over time with doubts: a model's answer, not a measurement.

    Raises
    ------
    ResileError
        Record or steps cannot be read, or no shift is stated where one is needed.
    """
    programme = read_step_programme(Path(steps))
    runs = reduce_record(record, layout=layout, keep_signal=True).creep_recovery_runs
    if len(runs) != 1:
        raise InputError(f"{record}: {len(runs)} creep-recovery runs found; a programme is asked of one run")
    return ProgrammeReport(
        answer_of_run(runs[0], programme, kind=kind, elements=elements, shift=shift, layout=layout),
        str(record),
    )


def answer_of_run(
    run: CreepRecoveryRun,
    programme: StepProgramme,
    *,
    kind: str = CHOSEN,
    elements: int | None = None,
    shift: StatedShift | None = None,
    layout: Layout | None = None,
    fit: CreepModelFit | None = None,
) -> ProgrammeAnswer:
    """Ask the model of one reduced run that kept its signal.

    Parameters
    ----------
    run : CreepRecoveryRun
        The run.
    programme : StepProgramme
        Steps.
    kind, elements, shift, layout
        As in `answer_programme`.
    fit : CreepModelFit, optional
        The model, where it has been fitted.

    Returns
    -------
    ProgrammeAnswer
        With findings.

    Raises
    ------
    ResileError
        As in `answer_programme`.
    """
    from resile.compute.rheology.models.programme_doubt import programme_with_doubt

    fitted = fit if fit is not None else fit_creep_run(run, kind=kind, elements=elements)
    moved = shift_of_programme(fitted, run, programme, shift or StatedShift(), layout=layout)
    durations = np.array([step.duration_s for step in programme.steps])
    ends = np.cumsum(durations)
    how: dict[str, Any] = {
        "starts_s": ends - durations,
        "stresses_kpa": [step.stress_kpa for step in programme.steps],
        "log_shifts": moved.log_shifts,
    }
    response = programme_with_doubt(fitted, _times(durations), **how)
    measures = _measures(fitted, programme, moved, response.outside_stresses_kpa)
    return ProgrammeAnswer(
        fit=fitted,
        programme=programme,
        shift=moved,
        response=response,
        ends=programme_with_doubt(fitted, ends, **how),
        measures=measures,
        findings=judge_measures(measures, load_finding_rules(RULES)),
    )


def _times(durations: np.ndarray[Any, np.dtype[np.float64]]) -> list[float]:
    """Give times close together after each change of stress."""
    count = max(2, min(_POINTS, _MOST_POINTS // len(durations)))
    within = np.concatenate(([1e-6], np.linspace(0.0, 1.0, count)[1:] ** 2))
    starts = np.cumsum(durations) - durations
    return [0.0, *(starts[:, None] + durations[:, None] * within).ravel().tolist()]


def _measures(
    fit: CreepModelFit, programme: StepProgramme, shift: ProgrammeShift, outside: tuple[float, ...]
) -> tuple[Measure, ...]:
    low, high = shift.tested_low_c, shift.tested_high_c
    beyond = 0.0, ""
    for step in programme.steps:
        if step.temperature_c is not None and low is not None and high is not None:
            far = max(low - step.temperature_c, step.temperature_c - high)
            beyond = max(beyond, (far, f"{step.temperature_c:g} °C"))
    shifted = sum(one != 0.0 for one in shift.log_shifts)
    measures = [
        Measure("stresses_outside", float(len(outside)), "", ", ".join(f"{one:g} kPa" for one in outside)),
        Measure("temperature_outside_c", max(beyond[0], 0.0), "°C", beyond[1]),
        Measure("temperatures_shifted", float(shifted)),
    ]
    if fit.series is not None:
        reduced = sum(
            step.duration_s * 10.0**-one for step, one in zip(programme.steps, shift.log_shifts, strict=True)
        )
        length = float(fit.series.time_s[-1] - fit.series.time_s[0])
        measures.append(Measure("longest_load_share", reduced / length))
    return tuple(measures)
