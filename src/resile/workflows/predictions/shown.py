"""Predictions for other temperatures as they are shown: on screen, on paper, in a workbook, for machines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.records.finding import Finding
from resile.records.prediction import BandPoint, PropertyLine, SamplePrediction
from resile.records.reading import ReadingAccount, SourceFile
from resile.version import __version__
from resile.workflows.judging.property_lines import RECOVERIES
from resile.workflows.predictions.expected_values import expected_value

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page


_CURVE_STEPS = 60

_BEYOND_C = 2.5
"""How far a picture goes on past its last point [°C]."""


@dataclass(frozen=True, slots=True)
class Prediction:
    """Predictions of every sample of a file; shows itself in a notebook.

    Attributes
    ----------
    samples : tuple of SamplePrediction
        In the order of the file.
    source : SourceFile or None
        The table or order.
    account : ReadingAccount or None
        How a table was read.
    findings : tuple of Finding
        Doubts about the file as a whole.
    invented : bool
        True for demonstration data.
    """

    samples: tuple[SamplePrediction, ...]
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    findings: tuple[Finding, ...] = ()
    invented: bool = False

    def to_json(self) -> dict[str, Any]:
        """Give the predictions for machines."""
        from resile.report.machine.prediction import prediction_to_json
        from resile.report.machine.records import account_to_json, finding_to_json

        return {
            "source": {"path": self.source.path, "sha256": self.source.sha256} if self.source else None,
            "invented": self.invented,
            "samples": [prediction_to_json(sample) for sample in self.samples],
            "findings": [finding_to_json(finding) for finding in self.findings],
            "account": account_to_json(self.account) if self.account else None,
        }

    def to_terminal(self) -> Any:
        """Give the predictions as a readable sheet."""
        from resile.report.terminal.prediction import render_predictions

        return render_predictions(self.samples, self.findings)

    def figures(self) -> dict[str, dict[str, Any]]:
        """Give one chart a property, as Vega-Lite specifications by name."""
        from resile.report.figures.property_line import figure_property

        return {
            name: figure_property(line, curve, sample.temperatures)
            for sample, lines in zip(self.samples, self._curves(), strict=True)
            for name, line, curve in lines
        }

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the sheet to files; the ending decides the form.

        Parameters
        ----------
        targets : sequence of str or Path
            Files ending in .html, .pdf, .xlsx or .svg (the first picture).
        date : str
            Date on the sheet, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        InputError
            For another ending, or a target that is the file the predictions were made from.
        """
        from resile.workflows.orders.pages import write_file

        makers = self._makers(date)
        paths = [Path(target) for target in targets]
        for path in paths:
            if path.suffix.lower() not in makers:
                raise InputError(f"{path}: a page ends in {', '.join(makers)}; found '{path.suffix}'")
            if self.source is not None and path.resolve() == Path(self.source.path).resolve():
                raise InputError(f"{path}: the predictions rest on this file; choose another name")
        return [write_file(path, makers[path.suffix.lower()]()) for path in paths]

    def page(self, *, date: str) -> Page:
        """Give the sheet as texts and pictures ready to be set.

        Parameters
        ----------
        date : str
            Date on the sheet, YYYY-MM-DD.

        Returns
        -------
        Page
            For screen and paper.
        """
        from resile.report.paper.choosing.prediction import prediction_page

        return prediction_page(
            self.samples,
            tuple(self._curves()),
            date=date,
            source=self.source,
            account=self.account,
            findings=self.findings,
            invented=self.invented,
            package_version=__version__,
        )

    def _makers(self, date: str) -> dict[str, Callable[[], bytes]]:
        from resile.report.page import html_of_page, pdf_of_page
        from resile.report.render import render_svg
        from resile.report.workbook.prediction import prediction_workbook

        page = self.page(date=date)
        return {
            ".html": lambda: html_of_page(page, version=__version__).encode(),
            ".pdf": lambda: pdf_of_page(page),
            ".xlsx": lambda: prediction_workbook(self.samples, page),
            ".svg": lambda: render_svg(next(iter(self.figures().values()))).encode(),
        }

    def _curves(self) -> list[list[tuple[str, PropertyLine, tuple[BandPoint, ...]]]]:
        found = []
        for number, sample in enumerate(self.samples, 1):
            named = []
            worth = [one for one in sample.properties if one.limits or one.quantity in RECOVERIES]
            for place, line in enumerate(worth if any(one.limits for one in worth) else sample.properties, 1):
                if line.line is not None:
                    named.append((f"property-{number}-{place}", line, curve_of(line, sample)))
            found.append(named)
        return found

    def _repr_html_(self) -> str:
        from html import escape

        from resile.report.terminal.grids import plain_text

        return f"<pre>{escape(plain_text(self.to_terminal()))}</pre>"


def curve_of(line: PropertyLine, sample: SamplePrediction) -> tuple[BandPoint, ...]:
    """Give line and band of a property between its tests and as far as its picture needs them.

    Parameters
    ----------
    line : PropertyLine
        With a line.
    sample : SamplePrediction
        Temperatures asked for, reach and temperature tolerance.

    Returns
    -------
    tuple of BandPoint
        Coldest first; never beyond the reach.
    """
    drawn = line.line
    if drawn is None:
        return ()
    asked = [one.temperature_c for one in sample.temperatures]
    first = max(min([drawn.coldest_c, *asked]) - _BEYOND_C, drawn.coldest_c - sample.reach_c)
    last = min(max([drawn.warmest_c, *asked]) + _BEYOND_C, drawn.warmest_c + sample.reach_c)
    places = {first + (last - first) * step / _CURVE_STEPS for step in range(_CURVE_STEPS + 1)}
    places |= {drawn.coldest_c, drawn.warmest_c}
    bare = PropertyLine(line.quantity, line.condition, (), drawn)
    found = []
    for at in sorted(places):
        value = expected_value(
            bare,
            at,
            temperature_standard_c=sample.temperature_standard_c,
            tolerance_c=0.0,
            reach_c=sample.reach_c,
        )
        if value.value is not None and value.low is not None and value.high is not None:
            outside = not drawn.coldest_c <= at <= drawn.warmest_c
            found.append(BandPoint(at, value.value, value.low, value.high, outside))
    return tuple(found)
