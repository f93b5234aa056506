"""Tables of the printed reports as the table of a page takes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from resile.workflows.laboratory.runs.run_view import Table

Cell = str | Mapping[str, object]


def page_columns(table: Table) -> list[tuple[str, str]]:
    """Give the headings with the kind of their cells: numbers stand on the right."""
    return [(column.title, "number" if column.align == "right" else "text") for column in table.columns]


def every_row(table: Table) -> list[list[Cell]]:
    """Give every row, with those in bold that stand out: the chosen model, what changes a grade.

    Parameters
    ----------
    table : Table
        As printed.
    """
    return [
        [{"text": cell, "strong": True} for cell in row] if place in table.strong else list(row)
        for place, row in enumerate(table.rows)
    ]


def page_rows(table: Table, *, links: Mapping[int, Sequence[str]] | None = None) -> list[list[Cell]]:
    """Give the rows without those that sum others up, which would be lost among them when sorted.

    Parameters
    ----------
    table : Table
        As printed.
    links : mapping of int to sequence of str
        For a column, counted from 0, the addresses its cells lead to.
    """
    kept = [row for place, row in enumerate(table.rows) if place not in table.strong]
    rows: list[list[Cell]] = [list(row) for row in kept]
    for column, addresses in (links or {}).items():
        for row, address in zip(rows, addresses, strict=True):
            row[column] = {"text": row[column], "href": address}
    return rows
