"""How a column was read and converted, in words."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from resile.readers.grids.headings import HeadingReading
from resile.records.reading import ColumnReading
from resile.units import KEPT_UNITS, Unit


@lru_cache(maxsize=512)
def reading_of(
    position: int, heading: HeadingReading, quantity: str, unit: Unit, remark: str
) -> ColumnReading:
    """Give how a column was read and converted."""
    return ColumnReading(
        position,
        heading.heading,
        quantity,
        heading.unit_text,
        unit.factor,
        "ratio" if unit.dimension == "ratio" else KEPT_UNITS[unit.dimension],
        "; ".join(part for part in (remark, _conversion(unit)) if part),
    )


def _conversion(unit: Unit) -> str:
    """Say how the printed numbers were converted."""
    if unit.offset:
        return f"converted from {unit.name} to {KEPT_UNITS[unit.dimension]}"
    if unit.factor == 1.0:
        return ""
    kept = "ratio" if unit.dimension == "ratio" else KEPT_UNITS[unit.dimension]
    number = 1.0 / unit.factor
    if unit.factor < 1.0 and abs(number - round(number)) < 1e-9:
        return f"{unit.name} to {kept}: divided by {round(number)}"
    return f"{unit.name} to {kept}: multiplied by {unit.factor:.6g}"


def with_remark(reading: ColumnReading, remark: str) -> ColumnReading:
    """Give a reading with one more remark."""
    return replace(reading, remark="; ".join(part for part in (reading.remark, remark) if part))
