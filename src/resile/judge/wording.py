"""Numbers and names inside the sentences of a verdict: for words only, the fields keep every digit."""

from __future__ import annotations

import math
from decimal import Decimal

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES

MINUS = "\N{MINUS SIGN}"
_FIGURES = 3
_MOST_FIGURES = 12
# Beyond these a number is written with a power of ten: 1.2e−07 is read more surely than seven noughts.
_SMALLEST, _LARGEST = 1e-6, 1e9


def property_words(quantity: str) -> str:
    """Give the symbol of a property, or the first words of its title where it has none.

    Parameters
    ----------
    quantity : str
        Name from the glossary.

    Returns
    -------
    str
        For example ``Jnr3.2`` or ``flash point``; never the raw name.
    """
    known = QUANTITIES[quantity]
    return known.symbol or known.title.partition(",")[0].partition(" (")[0]


def residue_words(condition: Condition) -> str:
    """Give the state of the binder as an adjective: ``short-term-aged``."""
    return condition.value.replace("_", "-")


def number_words(value: float, *others: float, figures: int = _FIGURES) -> str:
    """Give a number for a sentence: few figures, a true minus sign, apart from the numbers it stands beside.

    Parameters
    ----------
    value : float
        The number.
    *others : float
        Numbers it is compared with; figures are added until it reads differently from each that differs.
    figures : int
        Significant figures at least; a whole number keeps all its digits.

    Returns
    -------
    str
        For example ``−0.21`` or ``2.0004`` beside 2.

    Examples
    --------
    >>> number_words(0.2104333333)
    '0.21'
    >>> number_words(4.50004, 4.5)
    '4.50004'
    """
    apart = [other for other in others if other != value]
    for count in range(figures, _MOST_FIGURES + 1):
        shown = _figured(value, count)
        if all(shown != _figured(other, count) for other in apart):
            return shown
    return _figured(value, _MOST_FIGURES)


def _figured(value: float, figures: int) -> str:
    if math.isinf(value):
        return "∞" if value > 0.0 else f"{MINUS}∞"
    rounded = float(f"{value:.{figures}g}")
    if value == int(value) and abs(value) < _LARGEST:
        rounded = value
    if rounded and not _SMALLEST <= abs(rounded) < _LARGEST:
        return f"{rounded:.{figures}g}".replace("-", MINUS)
    text = f"{Decimal(repr(rounded)):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace("-", MINUS) if rounded else "0"


def limit_words(limit: float) -> str:
    """Give a limit as a document prints it: ``1.0`` rather than ``1``, ``75`` as it is."""
    return f"{limit:.1f}" if limit == int(limit) and 0.0 < limit < 10.0 else number_words(limit, figures=6)


def span_words(span: tuple[float, float], *others: float) -> str:
    """Give the ends of a span, ``24.1 to 29.6``, or one number where both read the same."""
    low, high = (number_words(end, *others, figures=_FIGURES) for end in span)
    return low if low == high else f"{low} to {high}"


def temperature_words(temperature_c: float) -> str:
    """Give a temperature to 0.01 °C without idle noughts: ``64 °C`` for 63.9993, ``64.14 °C``."""
    return f"{number_words(round(temperature_c, 2), figures=6)} °C"


class Worded(float):
    """A number that formats with a true minus sign, for templates of sentences."""

    def __format__(self, spec: str) -> str:
        """Format as a number of Python does."""
        plain = super().__format__(spec)
        if "e" in plain and _SMALLEST <= abs(self) < _LARGEST:
            # A person reads 15 480 kPa, not 1.548e+04: the figures asked for, written out.
            plain = f"{Decimal(plain):f}"
        return plain.replace("-", MINUS)
