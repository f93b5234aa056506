"""Scatter of a test or of a plant as a person gives it, taken to the watched scale."""

from __future__ import annotations

import math

from resile.errors import InputError
from resile.judge.results.precision import precision_at
from resile.records.control.production import WatchedProperty
from resile.specifications.load import load_all_precision

BASES = ("repeatability", "reproducibility")


def scatter_on_scale(given: str, watched: WatchedProperty, *, what: str) -> tuple[float, str]:
    """Read a standard deviation as given.

    Parameters
    ----------
    given : str
        ``5%`` of the value, ``0.02`` in the unit of the property, or (for a test) ``repeatability`` or
        ``reproducibility``: as published for a value at the limit.
    watched : WatchedProperty
        Property with its limit and scale.
    what : str
        Whose scatter it is, for the words of an error: ``test`` or ``plant``.

    Returns
    -------
    tuple of (float, str)
        Standard deviation on the watched scale, and where it comes from.

    Raises
    ------
    InputError
        Where the text is neither, a percentage is needed or published precision is missing.

    Notes
    -----
    On a log scale ``sqrt(ln(1 + c²))/ln 10`` with the coefficient of variation ``c``; a standard deviation in
    the unit is taken at the limit.
    """
    text = given.strip()
    if text in BASES:
        return _published(text, watched)
    number = text.removesuffix("%").strip()
    try:
        value = float(number)
    except ValueError:
        raise InputError(
            f"scatter of the {what}: '{given}' found; 5% of the value, 0.02 in the unit of the property, "
            f"{BASES[0]} or {BASES[1]} is needed"
        ) from None
    if not (math.isfinite(value) and value >= 0.0):
        raise InputError(f"scatter of the {what}: '{given}' found; a number of at least 0 is needed")
    if text.endswith("%"):
        return _relative(value / 100.0, watched), f"{value:g} % of the value"
    return _absolute(value, watched, what), f"{value:g} {watched.unit}".strip()


def _published(basis: str, watched: WatchedProperty) -> tuple[float, str]:
    at = _limit(watched, basis)
    found = precision_at(at, watched.quantity, watched.condition, load_all_precision())
    standard = found.repeatability if basis == BASES[0] else found.reproducibility
    if standard is None:
        raise InputError(
            f"{basis} at the limit of {at:g} {watched.unit}: {found.note}; give a number instead"
        )
    return _absolute(standard, watched, "test"), f"{basis} at the limit, {found.note}"


def _relative(ratio: float, watched: WatchedProperty) -> float:
    if watched.scale == "log":
        return math.sqrt(math.log1p(ratio * ratio)) / math.log(10.0)
    return ratio * abs(_limit(watched, "a percentage"))


def _absolute(value: float, watched: WatchedProperty, what: str) -> float:
    if watched.scale != "log":
        return value
    return _relative(value / _limit(watched, f"the scatter of the {what} in its unit"), watched)


def _limit(watched: WatchedProperty, why: str) -> float:
    if watched.limit is None:
        raise InputError(f"{watched.quantity}: {why} is taken at the limit; a limit is needed")
    return watched.limit
