"""Answers on production: each shows itself in JSON, in the terminal and on a page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
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

    def picture(self) -> dict[str, Any]:
        """Give the chart of the answer.

        Returns
        -------
        dict
            Chart specification.

        Raises
        ------
        InputError
            Where there is none.
        """
        for section in self.page(date="").sections:
            for picture in section.pictures:
                return picture.spec
        raise InputError("there is no picture: no lot has been made yet")

    def write(self, targets: Sequence[Path], *, date: str) -> list[Path]:
        """Write the page to .html or .pdf files, or its picture to .svg.

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
        from resile.report.page import html_of_page, pdf_of_page
        from resile.report.render import render_svg
        from resile.workflows.orders.pages import write_file

        page = self.page(date=date)
        makers: dict[str, Callable[[], bytes]] = {
            ".html": lambda: html_of_page(page, version=__version__).encode(),
            ".pdf": lambda: pdf_of_page(page),
            ".svg": lambda: render_svg(self.picture()).encode(),
        }
        own = {Path(one).resolve() for one in self.read}
        for path in targets:
            if path.suffix.lower() not in makers:
                raise InputError(f"{path}: a page ends in {', '.join(makers)}; found '{path.suffix}'")
            if path.resolve() in own:
                raise InputError(f"{path}: the answer rests on this file; choose another name")
        return [write_file(path, makers[path.suffix.lower()]()) for path in targets]


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
