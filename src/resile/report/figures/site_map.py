"""A map of the sites on a plain grid of degrees: no tiles, no network."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.choice import Choice
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    PAPER,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    STRESS,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    rows,
)

_KM_PER_DEGREE = 111.195
"""Length of a degree of latitude on a sphere of radius 6371 km: pi 6371/180."""
_LEAST_SPAN = 0.5
_MOST_HEIGHT = 560
_LEAST_HEIGHT = 220
MOST_NAMED = 40
_NOBODY = "nobody serves"
_SHAPES = ("circle", "square", "diamond", "triangle-up", "triangle-right", "triangle-left", "M-1,-1H1V1H-1Z")
_COLOURS = (SPRINGS_BACK, STRAIN, STAYS_BEHIND, STRESS)


def figure_site_map(choice: Choice) -> Spec:
    """Draw the sites that have coordinates, each with the binder chosen for it.

    Parameters
    ----------
    choice : Choice
        The choice.

    Returns
    -------
    dict
        Longitude to the right, latitude upwards, true to scale at the middle latitude (equirectangular); the
        bar holds there. Shape and colour tell the binders apart, a cross a site that nobody serves.
    """
    placed = [
        (site, name or _NOBODY)
        for site, name in zip(choice.sites, choice.chosen, strict=True)
        if site.latitude_deg is not None and site.longitude_deg is not None
    ]
    if not placed:
        return empty_chart("No site has coordinates.", width=WIDTH)
    longitudes = [float(site.longitude_deg or 0.0) for site, _ in placed]
    latitudes = [float(site.latitude_deg or 0.0) for site, _ in placed]
    west, east = _widened(longitudes, 180.0)
    south, north = _widened(latitudes, 90.0)
    middle = math.cos(math.radians((south + north) / 2.0))
    width = WIDTH - 60
    height = width * (north - south) / ((east - west) * max(middle, 0.05))
    if height > _MOST_HEIGHT:  # a narrow country keeps its scale: more of the sea beside it is drawn
        wider = min(height / _MOST_HEIGHT, 360.0 / (east - west))
        centre, reach = (west + east) / 2.0, (east - west) * wider / 2.0
        west, east, height = centre - reach, centre + reach, _MOST_HEIGHT
    if height < _LEAST_HEIGHT:
        centre, reach = (south + north) / 2.0, (north - south) * _LEAST_HEIGHT / height / 2.0
        south, north, height = centre - reach, centre + reach, _LEAST_HEIGHT
    binders = list(dict.fromkeys(name for _, name in placed if name != _NOBODY))
    data = rows(
        longitude=longitudes,
        latitude=latitudes,
        binder=[name for _, name in placed],
        words=[f"{site.name} {site.grade.removeprefix('PG ')}" for site, _ in placed],
    )
    layers: list[Spec] = [_points(data, binders, any(name == _NOBODY for _, name in placed))]
    if len(placed) <= MOST_NAMED:
        layers.append(_names(data, longitudes, (west, east)))
    layers += _bar((west, east), south, north, middle)
    return chart(
        f"Map of {len(placed)} sites. "
        + "; ".join(f"{site.name}: {site.grade or 'no grade reaches'}, {name}" for site, name in placed[:60])
        + ".",
        {
            "width": width,
            "height": height,
            "encoding": {
                "x": _axis("longitude", (west, east), "E", "W"),
                "y": _axis("latitude", (south, north), "N", "S"),
            },
            "layer": layers,
        },
    )


def _widened(values: Sequence[float], most: float) -> tuple[float, float]:
    low, high = min(values), max(values)
    span = max(high - low, _LEAST_SPAN)
    middle = (low + high) / 2.0
    reach = span / 2.0 * 1.24
    return max(-most, middle - reach), min(most, middle + reach)


def _axis(field: str, domain: tuple[float, float], plus: str, minus: str) -> Spec:
    side = f"datum.value > 0 ? ' {plus}' : datum.value < 0 ? ' {minus}' : ''"
    label = f"format(abs(datum.value), '~r') + '°' + ({side})"
    return {
        "field": field,
        "type": "quantitative",
        "title": None,
        "scale": {"domain": list(domain), "nice": False, "zero": False},
        "axis": {"labelExpr": label, "grid": True, "tickCount": 6, "gridColor": HAIRLINE},
    }


def _points(data: Spec, binders: list[str], any_unserved: bool) -> Spec:
    names = [*binders, *([_NOBODY] if any_unserved else [])]
    shapes = [_SHAPES[place % len(_SHAPES)] for place in range(len(binders))]
    colours = [_COLOURS[place % len(_COLOURS)] for place in range(len(binders))]
    if any_unserved:
        shapes.append("cross")
        colours.append(INK)
    legend = {"title": None, "orient": "top", "columns": 4, "labelFontSize": 12, "labelColor": INK}
    return {
        "data": data,
        "mark": {"type": "point", "filled": True, "size": 95, "opacity": 1, "stroke": PAPER},
        "encoding": {
            "shape": {
                "field": "binder",
                "type": "nominal",
                "scale": {"domain": names, "range": shapes},
                "legend": legend,
            },
            "color": {"field": "binder", "type": "nominal", "scale": {"domain": names, "range": colours}},
        },
    }


def _names(data: Spec, longitudes: Sequence[float], domain: tuple[float, float]) -> Spec:
    """Write each name on the side where there is room."""
    edge = domain[0] + 0.72 * (domain[1] - domain[0])
    return {
        "data": data,
        "layer": [
            {
                "transform": [{"filter": f"datum.longitude <= {edge}"}],
                "mark": {"type": "text", "align": "left", "dx": 8, "fontSize": 10.5, "color": INK},
                "encoding": {"text": {"field": "words"}},
            },
            {
                "transform": [{"filter": f"datum.longitude > {edge}"}],
                "mark": {"type": "text", "align": "right", "dx": -8, "fontSize": 10.5, "color": INK},
                "encoding": {"text": {"field": "words"}},
            },
        ],
    }


def _bar(ends: tuple[float, float], south: float, north: float, middle: float) -> list[Spec]:
    """Draw a bar of a round number of kilometres, true at the middle latitude."""
    per_degree = _KM_PER_DEGREE * max(middle, 0.05)
    room = 0.22 * (ends[1] - ends[0]) * per_degree
    power = 10.0 ** math.floor(math.log10(room))
    length = max(step * power for step in (1.0, 2.0, 5.0) if step * power <= room)
    left = ends[0] + 0.03 * (ends[1] - ends[0])
    at = south + 0.05 * (north - south)
    right = left + length / per_degree
    return [
        {
            "data": rows(longitude=[left, right], latitude=[at, at]),
            "mark": {"type": "line", "color": MUTED, "strokeWidth": 3},
        },
        {
            "data": rows(longitude=[left], latitude=[at]),
            "mark": {
                "type": "text",
                "text": f"{length:g} km at {(south + north) / 2.0:.0f}° of latitude".replace("-", "−"),
                "align": "left",
                "dy": -9,
                "fontSize": 10.5,
                "color": MUTED,
            },
        },
    ]
