"""A map of the sites on a plain grid of degrees: no tiles, no network."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.choice import Choice, SiteNeed
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
    rows,
)

_KM_PER_DEGREE = 111.195
"""Length of a degree of latitude on a sphere of radius 6371 km: pi 6371/180."""
_LEAST_SPAN = 0.5
_MOST_HEIGHT = 360
_LEAST_HEIGHT = 220
MOST_NAMED = 40
_NOBODY = "nobody serves"
_SHAPES = ("circle", "square", "diamond", "triangle-up", "triangle-right", "triangle-left", "triangle-down")
_COLOURS = (SPRINGS_BACK, STRAIN, STAYS_BEHIND, STRESS)


def figure_site_maps(choice: Choice) -> tuple[Spec, ...]:
    """Draw the sites that have coordinates, each with the binder chosen for it.

    Parameters
    ----------
    choice : Choice
        The choice.

    Returns
    -------
    tuple of dict
        One map north of the equator and one south of it, as far as there are sites: longitude to the right,
        latitude upwards, true to scale at the middle latitude (equirectangular); the bar holds there. Shape
        and colour tell the binders apart, a cross a site that nobody serves. A name that would cover another
        one is left out.
    """
    return figure_places(choice.sites, choice.chosen, nothing=_NOBODY)


def figure_places(sites: Sequence[SiteNeed], labels: Sequence[str], *, nothing: str) -> tuple[Spec, ...]:
    """Draw the sites that have coordinates, each under a label that shape and colour tell apart.

    Parameters
    ----------
    sites : sequence of SiteNeed
        The sites.
    labels : sequence of str
        One a site; empty for none.
    nothing : str
        What a site without a label is called; it gets a cross.

    Returns
    -------
    tuple of dict
        As `figure_site_maps`.
    """
    placed = [
        _Placed(float(site.longitude_deg), float(site.latitude_deg), label or nothing, site)
        for site, label in zip(sites, labels, strict=True)
        if site.latitude_deg is not None and site.longitude_deg is not None
    ]
    binders = list(dict.fromkeys(one.binder for one in placed if one.binder != nothing))
    if any(one.binder == nothing for one in placed):
        binders.append(nothing)
    north = [one for one in placed if one.latitude >= 0.0]
    south = [one for one in placed if one.latitude < 0.0]
    return tuple(_map(some, binders, nothing) for some in (north, south) if some)


@dataclass(frozen=True, slots=True)
class _Placed:
    longitude: float
    latitude: float
    binder: str
    site: SiteNeed

    @property
    def words(self) -> str:
        return f"{self.site.name} {self.site.grade.removeprefix('PG ')}".rstrip()


@dataclass(frozen=True, slots=True)
class _Frame:
    """What part of the world is drawn, and how large."""

    west: float
    east: float
    south: float
    north: float
    width: float
    height: float

    @property
    def middle(self) -> float:
        """Length of a degree of longitude in those of latitude, at the middle latitude."""
        return max(math.cos(math.radians((self.south + self.north) / 2.0)), 0.05)

    def pixel(self, one: _Placed) -> tuple[float, float]:
        """Give the place of a site from the upper left corner [px]."""
        x = self.width * (one.longitude - self.west) / (self.east - self.west)
        return x, self.height * (self.north - one.latitude) / (self.north - self.south)


def _map(placed: Sequence[_Placed], binders: Sequence[str], nothing: str) -> Spec:
    frame = _frame(placed)
    here = [name for name in binders if any(one.binder == name for one in placed)]
    layers = [_points(placed, binders, here, nothing)]
    if len(placed) <= MOST_NAMED:
        layers += _names(placed, frame)
    layers += _bar(frame)
    told = "; ".join(f"{one.words}, {one.binder}" for one in placed[:60])
    return chart(
        f"Map of {len(placed)} sites. {told}.",
        {
            "width": frame.width,
            "height": frame.height,
            "encoding": {
                "x": _axis("longitude", (frame.west, frame.east), "E", "W"),
                "y": _axis("latitude", (frame.south, frame.north), "N", "S"),
            },
            "layer": layers,
        },
    )


def _frame(placed: Sequence[_Placed]) -> _Frame:
    west, east = _widened([one.longitude for one in placed], 180.0)
    south, north = _widened([one.latitude for one in placed], 90.0)
    middle = max(math.cos(math.radians((south + north) / 2.0)), 0.05)
    width = WIDTH - 60.0
    height = width * (north - south) / ((east - west) * middle)
    if height > _MOST_HEIGHT:  # a narrow country keeps its scale: more of the sea beside it is drawn
        wider = min(height / _MOST_HEIGHT, 360.0 / (east - west))
        centre, reach = (west + east) / 2.0, (east - west) * wider / 2.0
        west, east, height = centre - reach, centre + reach, float(_MOST_HEIGHT)
    if height < _LEAST_HEIGHT:
        centre, reach = (south + north) / 2.0, (north - south) * _LEAST_HEIGHT / height / 2.0
        south, north, height = centre - reach, centre + reach, float(_LEAST_HEIGHT)
    return _Frame(west, east, south, north, width, height)


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


def _points(placed: Sequence[_Placed], binders: Sequence[str], here: Sequence[str], nothing: str) -> Spec:
    """Draw the marks; a binder keeps shape and colour from map to map."""
    look = {name: (_SHAPES[n % len(_SHAPES)], _COLOURS[n % len(_COLOURS)]) for n, name in enumerate(binders)}
    look[nothing] = ("cross", INK)
    legend = {"title": None, "orient": "top", "columns": 4, "labelFontSize": 12, "labelColor": INK}
    return {
        "data": rows(
            longitude=[one.longitude for one in placed],
            latitude=[one.latitude for one in placed],
            binder=[one.binder for one in placed],
        ),
        "mark": {"type": "point", "filled": True, "size": 95, "opacity": 1, "stroke": PAPER},
        "encoding": {
            "shape": {
                "field": "binder",
                "type": "nominal",
                "scale": {"domain": list(here), "range": [look[name][0] for name in here]},
                "legend": legend,
            },
            "color": {
                "field": "binder",
                "type": "nominal",
                "scale": {"domain": list(here), "range": [look[name][1] for name in here]},
            },
        },
    }


def _names(placed: Sequence[_Placed], frame: _Frame) -> list[Spec]:
    """Write each name beside its mark, where it covers no mark and no other name."""
    taken = [_box(*frame.pixel(one), 12.0, 12.0) for one in placed]
    layers = []
    for one in placed:
        x, y = frame.pixel(one)
        length = _LETTER * len(one.words)
        for align, dx, dy in _SIDES:
            middle = x + dx + (length / 2.0 if align == "left" else -length / 2.0)
            box = _box(middle, y + dy, length, _LINE)
            if box[0] >= 0.0 and box[1] <= frame.width and not any(_meet(box, other) for other in taken):
                taken.append(box)
                layers.append(_name(one, align, dx, dy))
                break
    return layers


_LETTER = 5.4
"""Width a letter needs in the mean [px]."""
_LINE = 12.0
_SIDES = tuple((align, dx, dy) for dy in (0.0, -11.0, 11.0) for align, dx in (("left", 9.0), ("right", -9.0)))


def _name(one: _Placed, align: str, dx: float, dy: float) -> Spec:
    return {
        "data": rows(longitude=[one.longitude], latitude=[one.latitude]),
        "mark": {
            "type": "text",
            "text": one.words,
            "align": align,
            "dx": dx,
            "dy": dy,
            "fontSize": 10.5,
            "color": INK,
        },
    }


def _box(x: float, y: float, width: float, height: float) -> tuple[float, float, float, float]:
    return x - width / 2.0, x + width / 2.0, y - height / 2.0, y + height / 2.0


def _meet(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]


def _bar(frame: _Frame) -> list[Spec]:
    """Draw a bar of a round number of kilometres, true at the middle latitude."""
    per_degree = _KM_PER_DEGREE * frame.middle
    room = 0.22 * (frame.east - frame.west) * per_degree
    power = 10.0 ** math.floor(math.log10(room))
    length = max(step * power for step in (1.0, 2.0, 5.0) if step * power <= room)
    left = frame.west + 0.03 * (frame.east - frame.west)
    at = frame.south + 0.04 * (frame.north - frame.south)
    latitude = (
        f"{abs((frame.south + frame.north) / 2.0):.0f}° {'N' if frame.north + frame.south > 0.0 else 'S'}"
    )
    return [
        {
            "data": rows(longitude=[left, left + length / per_degree], latitude=[at, at]),
            "mark": {"type": "line", "color": MUTED, "strokeWidth": 3},
        },
        {
            "data": rows(longitude=[left], latitude=[at]),
            "mark": {
                "type": "text",
                "text": f"{length:g} km at {latitude}",
                "align": "left",
                "dy": -9,
                "fontSize": 10.5,
                "color": MUTED,
            },
        },
    ]
