"""The grade map: climate temperature against traffic class, one field a binder, by word, shape and tone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.prediction import Standing
from resile.records.standing import GradeStanding
from resile.report.choice_words import STANDING_MARKS, shown_chance
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    PAPER,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STAYS_BEHIND_TINT,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    rows,
)

_CELL = 42
_ROW = 31
_ACROSS = 2
_SHAPES = {
    Standing.MEASURED_PASS: "circle",
    Standing.PREDICTED_PASS: "circle",
    Standing.UNKNOWN: "stroke",
    Standing.PREDICTED_FAIL: "triangle-down",
    Standing.MEASURED_FAIL: "triangle-down",
}
_TONES = {
    Standing.MEASURED_PASS: SPRINGS_BACK_TINT,
    Standing.PREDICTED_PASS: PAPER,
    Standing.UNKNOWN: PAPER,
    Standing.PREDICTED_FAIL: PAPER,
    Standing.MEASURED_FAIL: STAYS_BEHIND_TINT,
}
_LINES = {
    Standing.MEASURED_PASS: SPRINGS_BACK,
    Standing.PREDICTED_PASS: SPRINGS_BACK,
    Standing.UNKNOWN: MUTED,
    Standing.PREDICTED_FAIL: STAYS_BEHIND,
    Standing.MEASURED_FAIL: STAYS_BEHIND,
}
_FILLS = {
    Standing.MEASURED_PASS: SPRINGS_BACK,
    Standing.PREDICTED_PASS: PAPER,
    Standing.UNKNOWN: MUTED,
    Standing.PREDICTED_FAIL: PAPER,
    Standing.MEASURED_FAIL: STAYS_BEHIND,
}
_GOOD = (Standing.MEASURED_PASS, Standing.PREDICTED_PASS)
_ORDER = (
    Standing.MEASURED_PASS,
    Standing.PREDICTED_PASS,
    Standing.UNKNOWN,
    Standing.PREDICTED_FAIL,
    Standing.MEASURED_FAIL,
)


@dataclass(frozen=True, slots=True)
class MapCell:
    """One climate temperature and traffic class of one binder.

    Attributes
    ----------
    high_c : float
        Climate temperature [°C].
    service_class : str
        Traffic class; empty where the specification has none.
    standing : Standing
        At the coldest low end that holds; where none does, the best there is.
    low_c : float or None
        That low end [°C]; None where none holds.
    counted_probability : float or None
        Of that grade.
    """

    high_c: float
    service_class: str
    standing: Standing
    low_c: float | None
    counted_probability: float | None


def map_cells(row: Sequence[GradeStanding]) -> tuple[MapCell, ...]:
    """Give the cells of one binder: for each temperature and class the coldest low end that holds.

    Parameters
    ----------
    row : sequence of GradeStanding
        One binder and every grade.

    Returns
    -------
    tuple of MapCell
        Coolest first, mild before severe.
    """
    together: dict[tuple[float, int, str], list[GradeStanding]] = {}
    for one in row:
        key = one.grade.high_temperature_c, one.grade.rank, one.grade.service_class
        together.setdefault(key, []).append(one)
    cells = []
    for (high, _, service), some in sorted(together.items()):
        # A tested low end goes before a colder one that is only expected.
        good = [one for state in _GOOD for one in some if one.standing is state]
        tested = [one for one in good if one.standing is Standing.MEASURED_PASS]
        best = min(tested or good, key=lambda one: one.grade.low_temperature_c, default=None)
        shown = best or min(some, key=lambda one: _ORDER.index(one.standing))
        cells.append(
            MapCell(
                high,
                service,
                shown.standing,
                shown.grade.low_temperature_c if best else None,
                shown.counted_probability,
            )
        )
    return tuple(cells)


def figure_grade_map(standings: Sequence[Sequence[GradeStanding]]) -> Spec:
    """Draw which binder holds which grade.

    Parameters
    ----------
    standings : sequence of sequence of GradeStanding
        By binder, then by grade.

    Returns
    -------
    dict
        One field a binder: climate temperature to the right, traffic class upwards. A filled disc is tested
        there, or under a harder grade of the same binder; a ring is expected; a triangle pointing down falls
        short; a dash is not known. Under a disc or ring stands the coldest low end it holds with, under a
        ring also how sure.
    """
    if not standings:
        return empty_chart("There is no binder in the range.", width=WIDTH)
    fields = [_field(row) for row in standings]
    words = "; ".join(_said(row) for row in standings)
    return chart(
        f"Grade map. {words}.",
        {
            "concat": fields,
            "columns": _ACROSS,
            "spacing": {"row": 22, "column": 26},
            "config": _concat_config(),
        },
    )


def figure_map_key() -> Spec:
    """Draw the key of the grade map: every shape with its word."""
    states = list(_ORDER)
    data = rows(
        x=list(range(len(states))),
        state=[str(state) for state in states],
    )
    place: Spec = {"field": "x", "type": "quantitative", "axis": None, "scale": {"domain": [-0.3, 4.7]}}
    return chart(
        "Key of the grade map: " + ", ".join(f"{STANDING_MARKS[s]} {s}" for s in states) + ".",
        {
            "data": data,
            "width": WIDTH - 20,
            "height": 22,
            "encoding": {"x": place},
            "layer": [
                _points(),
                {
                    "mark": {"type": "text", "align": "left", "dx": 12, "color": INK},
                    "encoding": {"text": {"field": "state"}},
                },
            ],
        },
    )


def _concat_config() -> Spec:
    from resile.report.figures.style import chart as plain

    config: Spec = dict(plain("", {})["config"])
    config["axis"] = {**config["axis"], "grid": False, "domain": False, "ticks": False}
    return config


def _points() -> Spec:
    states = [str(state) for state in _ORDER]

    def scale(table: dict[Standing, str]) -> Spec:
        return {"domain": states, "range": [table[state] for state in _ORDER]}

    return {
        "mark": {"type": "point", "size": 90, "strokeWidth": 1.8, "opacity": 1},
        "encoding": {
            "shape": {"field": "state", "type": "nominal", "scale": scale(_SHAPES), "legend": None},
            "stroke": {"field": "state", "type": "nominal", "scale": scale(_LINES), "legend": None},
            "fill": {"field": "state", "type": "nominal", "scale": scale(_FILLS), "legend": None},
        },
    }


def _field(row: Sequence[GradeStanding]) -> Spec:
    cells = map_cells(row)
    classes = list(dict.fromkeys(cell.service_class for cell in cells))
    data = rows(
        high=[f"{cell.high_c:g}" for cell in cells],
        service=[cell.service_class or "all" for cell in cells],
        state=[str(cell.standing) for cell in cells],
        low=[_low_words(cell) for cell in cells],
        sure=[_sure_words(cell) for cell in cells],
    )
    tones = {"domain": [str(s) for s in _ORDER], "range": [_TONES[s] for s in _ORDER]}
    highs = list(dict.fromkeys(f"{cell.high_c:g}" for cell in cells))
    return {
        "title": {"text": row[0].binder, "anchor": "start", "fontSize": 13, "offset": 6},
        "data": data,
        "width": _CELL * len(highs) - 10,
        "height": _ROW * len(classes) + 6,
        "encoding": {
            "x": {
                "field": "high",
                "type": "ordinal",
                "sort": highs,
                "title": "climate (°C)",
                "axis": {"labelAngle": 0},
                "scale": {"padding": 0},
            },
            "y": {
                "field": "service",
                "type": "ordinal",
                "sort": [one or "all" for one in reversed(classes)],
                "title": "traffic" if any(classes) else None,
                "scale": {"padding": 0},
            },
        },
        "layer": [
            {
                "mark": {"type": "rect", "stroke": HAIRLINE, "strokeWidth": 1},
                "encoding": {"fill": {"field": "state", "type": "nominal", "scale": tones, "legend": None}},
            },
            {**_points(), "mark": {**_points()["mark"], "yOffset": -8, "size": 60}},
            {
                "mark": {"type": "text", "fontSize": 10, "dy": 4, "color": INK},
                "encoding": {"text": {"field": "low"}},
            },
            {
                "mark": {"type": "text", "fontSize": 8.5, "dy": 13, "color": MUTED},
                "encoding": {"text": {"field": "sure"}},
            },
        ],
        "resolve": {"scale": {"fill": "independent", "stroke": "independent", "shape": "independent"}},
    }


def _low_words(cell: MapCell) -> str:
    return "" if cell.low_c is None else f"{cell.low_c:g}".replace("-", "−")


def _sure_words(cell: MapCell) -> str:
    if cell.standing not in (Standing.PREDICTED_PASS, Standing.PREDICTED_FAIL):
        return ""
    return shown_chance(cell.counted_probability).replace(" %", "%")


def _said(row: Sequence[GradeStanding]) -> str:
    good = [cell for cell in map_cells(row) if cell.standing in _GOOD]
    held = ", ".join(f"{c.high_c:g}{c.service_class}{_low_words(c)} {c.standing}" for c in good)
    return f"{row[0].binder}: {held or 'holds nothing'}"
