"""What a published precision statement says at one value: the band it falls in, or that it falls in none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from resile.judge.wording import number_words, property_words, residue_words
from resile.records.determination import Condition
from resile.records.specification import PrecisionBand, PrecisionStatement

# ASTM C670: difference (n = 2) or range (n = 3 to 10) of n results that 95 % of cases do not exceed, in
# multiples of one standard deviation. From memory (high); equal to the studentised range q(0.95, n,
# infinity) to one decimal.
RANGE_FACTORS = {2: 2.8, 3: 3.3, 4: 3.6, 5: 3.9, 6: 4.0, 7: 4.2, 8: 4.3, 9: 4.4, 10: 4.5}


@dataclass(frozen=True, slots=True)
class Precision:
    """Published standard deviations at one value.

    Attributes
    ----------
    repeatability, reproducibility : float or None
        Single-operator and multilaboratory standard deviation, in the unit of the quantity.
    note : str
        Document and band, or why there is none.
    covered : bool
        True where a statement has rows for the quantity at all, so that a value outside them is worth a word.
    repeatability_limit, reproducibility_limit : float or None
        Difference of two results (d2s) of one operator and of two laboratories, in the unit of the quantity:
        as printed, else 2.8 standard deviations (ASTM C670).
    """

    repeatability: float | None
    reproducibility: float | None
    note: str
    covered: bool = True
    repeatability_limit: float | None = None
    reproducibility_limit: float | None = None


def range_factor(count: int) -> float:
    """Give the factor for the range of `count` results; above ten, the factor for ten (the stricter one).

    Parameters
    ----------
    count : int
        Number of results.

    Returns
    -------
    float
        Multiple of the repeatability standard deviation.
    """
    return RANGE_FACTORS[min(max(count, 2), 10)]


def _holds(band: PrecisionBand, value: float) -> bool:
    if band.above is not None and (value < band.above or (band.above_exclusive and value <= band.above)):
        return False
    return band.up_to is None or value <= band.up_to


def _scaled(percent: float | None, absolute: float | None, value: float) -> float | None:
    if absolute is not None:
        return absolute
    # A coefficient of variation says nothing about a value at or below zero.
    return percent / 100.0 * value if percent is not None and value > 0.0 else None


def _limit(printed_percent: float | None, standard: float | None, value: float) -> float | None:
    """Give the difference of two results: as printed, else from the standard deviation."""
    printed = _scaled(printed_percent, None, value)
    if printed is not None:
        return printed
    return None if standard is None else RANGE_FACTORS[2] * standard


def precision_at(
    value: float, quantity: str, condition: Condition, statements: Iterable[PrecisionStatement]
) -> Precision:
    """Look up the published precision of a value.

    Parameters
    ----------
    value : float
        The value, in the unit of the glossary.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue tested; a band that names a residue holds for no other.
    statements : iterable of PrecisionStatement
        The first one with a row for the quantity is used.

    Returns
    -------
    Precision
        Standard deviations, or None with the reason in `note`: bands and gaps count as printed.
    """
    symbol = property_words(quantity)
    for statement in statements:
        rows = [band for band in statement.bands if band.quantity == quantity]
        if not rows:
            continue
        rows = [band for band in rows if band.condition in (None, condition)]
        if not rows:
            residue = residue_words(condition)
            return Precision(
                None, None, f"no published precision for {residue} binder in {statement.document}"
            )
        for band in rows:
            if _holds(band, value):
                single = _scaled(band.single_operator_percent, band.single_operator_sd, value)
                several = _scaled(band.multilaboratory_percent, band.multilaboratory_sd, value)
                if single is None and several is None:
                    break
                return Precision(
                    single,
                    several,
                    f"{statement.document}: {band.title or symbol}",
                    repeatability_limit=_limit(band.single_operator_limit_percent, single, value),
                    reproducibility_limit=_limit(band.multilaboratory_limit_percent, several, value),
                )
        return Precision(
            None,
            None,
            f"no published precision for {symbol} of {number_words(value)}: "
            f"outside the bands of {statement.document}",
        )
    return Precision(None, None, f"no published precision for {symbol}", covered=False)
