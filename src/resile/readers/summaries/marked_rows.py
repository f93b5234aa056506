"""What a row says of itself beside its values: marked as typical, or the same as an earlier row."""

from __future__ import annotations

import re

from resile.readers.grids.vocabulary import fold
from resile.readers.summaries.columns import STRUCTURE, Table, names_laboratory, names_sample, word_list
from resile.records.finding import Finding, Severity
from resile.records.quantity import RESULT_QUANTITIES

_WORDS = re.compile(r"[^\W\d_]+")


def typical_finding(table: Table, index: int) -> Finding | None:
    """Give a caution where a cell of a remark, or the heading of the value, says 'typical'.

    Parameters
    ----------
    table : Table
        Headings and rows.
    index : int
        Data row, from 0.

    Returns
    -------
    Finding or None
        None where nothing says so.
    """
    marked = next((text for text in _remarks(table, index) if _says_typical(text)), "")
    if not marked:
        return None
    return Finding(
        code="typical-value",
        severity=Severity.CAUTION,
        message=f"{table.place(index)}: marked {marked[:40]!r}: a typical value is no determination of this "
        "sample.",
        rule="a verdict rests on values measured on the sample itself",
        source="certificates of analysis mix typical and measured values, common practice, no source",
        advice="Ask the supplier for the measured value of this batch.",
    )


def _remarks(table: Table, index: int) -> list[str]:
    texts = []
    for column in table.block.columns:
        quantity = column.reading.quantity
        if quantity in ("value", *RESULT_QUANTITIES):
            texts.append(column.reading.heading)
        elif quantity not in STRUCTURE and not names_sample(column) and not names_laboratory(column):
            texts.append(table.text(index, column))
    return texts


def _says_typical(text: str) -> bool:
    known = word_list("typical")
    return any(word in known for word in _WORDS.findall(fold(text)))


def repeated_finding(place: str, earlier: str) -> Finding:
    """Give a caution for a row that is the same as an earlier one in every cell.

    Parameters
    ----------
    place, earlier : str
        Both rows in words.

    Returns
    -------
    Finding
        The row is kept: two determinations may agree to the last digit.
    """
    return Finding(
        code="row-repeated",
        severity=Severity.CAUTION,
        message=f"{place} is the same as {earlier} in every column, and nothing tells the two apart: "
        "one determination may have been entered twice.",
        rule="each determination stands once; replicates are numbered",
        source="common practice, no source",
        advice="Strike the copy out, or give each determination its replicate number.",
    )
