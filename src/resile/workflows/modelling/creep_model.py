"""From a creep-recovery record to a model of springs and dashpots, and what it says of Jnr."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from resile.errors import InputError, MeasurementError, ResileError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.models.creep_model import CreepModelFit
from resile.records.reading import HeldFile
from resile.report.paper.models.model import Page
from resile.specifications.creep_recovery import load_finding_rules
from resile.version import __version__
from resile.workflows.reducing.reduction import reduce_record

RULES = "creep_model"
CHOSEN = "chosen"
"""Kind of model that lets the information criterion choose the number of Kelvin elements."""
KINDS = (CHOSEN, "burgers", "kelvin", "fractional")


@dataclass(frozen=True, slots=True)
class CreepModels:
    """The models of the runs of one file; shows itself as sheet, page and JSON.

    Attributes
    ----------
    path : str
        The file as it was named.
    fits : tuple of CreepModelFit
        One a creep-recovery run; empty where the file was refused.
    error : ResileError or None
        Why nothing was fitted.
    """

    path: str
    fits: tuple[CreepModelFit, ...] = ()
    error: ResileError | None = None

    def to_json(self) -> list[dict[str, Any]]:
        """Give the models for machines."""
        from resile.report.machine.creep_model import creep_model_to_json

        return [creep_model_to_json(fit) for fit in self.fits]

    def to_terminal(self) -> Any:
        """Give a readable sheet, findings first."""
        from resile.report.terminal.creep_model import render_creep_models

        return render_creep_models(self.fits)

    def page(self, *, date: str) -> Page:
        """Give the sheet as texts and pictures, dated YYYY-MM-DD."""
        from resile.report.paper.models.creep_model import creep_model_page

        return creep_model_page(self.fits, date=date, package_version=__version__)


def fit_creep_run(
    run: CreepRecoveryRun, *, kind: str = CHOSEN, elements: int | None = None, probability: float = 0.95
) -> CreepModelFit:
    """Fit a model to one reduced run that kept its signal.

    Parameters
    ----------
    run : CreepRecoveryRun
        The run, with its signal.
    kind : str
        ``chosen``, ``burgers``, ``kelvin`` or ``fractional``.
    elements : int or None
        Number of Kelvin elements of a ``kelvin`` model; the largest number that is tried for ``chosen``.
    probability : float
        Probability of the intervals.

    Returns
    -------
    CreepModelFit
        With findings.

    Raises
    ------
    ResileError
        Where the run has no rows, or the kind is not known.
    """
    from resile.compute.rheology.models.creep_model_fit import choose_creep_model, fit_creep_model

    if kind not in KINDS:
        raise InputError(f"creep model: '{kind}' found; {', '.join(KINDS)} are known")
    if elements is not None and kind not in (CHOSEN, "kelvin"):
        raise InputError(f"creep model: a {kind} model has one element; the number is for kelvin and chosen")
    signal = run.signal
    if signal is None:
        raise MeasurementError("creep model: the rows of the record are needed, and this run has none")
    columns = [signal.columns[name] for name in ("time_s", "stress_kpa", "strain")]
    if kind == CHOSEN:
        fit = choose_creep_model(run, *columns, most_elements=elements or 5, probability=probability)
    else:
        fit = fit_creep_model(run, *columns, kind=kind, elements=elements or 2, probability=probability)
    findings = judge_measures(fit.measures, load_finding_rules(RULES))
    return replace(fit, findings=findings, source=run.source, label=run.label)


def model_creep_record(
    path: str | Path | HeldFile,
    *,
    kind: str = CHOSEN,
    elements: int | None = None,
    probability: float = 0.95,
    layout: Layout | None = None,
) -> CreepModels:
    """Fit models to the creep-recovery runs of a file.

    Parameters
    ----------
    path : str, Path or HeldFile
        Raw record.
    kind, elements, probability
        As in `fit_creep_run`.
    layout : Layout, optional
        How the file is to be understood, where that is not left to the reader.

    Returns
    -------
    CreepModels
        One fit a run.

    Raises
    ------
    ResileError
        Where the file cannot be read, or holds no creep-recovery run with rows.
    """
    runs = reduce_record(path, layout=layout, keep_signal=True).creep_recovery_runs
    if not runs:
        raise InputError(
            f"{path}: no creep-recovery run is found; this model is of a record of pushes and recoveries"
        )
    fits = []
    for run in runs:
        place = f"{path}, {run.label}" if run.label else str(path)
        try:
            fits.append(fit_creep_run(run, kind=kind, elements=elements, probability=probability))
        except MeasurementError as error:
            raise MeasurementError(f"{place}: {error}") from error
    return CreepModels(str(path), tuple(fits))


def model_creep_records(
    paths: Iterable[str | Path | HeldFile], *, jobs: int = 1, keep_rows: bool = True, **how: Any
) -> Iterator[CreepModels]:
    """Fit models to many files; a file that is refused gives `CreepModels` with its error.

    Parameters
    ----------
    paths : iterable of str, Path or HeldFile
        Raw records.
    jobs : int
        Processes to share the files among; 1 stays in this one.
    keep_rows : bool
        Keep the rows, for pictures; without them many fits cost little to hand back.
    **how
        As in `model_creep_record`.

    Yields
    ------
    CreepModels
        In the order of `paths`.
    """
    one = partial(_model_or_refuse, keep_rows=keep_rows, how=how)
    if jobs == 1:
        yield from map(one, paths)
        return
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(one, paths, chunksize=4)


def creep_models_json(models: Sequence[CreepModels]) -> dict[str, Any]:
    """Give the models of files for machines; what was refused stands under ``errors``.

    Parameters
    ----------
    models : sequence of CreepModels
        One a file.

    Raises
    ------
    ResileError
        Where nothing was fitted: the last refusal.
    """
    from resile.workflows.reducing.reduction import refusal_json

    refused = [(one.path, one.error) for one in models if one.error is not None]
    if refused and len(refused) == len(models):
        raise refused[-1][1]
    return {
        "models": [fit for one in models for fit in one.to_json()],
        "errors": [refusal_json(path, error) for path, error in refused],
    }


def write_creep_models(models: Sequence[CreepModels], targets: Sequence[Path], *, date: str) -> list[Path]:
    """Write models to pages; the ending decides the form.

    Parameters
    ----------
    models : sequence of CreepModels
        With rows kept.
    targets : sequence of Path
        Files ending in .html or .pdf.
    date : str
        Date on the page, YYYY-MM-DD.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        For another ending, or a target that is one of the records.
    """
    from resile.report.page import html_of_page, pdf_of_page
    from resile.workflows.orders.pages import write_file

    fits = tuple(fit for one in models for fit in one.fits)
    page = CreepModels("", fits).page(date=date)
    makers: dict[str, Callable[[], bytes]] = {
        ".html": lambda: html_of_page(page, version=__version__).encode(),
        ".pdf": lambda: pdf_of_page(page),
    }
    for target in targets:
        if target.suffix.lower() not in makers:
            raise InputError(f"{target}: a page ends in {', '.join(makers)}; found '{target.suffix}'")
        if any(target.resolve() == Path(one.path).resolve() for one in models):
            raise InputError(f"{target}: the model rests on this file; choose another name")
    return [write_file(target, makers[target.suffix.lower()]()) for target in targets]


def _model_or_refuse(path: str | Path | HeldFile, *, keep_rows: bool, how: dict[str, Any]) -> CreepModels:
    try:
        found = model_creep_record(path, **how)
    except ResileError as error:
        return CreepModels(str(path), error=error)
    return found if keep_rows else replace(found, fits=tuple(replace(fit, series=None) for fit in found.fits))
