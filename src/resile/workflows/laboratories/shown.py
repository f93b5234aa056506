"""A piece of work on laboratories that shows itself: JSON, terminal, page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

_UNDATED = "1970-01-01"


@dataclass(frozen=True, slots=True)
class LaboratorySheet:
    """Work on laboratories, ready to be shown.

    Attributes
    ----------
    record : Any
        What was worked out, by name.
    make_page : callable
        Gives the page for a date.
    findings : tuple of Finding
        Shown right below the answer.
    complies : bool
        False where the answer is one that a command ends on with exit code 1.
    sources : tuple of str
        Files it rests on: none of them is overwritten.
    """

    record: dict[str, Any]
    make_page: Callable[[str], Page]
    findings: tuple[Finding, ...] = ()
    complies: bool = True
    sources: tuple[str, ...] = ()

    def to_json(self) -> Any:
        """Give it for machines."""
        from resile.report.machine.laboratories import laboratory_record_to_json

        return laboratory_record_to_json(self.record)

    def to_terminal(self, *, full: bool = False) -> Any:
        """Give it as a readable sheet."""
        from resile.report.terminal.laboratories import render_laboratory_sheet

        return render_laboratory_sheet(self.make_page(_UNDATED), self.findings, full=full)

    def figures(self) -> dict[str, dict[str, Any]]:
        """Give its pictures as Vega-Lite specifications by name."""
        page = self.make_page(_UNDATED)
        return {picture.name: picture.spec for section in page.sections for picture in section.pictures}

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write its page to files ending in .html, .pdf or .svg (the first picture)."""
        from resile.workflows.modelling.pages import write_model_pages

        return write_model_pages(self.make_page(date), self.figures(), targets, sources=self.sources)
