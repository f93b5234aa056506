"""Several specimens in one picture: each has a colour, a mark and a line of its own, and its words below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from resile.report.figures.style import INK, SPRINGS_BACK, STAYS_BEHIND, STRAIN, STRESS, Spec

MOST_SERIES = 6
"""More in one picture cannot be told apart."""
_COLOURS = (STRAIN, STAYS_BEHIND, SPRINGS_BACK, STRESS, INK, STRAIN)
_SHAPES = ("circle", "square", "diamond", "triangle-up", "cross", "triangle-down")
_DASHES = ([1, 0], [6, 3], [2, 2], [8, 2, 2, 2], [4, 4], [10, 4])
_LETTERS_A_ROW = 84


def series_marks(names: Sequence[str], *, legend: bool = True) -> tuple[Spec, Spec]:
    """Give the encodings of colour and mark of up to six series, with one common legend.

    Parameters
    ----------
    names : sequence of str
        Words of the legend, in order; the field is ``series``.
    legend : bool
        Whether there is a legend: one series that needs no name goes without.

    Returns
    -------
    tuple of dict
        Colour and mark.
    """
    longest = max(map(len, names), default=1) + 6
    columns = max(1, min(len(names), _LETTERS_A_ROW // longest))
    told: Spec = {
        "title": None,
        "orient": "bottom",
        "direction": "vertical" if columns == 1 else "horizontal",
        "columns": columns,
        "labelLimit": 540,
        "symbolSize": 60,
        "labelFontSize": 12,
        "labelColor": INK,
        "columnPadding": 18,
    }

    def look(values: Sequence[str]) -> Spec:
        return {
            "field": "series",
            "type": "nominal",
            "scale": {"domain": list(names), "range": list(values[: len(names)])},
            "legend": told if legend else None,
        }

    return look(_COLOURS), look(_SHAPES)


def series_lines(
    names: Sequence[str], data: Sequence[Mapping[str, object]], encoding: Spec, *, width: float = 1.4
) -> list[Spec]:
    """Draw the line of each series in its colour and its own dashes.

    Parameters
    ----------
    names : sequence of str
        As in `series_marks`.
    data : sequence of mapping
        Rows with the field ``series``, in the order of drawing.
    encoding : dict
        Places of the points.
    width : float
        Of the line [px].

    Returns
    -------
    list of dict
        One layer a series.

    Notes
    -----
    A dash given by an encoding would be drawn round the small marks of the legend and blur them.
    """
    return [
        {
            "data": {"values": [row for row in data if row["series"] == name]},
            "mark": {
                "type": "line",
                "color": _COLOURS[place],
                "strokeDash": _DASHES[place],
                "strokeWidth": width,
            },
            "encoding": encoding,
        }
        for place, name in enumerate(names)
    ]


SHARED: Spec = {"scale": {"color": "shared", "shape": "shared"}}
"""One legend for all panels."""


def in_pictures(count: int) -> list[tuple[int, int]]:
    """Share series out among pictures: first and last place of each, no picture with a single straggler.

    Parameters
    ----------
    count : int
        How many series there are.

    Returns
    -------
    list of (int, int)
        Half-open ranges.
    """
    pictures = -(-count // MOST_SERIES)
    edges = [round(place * count / pictures) for place in range(pictures + 1)] if pictures else [0]
    return list(pairwise(edges))
