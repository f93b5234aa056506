"""Answers on production: each shows itself in JSON, in the terminal and on a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.records.control.capability import CapabilityStatement
from resile.records.control.sampling import LotOfLoads, SamplingState
from resile.records.control.surrogate import QuickTests
from resile.records.control.target import TargetStatement
from resile.version import __version__

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page


@dataclass(frozen=True, slots=True)
class ControlAnswer:
    """An answer with everything it shows.

    Attributes
    ----------
    content : CapabilityStatement, TargetStatement, QuickTests or SamplingState
        As worked out.
    product : str
        Product in words, for sampling; the others carry it.
    notes : tuple of str
        What was taken from a table and how.
    read : tuple of str
        Files it rests on: they are not written over.
    """

    content: CapabilityStatement | TargetStatement | QuickTests | SamplingState
    product: str = ""
    notes: tuple[str, ...] = ()
    read: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        return {**asdict(self.content), "notes": list(self.notes)}

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.page_sheet import render_page

        return render_page(self.page(date=""))

    def page(self, *, date: str) -> Page:
        """Give the page of the answer.

        Parameters
        ----------
        date : str
            Date on the page, YYYY-MM-DD.

        Returns
        -------
        Page
            For screen and paper; what was taken from a table and how stands at its end.
        """
        made = self._page(date)
        *others, basis = made.sections
        said = tuple(f"{one[0].upper()}{one[1:]}." for one in self.notes)
        *how, by = basis.paragraphs
        return replace(made, sections=(*others, replace(basis, paragraphs=(*how, *said, by))))

    def _page(self, date: str) -> Page:
        from resile.report.paper.control.capability import capability_page
        from resile.report.paper.control.quick import quick_page
        from resile.report.paper.control.sampling import sampling_page
        from resile.report.paper.control.target import target_page

        if isinstance(self.content, CapabilityStatement):
            return capability_page(self.content, date=date, package_version=__version__)
        if isinstance(self.content, TargetStatement):
            return target_page(self.content, date=date, package_version=__version__)
        if isinstance(self.content, QuickTests):
            return quick_page(self.content, date=date, package_version=__version__)
        return sampling_page(self.content, product=self.product, date=date, package_version=__version__)

    def write(self, targets: Sequence[Path], *, date: str) -> list[Path]:
        """Write the page to .html or .pdf files, its picture to .svg, its lots to .xlsx or .csv.

        Parameters
        ----------
        targets : sequence of Path
            The ending decides the form.
        date : str
            Date on the page, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        InputError
            For another ending, or a file the answer rests on.
        """
        if not targets:
            return []
        from resile.report.machine.control.tables import tables_of_content
        from resile.workflows.control.files import write_control_files

        return write_control_files(
            self.page(date=date),
            targets,
            tables=tables_of_content(self.content),
            findings=getattr(self.content, "findings", ()),
            read=self.read,
        )


@dataclass(frozen=True, slots=True)
class LotsAnswer:
    """Lots made of loads.

    Attributes
    ----------
    lots : tuple of LotOfLoads
        In order.
    title : str
        Plan and severity in words.
    """

    lots: tuple[LotOfLoads, ...]
    title: str

    def to_json(self) -> list[dict[str, Any]]:
        """Give the lots for machines."""
        return [asdict(one) for one in self.lots]

    def to_terminal(self) -> Any:
        """Give the lots as a readable sheet."""
        from resile.report.terminal.control.sampling import render_lots_of_loads

        return render_lots_of_loads(self.lots, self.title)
