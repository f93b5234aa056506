"""A model's page on disk: web page, paper or its first picture."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.version import __version__

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page


def write_model_pages(
    page: Page,
    figures: Mapping[str, dict[str, Any]],
    targets: Sequence[str | Path],
    *,
    sources: Sequence[str] = (),
) -> list[Path]:
    """Write the page of a model to files; the ending decides the form.

    Parameters
    ----------
    page : Page
        Texts and pictures ready to be set.
    figures : mapping of str to dict
        The pictures by name; the first one is what .svg gives.
    targets : sequence of str or Path
        Files ending in .html, .pdf or .svg.
    sources : sequence of str
        Files the page rests on: none of them is overwritten.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        For another ending, or a target that is one of the sources.
    """
    from resile.report.page import html_of_page, pdf_of_page
    from resile.report.render import render_svg
    from resile.workflows.orders.pages import write_file

    makers: dict[str, Callable[[], bytes]] = {
        ".html": lambda: html_of_page(page, version=__version__).encode(),
        ".pdf": lambda: pdf_of_page(page),
    }
    if figures:
        makers[".svg"] = lambda: render_svg(next(iter(figures.values()))).encode()
    read = {Path(source).resolve() for source in sources}
    paths = [Path(target) for target in targets]
    for path in paths:
        if path.suffix.lower() not in makers:
            raise InputError(f"{path}: a page ends in {', '.join(makers)}; found '{path.suffix}'")
        if path.resolve() in read:
            raise InputError(f"{path}: the page rests on this file; choose another name")
    return [write_file(path, makers[path.suffix.lower()]()) for path in paths]
