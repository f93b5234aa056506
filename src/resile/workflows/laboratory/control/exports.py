"""A kept chart to take away: its points as a table, its picture."""

from __future__ import annotations

from resile.errors import InputError
from resile.report.render import render_png, render_svg
from resile.workflows.laboratory.control.pictures import chart_pictures
from resile.workflows.laboratory.control.shown import SeenChart
from resile.workflows.laboratory.samples.sample_search import csv_cell

_HEADINGS = "lot,taken,values,plotted,lower,centre,upper,phase,excluded,signals,results"


def chart_as_csv(seen: SeenChart) -> bytes:
    """Give the points of a chart at full precision, one a line, with their signals.

    Parameters
    ----------
    seen : SeenChart
        As it stands.

    Raises
    ------
    InputError
        Where there is no chart yet.
    """
    if seen.chart is None:
        raise InputError(seen.refusal)
    lines = [_HEADINGS]
    for place, one in enumerate(seen.chart.points):
        rules = sorted({signal.rule for signal in seen.chart.signals if signal.index == place})
        texts = (one.label, one.when, one.phase, one.excluded, " ".join(rules), " ".join(one.keys))
        label, when, phase, excluded, raised, keys = map(csv_cell, texts)
        values = " ".join(map(repr, one.values))
        numbers = map(repr, (one.plotted, one.lower, one.centre, one.upper))
        lines.append(",".join((label, when, values, *numbers, phase, excluded, raised, keys)))
    return ("\r\n".join(lines) + "\r\n").encode()


def chart_as_picture(seen: SeenChart, form: str) -> bytes:
    """Give the picture of a chart.

    Parameters
    ----------
    seen : SeenChart
        As it stands.
    form : str
        ``svg`` or ``png``.

    Raises
    ------
    InputError
        Where there is no chart yet.
    """
    if seen.chart is None:
        raise InputError(seen.refusal)
    spec = chart_pictures(seen)[0].spec
    return render_png(spec) if form == "png" else render_svg(spec).encode()
