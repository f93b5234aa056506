"""Pictures of a kept chart, large for its page and small for the list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.records.control.chart import ControlChart
from resile.report.figures.control.small_chart import figure_small_chart
from resile.workflows.laboratory.control.shown import SeenChart, lots_of_signals


@dataclass(frozen=True, slots=True)
class ChartPicture:
    """A picture with the numbers behind it.

    Attributes
    ----------
    name, caption : str
        Name on the page, and what stands beneath.
    spec : dict
        The picture.
    rows : tuple
        Headings, and a row a lot.
    """

    name: str
    caption: str
    spec: dict[str, Any]
    rows: tuple[tuple[str, ...], list[tuple[str, ...]]]


def small_picture(seen: SeenChart) -> dict[str, Any]:
    """Draw a chart small; the chart must be there."""
    assert seen.chart is not None
    return figure_small_chart(seen.chart, open_lots=seen.open_lots)


def chart_pictures(seen: SeenChart) -> list[ChartPicture]:
    """Draw a chart, and the chart of its scatter where it has one.

    Parameters
    ----------
    seen : SeenChart
        As it stands; nothing is drawn where there is no chart yet.
    """
    if seen.chart is None:
        return []
    found = [ChartPicture("chart", seen.chart.title, picture_of(seen.chart), _rows(seen.chart))]
    beside = seen.chart.beside
    if beside is not None:
        found.append(ChartPicture("scatter", beside.title, picture_of(beside), _rows(beside)))
    return found


def picture_of(chart: ControlChart) -> dict[str, Any]:
    """Draw a chart at its full size."""
    return figure_small_chart(chart, open_lots=lots_of_signals(chart, chart.signals), wide=True)


def _rows(chart: ControlChart) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    headings = ("lot", "sampled", "results", "plotted", "lower", "centre", "upper", "phase", "left out")
    return headings, [
        (
            one.label,
            one.when[:10],
            ", ".join(f"{value:.4g}" for value in one.values),
            *(f"{value:.5g}" for value in (one.plotted, one.lower, one.centre, one.upper)),
            one.phase,
            one.excluded,
        )
        for one in chart.points
    ]
