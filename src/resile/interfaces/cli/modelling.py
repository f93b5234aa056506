"""The commands on models of one binder."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Protocol

import typer

from resile.errors import InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, follow, show


class ModelReport(Protocol):
    """What every model gives: JSON, a sheet, a page."""

    def to_json(self) -> Any:
        """Give it for machines."""

    def to_terminal(self) -> Any:
        """Give it as a readable sheet."""

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write its page."""


def show_model(report: ModelReport, *, pages: Sequence[Path], date: str | None, as_json: bool) -> None:
    """Write the pages that were named, and show the rest on the terminal or as JSON."""
    written = report.write(pages, date=date_of_issue(date)) if pages else []
    emit_json(report.to_json()) if as_json else show(report.to_terminal())
    for path in written:
        typer.echo(f"written: {path}", err=as_json)


def run_model_creep(
    files: Sequence[Path],
    *,
    how: dict[str, Any],
    as_json: bool,
    pages: Sequence[Path],
    jobs: int,
    date: str | None,
    **asked: Any,
) -> None:
    """Fit files one after another; good ones are shown even where others are refused."""
    from resile.workflows.files import record_files
    from resile.workflows.modelling.creep_model import (
        creep_models_json,
        model_creep_records,
        write_creep_models,
    )
    from resile.workflows.reducing.reading import choose_layout

    day, paths = date_of_issue(date), record_files(files)
    models = list(
        follow(
            model_creep_records(paths, layout=choose_layout(how), jobs=jobs, keep_rows=bool(pages), **asked),
            total=len(paths),
        )
    )
    good = [one for one in models if one.error is None]
    refused = [(one.path, one.error) for one in models if one.error is not None]
    if not good:
        for _, error in refused[:-1]:
            typer.echo(f"resile: {error}", err=True)
        raise refused[-1][1] if refused else InputError("nothing to fit")
    if as_json:
        emit_json(creep_models_json(models))
    else:
        for one in good:
            show(one.to_terminal())
    for _, error in refused:
        typer.echo(f"resile: {error}", err=True)
    for path in write_creep_models(good, pages, date=day) if pages else ():
        typer.echo(f"written: {path}", err=as_json)


def run_programme(
    record: Path,
    steps: Path,
    *,
    shift: dict[str, Any],
    pages: Sequence[Path],
    how: dict[str, Any],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Ask the model of a record about steps and show its answer."""
    from resile.workflows.modelling.creep_programme import answer_programme
    from resile.workflows.modelling.programme_shift import StatedShift
    from resile.workflows.reducing.reading import choose_layout

    report = answer_programme(record, steps, shift=StatedShift(**shift), layout=choose_layout(how), **asked)
    show_model(report, pages=pages, date=date, as_json=as_json)


def run_damage(
    file: Path,
    *,
    convention: str,
    slope: float | None,
    strains: Sequence[float] | None,
    pages: Sequence[Path],
    date: str | None,
    how: dict[str, Any],
    as_json: bool,
) -> None:
    """Analyse amplitude sweeps and show them."""
    from resile.workflows.modelling.damage import analyse_damage
    from resile.workflows.reducing.reading import choose_layout

    report = analyse_damage(
        file,
        layout=choose_layout(how),
        convention=convention,
        slope=slope,
        at_strain_percent=strains,
    )
    show_model(report, pages=pages, date=date, as_json=as_json)


def run_traffic(
    sites: Path,
    binders: Path | None,
    *,
    site: str,
    records: Sequence[str],
    kinds: Sequence[str],
    how: dict[str, Any],
    asked: dict[str, Any],
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
) -> None:
    """Compare binders under traffic and show them."""
    from resile.workflows.modelling.recorded_binders import read_recorded_binders
    from resile.workflows.modelling.traffic import TrafficQuestion, compare_under_traffic
    from resile.workflows.reducing.reading import choose_layout

    pairs = [one.partition("=") for one in kinds]
    for name, _, kind in pairs:
        if not name or not kind:
            raise InputError(f"binder kind '{name}': needed is NAME=KIND, as in Plain=unmodified")
    of_kind = {name.strip(): kind.strip() for name, _, kind in pairs}
    recorded = read_recorded_binders(records, layout=choose_layout(how), kinds=of_kind)
    question = TrafficQuestion(**asked)
    report = compare_under_traffic(sites, binders, site=site, question=question, recorded=recorded)
    show_model(report, pages=pages, date=date, as_json=as_json)


def run_sweep(
    files: Sequence[Path],
    *,
    choices: dict[str, Any],
    join: bool,
    only: str,
    jobs: int,
    pages: Sequence[Path],
    date: str | None,
    how: dict[str, Any],
    as_json: bool,
) -> None:
    """Fit master curves and show them; good ones are shown even where others are refused."""
    from resile.workflows.files import record_files
    from resile.workflows.modelling.curve_settings import curve_settings
    from resile.workflows.modelling.master_curve import fit_sweeps
    from resile.workflows.reducing.reading import choose_layout

    settings = curve_settings(**choices)
    report = fit_sweeps(
        record_files(files), layout=choose_layout(how), settings=settings, join=join, only=only, jobs=jobs
    )
    show_model(report, pages=pages, date=date, as_json=as_json)
    for one in report.refused:
        typer.echo(f"resile: {one.error}", err=True)
