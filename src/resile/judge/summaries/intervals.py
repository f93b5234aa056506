"""Printed numbers as spans: what a value may have been before rounding, and what slips could have made it."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from resile.records.determination import Determination

_DIGITS = re.compile(r"^\s*([+-]?)(\d*)(?:[.,](\d*))?(?:[eE]([+-]?\d+))?\s*%?\s*$")
_LEADING_ZERO = re.compile(r"^\s*[+-]?0\d")  # nobody prints 04.0
# Slack for numbers that carry every digit of a binary number: a few last places, no more.
_RELATIVE_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Printed:
    """A value as printed, with the span it may stand for.

    Attributes
    ----------
    value : float
        In the unit of the glossary.
    half : float
        Half a unit of the last printed digit, in that unit.
    text : str
        As printed.
    factor : float
        Value divided by the number in `text` (100 where a ratio was turned into per cent).
    """

    value: float
    half: float
    text: str
    factor: float = 1.0

    @property
    def ends(self) -> tuple[float, float]:
        """Lowest and highest value the print may stand for.

        Returns
        -------
        tuple of float
            Lower and upper end.
        """
        slack = self.half + abs(self.value) * _RELATIVE_SLACK
        return self.value - slack, self.value + slack

    def scaled(self, factor: float) -> Printed:
        """Give the print as if it stood in another unit.

        Parameters
        ----------
        factor : float
            New unit over old.

        Returns
        -------
        Printed
            Value and span times the factor.
        """
        return Printed(self.value * factor, self.half * factor, self.text, self.factor * factor)


def number_in(text: str) -> float | None:
    """Read a plain printed number, or give None.

    Parameters
    ----------
    text : str
        A number with point or comma, perhaps with an exponent or a percent sign.

    Returns
    -------
    float or None
        None where the text is no such number.
    """
    match = _DIGITS.match(text)
    if match is None or not (match[2] or match[3]):
        return None
    return float(f"{match[1]}{match[2] or '0'}.{match[3] or '0'}e{match[4] or '0'}")


def printed(determination: Determination) -> Printed | None:
    """Give the printed span of a determination, or None where it has no number.

    Parameters
    ----------
    determination : Determination
        A reported value.

    Returns
    -------
    Printed or None
        None where there is no finite number.

    Notes
    -----
    The resolution is the one stated, else that of the printed text; a value with neither is taken as exact.
    """
    value = determination.value
    if value is None or not math.isfinite(value):
        return None
    number = number_in(determination.text)
    factor = value / number if number else 1.0
    resolution = determination.resolution
    if resolution is None and number is not None:
        resolution = _last_place(determination.text) * abs(factor)
    return Printed(value, (resolution or 0.0) / 2.0, determination.text or f"{value:.12g}", factor)


def _last_place(text: str) -> float:
    match = _DIGITS.match(text)
    if match is None:
        return 0.0
    return float(10.0 ** (int(match[4] or 0) - len(match[3] or "")))


def span_of(formula: Callable[..., float], inputs: tuple[Printed, ...]) -> tuple[float, float]:
    """Give the lowest and highest value of a formula over the spans of its inputs.

    Parameters
    ----------
    formula : callable
        Gives a number from the inputs.
    inputs : tuple of Printed
        In the order of the arguments.

    Returns
    -------
    tuple of float
        Lower and upper end; everything, where the formula has no value.

    Notes
    -----
    The formulas used here rise or fall in each input over the spans that occur, so the ends suffice.
    """
    corners: list[float] = []
    for mask in range(2 ** len(inputs)):
        values = [item.ends[(mask >> place) & 1] for place, item in enumerate(inputs)]
        try:
            corners.append(formula(*values))
        except (ZeroDivisionError, ValueError, OverflowError):  # no value there: nothing can be refuted
            return -math.inf, math.inf
    return min(corners), max(corners)


def overlaps(first: tuple[float, float], second: tuple[float, float]) -> bool:
    """Tell whether two spans have a number in common.

    Parameters
    ----------
    first, second : tuple of float
        Lower and upper ends.

    Returns
    -------
    bool
        True where they touch or overlap.
    """
    return first[0] <= second[1] and second[0] <= first[1]


def with_exchanged_digits(item: Printed) -> Iterator[tuple[str, Printed]]:
    """Give every print that differs by two neighbouring digits exchanged.

    Parameters
    ----------
    item : Printed
        A reported value.
    """
    text = item.text
    places = [i for i, sign in enumerate(text) if sign.isdigit()]
    for first, second in itertools.pairwise(places):
        if text[first] != text[second]:
            signs = list(text)
            signs[first], signs[second] = signs[second], signs[first]
            yield from _as_print("".join(signs), item)


def with_shifted_point(item: Printed) -> Iterator[tuple[str, Printed]]:
    """Give the print ten times and a tenth as large: a zero lost or added, a point misplaced.

    Parameters
    ----------
    item : Printed
        A reported value.
    """
    for factor in (10.0, 0.1):
        number = number_in(item.text)
        if number:
            shifted = item.scaled(factor)
            yield f"{number * factor:.12g}", Printed(shifted.value, item.half, item.text, item.factor)


def with_changed_digit(item: Printed) -> Iterator[tuple[str, Printed]]:
    """Give every print that differs in one digit.

    Parameters
    ----------
    item : Printed
        A reported value.
    """
    for place, sign in enumerate(item.text):
        if not sign.isdigit():
            continue
        for digit in "0123456789":
            if digit != sign:
                yield from _as_print(item.text[:place] + digit + item.text[place + 1 :], item)


def with_one_digit_less(item: Printed) -> Iterator[tuple[str, Printed]]:
    """Give every print with one digit taken away.

    Parameters
    ----------
    item : Printed
        A reported value.
    """
    for place, sign in enumerate(item.text):
        if sign.isdigit():
            yield from _as_print(item.text[:place] + item.text[place + 1 :], item)


def with_one_digit_more(item: Printed) -> Iterator[tuple[str, Printed]]:
    """Give every print with one digit put in; a nought or a digit before the first changes the size of it.

    Parameters
    ----------
    item : Printed
        A reported value.
    """
    for place in range(len(item.text) + 1):
        for digit in "0123456789":
            yield from _as_print(item.text[:place] + digit + item.text[place:], item)


def _as_print(text: str, item: Printed) -> Iterator[tuple[str, Printed]]:
    number = number_in(text)
    if number is not None and not _LEADING_ZERO.match(text):
        yield text, Printed(number * item.factor, item.half, text, item.factor)
