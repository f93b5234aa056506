"""Short words for limits and shares of a blend, the same on page, paper, picture and terminal."""

from __future__ import annotations

from collections.abc import Mapping

from resile.records.blending.limit import BlendLimit, Response
from resile.records.quantity import QUANTITIES
from resile.report.numbers import fixed, shown_limit
from resile.report.words import CONDITION_WORDS, symbol_of

SIGNS = {"maximum": "≤", "minimum": "≥"}


def short_limit(limit: BlendLimit) -> str:
    """Give a limit in a few letters: ``Jnr3.2 ≤ 2.0``.

    Parameters
    ----------
    limit : BlendLimit
        The limit.

    Returns
    -------
    str
        Symbol, sign, value; the symbol between bars for an absolute value.
    """
    symbol = symbol_of(limit.response.quantity)
    name = f"|{symbol}|" if limit.absolute else symbol
    return f"{name} {SIGNS[limit.bound]} {limit_number(limit)}"


def limit_number(limit: BlendLimit) -> str:
    """Give the value of a limit with the digits it was written with."""
    return shown_limit(limit.value, limit.response.quantity)


def limit_with_unit(limit: BlendLimit) -> str:
    """Give sign, value and unit of a limit: ``≤ 2.0 1/kPa``."""
    unit = unit_of(limit.response)
    return f"{SIGNS[limit.bound]} {limit_number(limit)}{f' {unit}' if unit else ''}"


def unit_of(response: Response) -> str:
    """Give the unit of a property; empty for a bare number."""
    known = QUANTITIES.get(response.quantity)
    return known.unit if known else ""


def title_of_response(response: Response) -> str:
    """Give a property in words."""
    known = QUANTITIES.get(response.quantity)
    return known.title if known else response.quantity


def response_words(response: Response) -> str:
    """Give property, residue and temperature: ``Jnr3.2, short-term-aged, 64 °C``."""
    symbol = symbol_of(response.quantity)
    at = "" if response.temperature_c is None else f", {response.temperature_c:g} °C"
    return f"{symbol}, {CONDITION_WORDS[response.condition]}{at}"


def percent_words(percent: Mapping[str, float], *, decimals: int = 1) -> str:
    """Give a recipe in one line: ``Soft 42.1 %, Hard 33.0 %``; components that are not in it are left out."""
    return ", ".join(
        f"{name} {fixed(share, decimals)} %"
        for name, share in percent.items()
        if share >= 0.5 * 10**-decimals
    )
