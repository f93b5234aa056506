"""Numbers that the leading columns of a row say: temperature, stress, frequency, storage in the bath."""

from __future__ import annotations

from resile.readers.grids.grid import Column
from resile.readers.grids.stated import RADIANS_PER_TURN
from resile.readers.grids.vocabulary import fold
from resile.readers.summaries.columns import Table
from resile.readers.summaries.ledger import Ledger
from resile.readers.summaries.values import find_conversion, read_printed


def _printed_at(table: Table, index: int, column: Column) -> tuple[float, str] | str | None:
    """Give number and unit as printed, None where missing, or the reason why it is no number."""
    printed = read_printed(table.cell(index, column), table.grid)
    if printed.missing:
        return None
    if printed.number is None:
        return f"column {column.reading.heading!r}: {printed.reason}"
    return printed.number, printed.unit_text


def number_at(
    table: Table, index: int, column: Column | None, quantity: str, ledger: Ledger
) -> float | str | None:
    """Give a number of a leading column in the glossary's unit, None where missing, or the reason."""
    if column is None:
        return None
    printed = _printed_at(table, index, column)
    if not isinstance(printed, tuple):
        return printed
    number, unit_text = printed
    conversion = find_conversion(quantity, unit_text or column.reading.unit_text)
    if isinstance(conversion, str):
        return f"column {column.reading.heading!r}: {conversion}"
    ledger.remark(conversion.remark)
    return conversion.apply(number)


def radians_at(table: Table, index: int) -> float | str | None:
    """Give the angular frequency of a row [rad/s], None where none is given, or the reason."""
    column = table.frequency
    if column is None:
        return None
    printed = _printed_at(table, index, column)
    if not isinstance(printed, tuple):
        return printed
    number, unit_text = printed
    in_hertz = "hz" in fold(f"{column.reading.heading} {column.reading.unit_text} {unit_text}")
    return number * (RADIANS_PER_TURN if in_hertz else 1.0)


def bath_number_at(table: Table, index: int, place: int, ledger: Ledger) -> float | str | None:
    """Give hours (place 0) or temperature (1) of storage in the bath, None where missing, or the reason."""
    column = table.bath[place]
    if column is None:
        return None
    if place == 1:
        return number_at(table, index, column, "temperature_c", ledger)
    printed = _printed_at(table, index, column)
    return printed[0] if isinstance(printed, tuple) else printed
