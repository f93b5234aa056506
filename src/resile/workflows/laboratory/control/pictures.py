"""Pictures of a kept chart: large for its page, small for the list; on pages and in files."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from resile.errors import InputError, RecordNotFoundError, ResileError
from resile.records.control.chart import ChangePoint, ChartSignal, ControlChart, ControlPoint
from resile.report.figures.control.chart import figure_control_chart
from resile.report.figures.control.chart_points import signal_mark
from resile.report.figures.control.small_chart import figure_small_chart, small_chart_in_words
from resile.report.render import render_pdf, render_png, render_svg
from resile.workflows.control.watching import watch
from resile.workflows.laboratory.control.produced import watched_property
from resile.workflows.laboratory.control.remembered import remembered
from resile.workflows.laboratory.control.shown import SeenChart

PICTURE_FORMS = {"svg": "image/svg+xml", "pdf": "application/pdf", "png": "image/png"}
"""Forms in which a picture is given out."""
_SUMMED = ("cumulative-sum", "weighted-average")
"""Kinds of chart on which the result of a lot does not stand as it is."""
_HEADINGS = ("lot", "sampled", "results", "plotted", "lower", "centre", "upper", "scatter", "part", "signal")


@dataclass(frozen=True, slots=True)
class ChartPicture:
    """A picture with the numbers behind it.

    Attributes
    ----------
    name, caption : str
        Name on the page and in addresses, and what stands beneath.
    spec : dict
        The picture.
    rows : tuple or None
        Headings, and a row a lot; None where another picture has them.
    """

    name: str
    caption: str
    spec: dict[str, Any]
    rows: tuple[tuple[str, ...], list[tuple[str, ...]]] | None = None


def small_pictures(seen: SeenChart) -> list[ChartPicture]:
    """Draw a chart small, for the list; nothing is drawn where there is no chart yet."""
    if seen.chart is None:
        return []
    return [ChartPicture("small", seen.chart.title, figure_small_chart(seen.chart, open_lots=seen.open_lots))]


def told_small(seen: SeenChart) -> str:
    """Say what the small picture of a chart shows; the chart must be there."""
    assert seen.chart is not None
    return small_chart_in_words(seen.chart, open_lots=seen.open_lots)


def chart_pictures(seen: SeenChart, changes: Sequence[ChangePoint] = ()) -> list[ChartPicture]:
    """Draw a chart, with the single values beside it where it shows sums or averages.

    Parameters
    ----------
    seen : SeenChart
        As it stands; nothing is drawn where there is no chart yet.
    changes : sequence of ChangePoint
        Changes of level, drawn over the values.
    """
    chart = seen.chart
    if chart is None:
        return []
    spec = figure_control_chart(chart, changes=changes, looked_into=seen.answered)
    found = [ChartPicture("chart", f"{chart.title[:1].upper()}{chart.title[1:]}", spec, _rows(chart))]
    values = single_values(seen)
    if values is not None:
        drawn = figure_control_chart(values, changes=changes, looked_into=seen.answered)
        caption = "The values themselves, lot by lot; the numbers are those of the signals of the chart above"
        found.append(ChartPicture("values", caption, drawn))
    return found


def single_values(seen: SeenChart) -> ControlChart | None:
    """Give the values of a chart that shows sums or averages, its signals at the lots that raise them.

    Parameters
    ----------
    seen : SeenChart
        As it stands.

    Returns
    -------
    ControlChart or None
        None where the chart shows the values itself, or there is none.
    """
    if seen.chart is None or seen.chart.kind not in _SUMMED:
        return None
    return remembered(("single values", seen.kept, seen.results.results), lambda: _single_values(seen))


def _single_values(seen: SeenChart) -> ControlChart | None:
    held, chart = seen.kept.value, seen.chart
    assert chart is not None
    present = {one.key for one in seen.results.results}
    try:
        values = watch(
            seen.results.results,
            watched_property(held, seen.product),
            baseline_since=held.baseline_since,
            baseline_until=held.baseline_until,
            excluded={one.result: one.reason for one in held.excluded if one.result in present},
        )
    except ResileError:  # too few single values where replicates were averaged: the chart stands alone
        return None
    places = {one.label: place for place, one in enumerate(values.points)}
    signals = tuple(replace(one, index=places[chart.points[one.index].label]) for one in chart.signals)
    return replace(values, signals=signals, beside=None)


def joint_picture(joint: ControlChart) -> ChartPicture:
    """Draw the chart of the properties together."""
    caption = f"{joint.title[:1].upper()}{joint.title[1:]}"
    return ChartPicture("joint", caption, figure_control_chart(joint), _rows(joint))


@dataclass(frozen=True, slots=True)
class NumberedSignal:
    """A signal with the number it has on the picture.

    Attributes
    ----------
    mark : str
        Number, or letter on the panel of the scatter.
    chart : ControlChart
        The panel that raises it.
    signal : ChartSignal
        What it saw.
    """

    mark: str
    chart: ControlChart
    signal: ChartSignal

    @property
    def point(self) -> ControlPoint:
        """Lot at which it was raised."""
        return self.chart.points[self.signal.index]


def numbered_signals(chart: ControlChart | None) -> list[NumberedSignal]:
    """Give the signals of a chart and of its scatter as the picture numbers them, the newest first.

    Parameters
    ----------
    chart : ControlChart or None
        The chart; no signals without one.
    """
    drawn = [one for one in (chart, chart.beside if chart else None) if one is not None]
    found = [
        NumberedSignal(signal_mark(one, number), one, signal)
        for one in drawn
        for number, signal in enumerate(one.signals, 1)
    ]
    return sorted(found, key=lambda one: one.point.when, reverse=True)


def picture_file(pictures: Sequence[ChartPicture], name: str, form: str) -> bytes:
    """Give a picture of a page as a file.

    Parameters
    ----------
    pictures : sequence of ChartPicture
        Those of the page.
    name : str
        Which of them.
    form : str
        One of `PICTURE_FORMS`.

    Raises
    ------
    InputError
        Where the form is none of them.
    RecordNotFoundError
        Where the page has no such picture.
    """
    if form not in PICTURE_FORMS:
        raise InputError(f"'{form}' is no form of picture; there are {', '.join(PICTURE_FORMS)}")
    spec = next((one.spec for one in pictures if one.name == name), None)
    if spec is None:
        raise RecordNotFoundError(f"there is no picture '{name}' here; a chart needs results first")
    if form == "svg":  # pages show it so: drawn once
        return remembered(("svg", json.dumps(spec)), lambda: render_svg(spec).encode())
    return render_png(spec) if form == "png" else render_pdf(spec)


def _rows(chart: ControlChart) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    scatter = {one.label: f"{one.plotted:.4g}" for one in chart.beside.points} if chart.beside else {}
    marks: dict[str, list[str]] = {}
    for one in reversed(numbered_signals(chart)):
        marks.setdefault(one.point.label, []).append(one.mark)
    return _HEADINGS, [
        (
            one.label,
            one.when[:10],
            ", ".join(f"{value:.4g}" for value in one.values),
            *(f"{value:.5g}" for value in (one.plotted, one.lower, one.centre, one.upper)),
            scatter.get(one.label, ""),
            f"left out: {one.excluded}" if one.excluded else one.phase,
            ", ".join(marks.get(one.label, ())),
        )
        for one in chart.points
    ]
