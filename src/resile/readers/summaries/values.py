"""One printed value: its number, its unit brought to the glossary's, and how finely it was printed."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal

from resile.readers.grids.cells import Cell, exact_text
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_text import MISSING_WORDS, parse_number, why_no_number
from resile.readers.grids.printed_units import read_unit
from resile.records.quantity import QUANTITIES
from resile.units import Unit, convert, find_unit

_DIGITS = re.compile(r"\d+(?:[.,](\d*))?(?:[eE]([+-]?\d+))?\s*$")
_NUMBER_WITH_UNIT = re.compile(
    r"([+−-]?[\d.,]*\d[\d.,]*(?:[eE][+-]?\d+)?)(?:\s*([^\d\s±<>=≤≥–−-].*)|\s+(1/\S+))"
)
_DASHES = frozenset({"-", "–", "—"})
_SLOPE_UNITS = frozenset({"%/kpa", "%", "% per kpa", "%/kpa step"})


@dataclass(frozen=True, slots=True)
class PrintedValue:
    """A cell that should hold a number.

    Attributes
    ----------
    text : str
        As printed.
    number : float or None
        As printed, not converted; None where there is none.
    unit_text : str
        Unit printed in the same cell; empty where there is none.
    missing : bool
        The cell is empty or says that nothing was measured.
    reason : str
        Why there is no number; empty where there is one.
    """

    text: str
    number: float | None
    unit_text: str = ""
    missing: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Conversion:
    """How a printed unit becomes the unit of the glossary: ``factor * printed + offset``."""

    unit_found: str
    unit_taken: str
    factor: float
    offset: float = 0.0
    remark: str = ""

    def apply(self, number: float) -> float:
        """Give a printed number in the unit of the glossary.

        Notes
        -----
        Powers of ten are applied to the decimal digits, so that 0.29 as a fraction is 29 %, not 28.999…96 %:
        a limit must not be missed by the arithmetic.
        """
        exponent = round(math.log10(self.factor))
        if self.offset == 0.0 and math.isclose(self.factor, 10.0**exponent, rel_tol=1e-12):
            return float(Decimal(repr(number)).scaleb(exponent))
        return self.factor * number + self.offset


def read_printed(cell: Cell, grid: Grid) -> PrintedValue:
    """Read a cell that should hold a number, with or without its unit.

    Parameters
    ----------
    cell : str, float or None
        The cell.
    grid : Grid
        Where it stands; tells the decimal mark.

    Returns
    -------
    PrintedValue
        The number, or the reason why there is none.
    """
    text = exact_text(cell)
    if isinstance(cell, float):
        return PrintedValue(text, cell)
    if text.casefold() in MISSING_WORDS:
        return PrintedValue(text, None, missing=True, reason=why_no_number(text))
    number = parse_number(text, grid.decimal_mark, grid.thousands_mark)
    if number is not None:
        return PrintedValue(text, number)
    split = _NUMBER_WITH_UNIT.fullmatch(text)
    number = parse_number(split[1], grid.decimal_mark, grid.thousands_mark) if split else None
    unit_text = (split[2] or split[3]) if split else ""
    if split and number is not None and read_unit(unit_text)[0] is not None:
        return PrintedValue(text, number, unit_text)
    return PrintedValue(text, None, reason=why_no_number(text))


def printed_resolution(text: str, conversion: Conversion) -> float | None:
    """Give one unit of the last printed digit, in the unit of the glossary.

    Examples
    --------
    >>> printed_resolution("0.8606", Conversion("1/kPa", "1/kPa", 1.0))
    0.0001
    """
    found = _DIGITS.search(text)
    if not found:
        return None
    exponent = int(found[2] or 0) - len(found[1] or "")
    if not -300 < exponent < 300:
        return None
    return Conversion("", "", conversion.factor).apply(float(f"1e{exponent}"))


def find_conversion(quantity: str, unit_text: str) -> Conversion | str:
    """Give how a printed unit becomes the unit of a quantity.

    Parameters
    ----------
    quantity : str
        Name from the glossary; `temperature_c` and `stress_kpa` too.
    unit_text : str
        Unit as printed; empty takes the unit of the glossary and says so.

    Returns
    -------
    Conversion or str
        The reason, as a sentence part, where the unit cannot belong to the quantity.
    """
    taken = QUANTITIES[quantity].unit
    printed = unit_text.strip()
    if quantity == "jnr_slope_percent" and printed.casefold().strip("[]() ") in _SLOPE_UNITS:
        return Conversion(printed, taken, 1.0)
    if printed in _DASHES and taken == "%":
        return f"unit {printed!r} of {quantity} may mean a fraction or nothing; write '%' or 'fraction'"
    if not printed or printed in _DASHES:
        remark = f"no unit given for {quantity}: taken as {taken}" if taken else ""
        return Conversion("", taken, 1.0, remark=remark)
    unit, remark = read_unit(printed)
    kept = find_unit("%" if quantity == "jnr_slope_percent" else taken)
    if unit is None:
        return f"unit {printed!r} is not known; {quantity} needs {taken}"
    if kept is None or unit.dimension != kept.dimension:
        return f"{printed!r} is a unit of {unit.dimension}; {quantity} needs {taken or 'no unit'}"
    return _between(quantity, printed, unit, kept, remark)


def _between(quantity: str, printed: str, unit: Unit, kept: Unit, remark: str) -> Conversion:
    taken = QUANTITIES[quantity].unit
    if unit == kept:
        return Conversion(printed, taken, 1.0, remark=remark)
    factor = unit.factor / kept.factor
    # An offset that only the arithmetic makes is none: a temperature in °F or K has a real one.
    offset = (convert(0.0, unit) - kept.offset) / kept.factor
    said = f"{quantity} printed in {printed!r}: brought to {taken}"
    return Conversion(printed, taken, factor, offset, "; ".join(part for part in (remark, said) if part))
