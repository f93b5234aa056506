"""The command that predicts for other temperatures."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_predict(
    file: Path,
    *,
    at_c: Sequence[float],
    scatter: str,
    pages: Sequence[Path],
    date: str | None,
    how: dict[str, Any],
    as_json: bool,
    **asked: Any,
) -> None:
    """Predict, show, and write the pages that were named."""
    from resile.workflows.predictions.predicting import predict
    from resile.workflows.reducing.reading import choose_layout

    day = date_of_issue(date)
    prediction = predict(file, at_c, scatter=_scatter(scatter), layout=choose_layout(how), **asked)
    written = prediction.write(pages, date=day) if pages else []
    emit_json(prediction.to_json()) if as_json else show(prediction.to_terminal())
    for path in written:
        typer.echo(f"written: {path}", err=as_json)


def _scatter(given: str) -> str | float:
    """Take a number for a coefficient of variation, anything else for a word that the workflow knows."""
    try:
        return float(given.removesuffix("%"))
    except ValueError:
        return given
