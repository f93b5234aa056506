"""Limits as windows in which a property must lie, those of one property together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import MeasurementError
from resile.records.blending.limit import BlendLimit
from resile.records.blending.surface import Surface


@dataclass(frozen=True, slots=True)
class KeptWindow:
    """Where a property must lie, on the scale of its fit.

    Attributes
    ----------
    surface : Surface
        What predicts it.
    lower, upper : float
        Ends of the window; infinite where there is none.
    limits : tuple of int
        Places of the limits that it is made of.
    ends : tuple of tuple of float
        Ends for each of these limits.
    """

    surface: Surface
    lower: float
    upper: float
    limits: tuple[int, ...]
    ends: tuple[tuple[float, float], ...]


def limit_ends(limit: BlendLimit, scale: str) -> tuple[float, float]:
    """Give the ends between which a limit keeps a property, on the scale of its fit.

    Parameters
    ----------
    limit : BlendLimit
        The limit.
    scale : str
        ``"logarithm"`` (natural) or ``"value"``.

    Returns
    -------
    tuple of float
        Lower and upper end; infinite where open.

    Raises
    ------
    MeasurementError
        Where bound or scale is not known, or a property that is always above zero must stay below it.

    Examples
    --------
    >>> from resile.records.blending.limit import Response
    >>> from resile.records.determination import Condition
    >>> mass = Response("mass_change_percent", Condition.SHORT_TERM_AGED, None)
    >>> limit_ends(BlendLimit(mass, "maximum", 1.0, absolute=True), "value")
    (-1.0, 1.0)
    """
    if limit.bound not in ("maximum", "minimum") or scale not in ("logarithm", "value"):
        raise MeasurementError(f"limit {limit.title}: bound '{limit.bound}' or scale '{scale}' is not known")
    if limit.absolute and limit.bound == "minimum":
        raise MeasurementError(f"limit {limit.title}: a smallest absolute value is not one window")
    if scale == "value":
        if limit.bound == "minimum":
            return limit.value, math.inf
        return (-limit.value if limit.absolute else -math.inf), limit.value
    if limit.bound == "minimum":
        return (math.log(limit.value) if limit.value > 0.0 else -math.inf), math.inf
    if limit.value <= 0.0:
        raise MeasurementError(
            f"limit {limit.title}: at most {limit.value:g} cannot be kept by what is above 0"
        )
    return -math.inf, math.log(limit.value)


def kept_windows(limits: Sequence[BlendLimit], surfaces: Sequence[Surface]) -> tuple[KeptWindow, ...]:
    """Put the limits of one property together.

    Parameters
    ----------
    limits : sequence of BlendLimit
        The limits.
    surfaces : sequence of Surface
        One for each limit.

    Returns
    -------
    tuple of KeptWindow
        One for each response, in the order of the limits.

    Raises
    ------
    MeasurementError
        As in `limit_ends`.
    """
    places: dict[object, list[int]] = {}
    for place, surface in enumerate(surfaces):
        places.setdefault(surface.response, []).append(place)
    found = []
    for some in places.values():
        surface = surfaces[some[0]]
        ends = tuple(limit_ends(limits[place], surface.scale) for place in some)
        found.append(KeptWindow(surface, max(e[0] for e in ends), min(e[1] for e in ends), tuple(some), ends))
    return tuple(found)
