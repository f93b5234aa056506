"""The fast path: text whose every data line has the same number of plain numbers.

A folder of records from one instrument has one heading. It is understood once (`plan_for`, cached); the
body of each file is then only checked for regularity and parsed in one go. Whatever is not perfectly
regular gives None, and the tolerant reader (`text_record`) takes the file: both give the same numbers to
the last bit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import orjson
from numpy.typing import NDArray

from resile.errors import ResileError
from resile.readers.grids.grid import Block, Column, find_blocks, read_details
from resile.readers.grids.number_marks import evident_decimal_mark
from resile.readers.grids.table import Table, add_details, joined_remark
from resile.readers.layout import SEPARATORS, Layout
from resile.readers.text.delimited import sniff, split_lines, to_grid
from resile.readers.text.encodings import decode

_HEAD_BYTES = 8192
_SAMPLE_BYTES = 1024
_DATA_LINE = re.compile(rb"^[ \t]*[+-]?[.,]?\d[\d.,eE+\-; \t]*$", re.MULTILINE)
_DIGITS_TO_ONE = bytes.maketrans(b"023456789", b"111111111")
_IN_CELLS = {mark: b"0123456789eE+- " + mark.encode() for mark in ".,"}
_IN_BLANK_CELLS = {mark: b"0123456789eE+-" + mark.encode() for mark in ".,"}
_TO_JSON = {
    ("comma", "."): None,
    ("semicolon", "."): bytes.maketrans(b";", b","),
    ("semicolon", ","): bytes.maketrans(b",;", b".,"),
    ("tab", "."): bytes.maketrans(b"\t", b","),
    ("tab", ","): bytes.maketrans(b",\t", b".,"),
    ("blanks", "."): None,
    ("blanks", ","): bytes.maketrans(b",", b"."),
}
_NUMBER_STARTS = frozenset("0123456789+-.,")


@dataclass(frozen=True, slots=True)
class Plan:
    """How files with one heading are read.

    Attributes
    ----------
    encoding, separator, decimal_mark : str
        As in the account.
    width : int
        Numbers in each data line.
    block : Block
        The heading, with no rows.
    heading_lines : tuple of str
        The heading and units lines as printed, to find their repeats.
    remarks : tuple of str
        What was noticed about the encoding.
    """

    encoding: str
    separator: str
    decimal_mark: str
    width: int
    block: Block
    heading_lines: tuple[str, ...]
    remarks: tuple[str, ...]


@lru_cache(maxsize=256)
def plan_for(head: bytes, shape: bytes, decimal_mark: str, layout: Layout) -> Plan | None:
    """Understand a heading once.

    Parameters
    ----------
    head : bytes
        Everything above the first line of numbers.
    shape : bytes
        That line with all its digits made 1.
    decimal_mark : str
        The mark its numbers prove.
    layout : Layout
        What the user said.

    Returns
    -------
    Plan or None
        None where the tolerant reader must look at the whole file.
    """
    try:
        decoded = decode(head + shape, "", encoding=layout.encoding)
        lines = split_lines(decoded.text)
        dialect = sniff(lines, "", _with_mark(layout, decimal_mark))
        grid = to_grid(lines, dialect)
        blocks = find_blocks(
            grid,
            rules=layout.rules,
            heading_row=layout.heading_row,
            units_row=layout.units_row,
            first_data_row=layout.first_data_row,
        )
    except ResileError:
        return None
    if dialect.decimal_mark != decimal_mark or (dialect.separator, decimal_mark) not in _TO_JSON:
        return None
    if len(blocks) != 1 or blocks[0].first_data_row != len(lines) or len(blocks[0].row_numbers) != 1:
        return None
    if (
        len(grid.rows[-1]) != dialect.width
        or blocks[0].columns[-1].position > dialect.width
        or dialect.quoted
    ):
        return None
    heading_lines = tuple(lines[row - 1] for row in blocks[0].heading_rows)
    remarks = (decoded.remark,) if decoded.remark else ()
    return Plan(
        decoded.encoding, dialect.separator, decimal_mark, dialect.width, blocks[0], heading_lines, remarks
    )


@lru_cache(maxsize=64)
def _with_mark(layout: Layout, decimal_mark: str) -> Layout:
    return replace(layout, decimal_mark=decimal_mark)


def _cut(data: bytes, layout: Layout) -> tuple[Plan | None, int]:
    """Give the plan for a file and the place where its numbers begin."""
    found = _DATA_LINE.search(data, 0, _HEAD_BYTES)
    if found is None:
        return None, 0
    sample = data[found.start() : found.start() + _SAMPLE_BYTES]
    mark = evident_decimal_mark(sample.decode("latin-1"))
    if not mark or (layout.decimal_mark and mark != layout.decimal_mark) or layout.thousands_mark:
        return None, 0
    shape = found[0].translate(_DIGITS_TO_ONE)
    return plan_for(data[: found.start()], shape, mark, layout), found.start()


def _count_regular_lines(body: bytes, plan: Plan) -> int:
    """Count the lines of a body; 0 where a byte is foreign or a line has another number of cells."""
    if plan.separator == "blanks":
        return _count_blank_lines(body, plan)
    # What is left without the letters of numbers must be the same separators in every line.
    marks = body.translate(None, _IN_CELLS[plan.decimal_mark])
    lines = (len(marks) + 1) // plan.width
    each = SEPARATORS[plan.separator].encode() * (plan.width - 1) + b"\n"
    return lines if marks + b"\n" == each * lines else 0


def _count_blank_lines(body: bytes, plan: Plan) -> int:
    """Count the lines of a body whose cells any number of blanks separate."""
    if body.translate(None, _IN_BLANK_CELLS[plan.decimal_mark] + b" \t\n"):
        return 0
    letters = np.frombuffer(b"\n" + body, dtype=np.uint8)
    filled = letters > ord(" ")
    begins = np.flatnonzero(filled[1:] & ~filled[:-1])
    ends = np.flatnonzero(letters[1:] == ord("\n"))
    lines = len(ends) + 1
    if len(begins) != lines * plan.width:
        return 0
    by_line = begins.reshape(lines, plan.width)
    regular = (by_line[:-1, -1] < ends).all() and (by_line[1:, 0] > ends).all()
    return lines if regular else 0


def parse_body(body: bytes, plan: Plan) -> NDArray[np.float64] | None:
    """Parse lines of plain numbers.

    Parameters
    ----------
    body : bytes
        The data lines, nothing before and no blank line after them.
    plan : Plan
        Separator, mark and width.

    Returns
    -------
    ndarray of float, shape (n, width), or None
        None where the body is not perfectly regular.
    """
    lines = _count_regular_lines(body, plan) if body else 0
    if not lines:
        return None
    table = _TO_JSON[plan.separator, plan.decimal_mark]
    text = body if table is None else body.translate(table)
    text = b",".join(text.split()) if plan.separator == "blanks" else text.replace(b"\n", b",")
    try:
        numbers = orjson.loads(b"[" + text + b"]")
    except orjson.JSONDecodeError:
        return None
    if len(numbers) != lines * plan.width:
        return None
    try:
        values = np.fromiter(numbers, dtype=float, count=len(numbers)).reshape(lines, plan.width)
    except OverflowError:
        return None
    return values if np.isfinite(values).all() else None


def _table(
    plan: Plan,
    values: NDArray[np.float64],
    rows: NDArray[np.int64],
    starts: tuple[int, ...],
    details: dict[str, str],
) -> Table:
    by_column = np.ascontiguousarray(values.T)
    columns = tuple(
        Column(column.position, column.reading, by_column[column.position - 1], ())
        for column in plan.block.columns
    )
    return Table(
        "delimited text",
        columns,
        rows,
        plan.block.heading_rows,
        plan.block.first_data_row,
        plan.encoding,
        plan.separator,
        plan.decimal_mark,
        "",
        starts,
        details,
        plan.block.label,
        plan.remarks,
    )


def read_regular(data: bytes, layout: Layout) -> Table | None:
    """Read a regular text in one go.

    Parameters
    ----------
    data : bytes
        The file, in an encoding that agrees with ASCII on numbers (UTF-16 is decoded and encoded before).
    layout : Layout
        What the user said.

    Returns
    -------
    Table or None
        None where the tolerant reader is needed.
    """
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n")
    plan, start = _cut(data, layout)
    if plan is None:
        return None
    body = data[start:].rstrip(b"\n")
    values = parse_body(body, plan)
    if values is None:
        return _read_segments(body, plan)
    first = plan.block.first_data_row
    rows = np.arange(first, first + len(values))
    return _table(plan, values, rows, (), dict(plan.block.details))


def _read_segments(body: bytes, plan: Plan) -> Table | None:
    """Read a body in which the same heading stands again above each segment."""
    try:
        lines = body.decode("utf-8").split("\n")
    except UnicodeDecodeError:
        return None
    others = [i for i, line in enumerate(lines) if not line or line[0] not in _NUMBER_STARTS]
    if not others or not set(plan.heading_lines) <= {lines[i] for i in others}:
        return None
    starts, titles = _segment_starts(lines, others, plan)
    if starts is None:
        return None
    aside = set(others)
    values = parse_body("\n".join(line for i, line in enumerate(lines) if i not in aside).encode(), plan)
    if values is None:
        return None
    rows = np.delete(np.arange(len(lines)), others) + plan.block.first_data_row
    details = dict(plan.block.details)
    for title in titles:
        cells = title.split() if plan.separator == "blanks" else title.split(SEPARATORS[plan.separator])
        add_details(details, read_details([list(cells)])[0])
    return replace(
        _table(plan, values, rows, starts, details), remarks=(*plan.remarks, *joined_remark(len(starts) + 1))
    )


def _segment_starts(
    lines: list[str], others: list[int], plan: Plan
) -> tuple[tuple[int, ...] | None, list[str]]:
    """Check that every break between numbers ends with the heading; give the starts, and other lines."""
    depth = len(plan.heading_lines)
    starts: list[int] = []
    titles: list[str] = []
    run: list[int] = []
    for place, index in enumerate(others):
        run.append(index)
        if place + 1 < len(others) and others[place + 1] == index + 1:
            continue
        printed = tuple(lines[i] for i in run[-depth:])
        if printed != plan.heading_lines:
            if any(lines[i].strip() for i in run):
                return None, []
        else:
            starts.append(index + 1 - place - 1)
        titles += [lines[i] for i in run[:-depth] if lines[i].strip()]
        run = []
    return tuple(starts), titles
