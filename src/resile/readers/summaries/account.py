"""What is said of a table of results: how each column was understood, and what became of its rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.readers.grids.grid import Column
from resile.readers.layout import Layout
from resile.readers.summaries.columns import (
    BASES,
    STRUCTURE,
    Table,
    is_frequency,
    names_laboratory,
    names_sample,
)
from resile.readers.summaries.ledger import Ledger
from resile.readers.summaries.values import find_conversion
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.reading import ColumnReading, ReadingAccount


def account_of(
    account: ReadingAccount, tables: Sequence[Table], ledger: Ledger, layout: Layout
) -> ReadingAccount:
    """Give the account of all tables of a file."""
    columns = [_column(table, column) for table in tables for column in table.block.columns]
    unused = [f"{column.heading!r}" for column in columns if column.quantity is None and column.heading]
    if unused:
        ledger.remark(f"columns not used: {', '.join(unused)}")
    return replace(
        account,
        heading_rows=tables[0].block.heading_rows,
        first_data_row=tables[0].block.first_data_row,
        columns=tuple(columns),
        rows_kept=ledger.rows_kept,
        rows_converted=ledger.rows_converted,
        rows_refused=tuple(ledger.refused),
        rows_refused_count=ledger.refused_count,
        remarks=tuple(ledger.remarks),
        sheet=", ".join(dict.fromkeys(table.grid.name for table in tables)),
        layout=layout.name,
    )


def _column(table: Table, column: Column) -> ColumnReading:
    """Say how one column was understood."""
    reading = column.reading
    quantity = reading.quantity
    if names_sample(column) or quantity in STRUCTURE - {"temperature_c"}:
        remark = reading.remark or ("part of the sample's name" if quantity is None else "")
        return ColumnReading(column.position, reading.heading, quantity or "sample", remark=remark)
    if names_laboratory(column):
        return ColumnReading(column.position, reading.heading, "laboratory")
    if column in table.bath:
        said = "how the beam was kept before the test: part of the sample's name"
        return ColumnReading(column.position, reading.heading, "sample", remark=said)
    if is_frequency(column):
        said = "angular frequency, compared with the 10 rad/s of the quantities"
        return ColumnReading(column.position, reading.heading, "angular_frequency", remark=said)
    named = BASES.get(quantity or "", quantity)
    leading = quantity == "temperature_c" or column is table.stress
    if named is None or not (leading or (not table.is_long and named in RESULT_QUANTITIES)):
        remark = "; ".join(part for part in (reading.remark, "not used") if part)
        return ColumnReading(column.position, reading.heading, None, reading.unit_text, remark=remark)
    conversion = find_conversion(named, reading.unit_text)
    if isinstance(conversion, str):
        return ColumnReading(column.position, reading.heading, None, reading.unit_text, remark=conversion)
    remark = "; ".join(part for part in (reading.remark, conversion.remark) if part)
    return ColumnReading(
        column.position,
        reading.heading,
        quantity,
        conversion.unit_found,
        conversion.factor,
        QUANTITIES[named].unit,
        remark,
    )
