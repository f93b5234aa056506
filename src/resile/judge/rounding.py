"""Rounding before a comparison, as decimals are written and not as they are stored."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

_ROUNDINGS = {"half-even": ROUND_HALF_EVEN, "half-up": ROUND_HALF_UP}


def rounded(value: float, decimals: int | None, rounding: str) -> float:
    """Round a number to decimals.

    Parameters
    ----------
    value : float
        Finite.
    decimals : int or None
        Decimals that stay; None leaves the number as it is.
    rounding : str
        ``"none"``, ``"half-even"`` or ``"half-up"``.

    Returns
    -------
    float
        The nearest binary number of the rounded decimal.

    Examples
    --------
    >>> rounded(2.675, 2, "half-up")
    2.68
    """
    if rounding == "none" or decimals is None:
        return value
    return float(
        Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), rounding=_ROUNDINGS[rounding])
    )


def written_decimals(value: float) -> int:
    """Give the decimals of a number as it is written: 2 for 33.98, 0 for 200.

    Examples
    --------
    >>> written_decimals(33.98), written_decimals(200.0)
    (2, 0)
    """
    exponent = Decimal(repr(float(value))).normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def figure_decimals(value: float, figures: int) -> int:
    """Give the decimals at which a number shows so many significant figures: 2 for 0.107 and two figures.

    Examples
    --------
    >>> figure_decimals(0.10743, 2), figure_decimals(15.2, 2)
    (2, 0)
    """
    return max(0, figures - 1 - Decimal(repr(float(value))).adjusted())
