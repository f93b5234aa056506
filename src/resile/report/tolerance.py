"""Tolerance zones of check materials and the readings beside them, with the decimals they are compared in."""

from __future__ import annotations

from resile.records.laboratories import ToleranceZone
from resile.report.numbers import ShowRule, decimals_of, fixed

_FIGURES = 4


def zone_words(zone: ToleranceZone) -> str:
    """Give both ends of a zone: ``33.87 to 34.09``."""
    return f"{reading_words(zone.lower, zone)} to {reading_words(zone.upper, zone)}"


def reading_words(value: float, zone: ToleranceZone) -> str:
    """Give a reading, or an end, with the decimals of its zone; four significant figures at least."""
    figures = decimals_of(value, ShowRule(f"{_FIGURES} significant figures", significant=_FIGURES))
    return fixed(value, figures if zone.decimals is None else max(zone.decimals, 0))
