"""A supplier's certificate: a table of results with limits, methods, editions, dates and batch beside them.

Three forms are read: a long table (one property a row), a wide one (one batch a row), each from separated
text or a workbook with lines such as "Batch: B-77" above it, and TOML with ``[certificate]`` and
``[[line]]``. Values are read by `summary_table`; this module reads what stands beside them, by the words of
``certificate_words.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import FileFormatError, InputError
from resile.readers.checked_toml import as_text, read_checked_toml
from resile.readers.grids.grid import Column, Grid
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.vocabulary import fold
from resile.readers.layout import Layout
from resile.readers.summaries.columns import Table, find_tables
from resile.readers.summaries.values import find_conversion
from resile.readers.summary_table import read_summary_with_tables, summary_of_tables
from resile.readers.word_lists import load_words
from resile.records.certificate import CertificateLine, SupplierCertificate
from resile.records.determination import Determination
from resile.records.reading import HeldFile, ReadingAccount
from resile.records.summary import SummaryTable

if TYPE_CHECKING:
    from pydantic import BaseModel

DETAILS = (
    "number",
    "supplier",
    "product",
    "claimed_grade",
    "stated_specification",
    "batch",
    "tank",
    "issued",
    "delivered",
    "valid_until",
)
_LINE_HEADINGS = {
    "property": "property",
    "condition": "condition",
    "temperature_c": "temperature_c",
    "stress_kpa": "stress_kpa",
    "value": "value",
    "unit": "unit",
    "method": "method",
    "edition": "edition",
    "limit": "limit",
    "value_basis": "basis",
}
_NUMBERS = re.compile(r"[+−-]?\d[\d.,]*")
_MARKED = "typical-value"
_NOT_USED = "columns not used"


def read_certificate(
    path: Path | HeldFile, *, sample: str = "", layout: Layout | None = None
) -> SupplierCertificate:
    """Read a certificate.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text, a workbook (.xlsx) or TOML.
    sample : str
        Which sample or batch, where the file holds several; as the table names it.
    layout : Layout, optional
        What is known of a separated text or workbook.

    Returns
    -------
    SupplierCertificate
        Lines with what is printed beside them; values in the units of the glossary.

    Raises
    ------
    RecordNotFoundError, FileFormatError, SpecificationError, InputError
        No such file, no table in it, a wrong key, or several samples and none named.
    """
    if path.suffix.lower() == ".toml":
        details, summary, tables, invented = _from_toml(path)
    else:
        summary, tables = read_summary_with_tables(path, layout=layout)
        details = _details_above(tables)
        invented = any("invented" in text.casefold() for text in (*details.values(), *_every_remark(tables)))
    wanted = _one_sample(summary, sample)
    places = {
        table.place(row): (table, row) for table in tables for row in range(len(table.block.row_numbers))
    }
    lines, beside = [], dict(details)
    for determination in summary.determinations:
        if determination.sample != wanted or determination.value is None:
            continue
        table, row = places[determination.place]
        lines.append(_line(determination, table, row))
        for name in DETAILS:
            text = _beside(table, row, name)
            if text and not beside.get(name):
                beside[name] = text
    return SupplierCertificate(
        lines=tuple(lines),
        source=summary.source,
        account=_account(summary.account, tables),
        invented=invented,
        findings=summary.findings,
        **{name: beside.get(name, "") for name in DETAILS},
    )


def _account(account: ReadingAccount, tables: list[Table]) -> ReadingAccount:
    """Take back "not used" for the columns that stand beside the values and were used here."""
    words = frozenset().union(*_words()["column"].values())
    unused = [
        column.reading.heading
        for table in tables
        for column in table.block.columns
        if column.reading.quantity is None and column.reading.heading and not _heads(column, words)
    ]
    kept = [remark for remark in account.remarks if not remark.startswith(_NOT_USED)]
    told = f"{_NOT_USED}: {', '.join(map(repr, dict.fromkeys(unused)))}" if unused else ""
    return replace(account, remarks=(*kept, told) if told else tuple(kept))


def _one_sample(summary: SummaryTable, wanted: str) -> str:
    names = summary.samples
    if wanted:
        for name in names:
            if name.casefold() == wanted.casefold():
                return name
        raise InputError(
            f"{summary.source.path}: there is no sample {wanted!r}; there are {', '.join(names)}"
        )
    if len(names) > 1:
        raise InputError(
            f"{summary.source.path}: the certificate holds {len(names)} samples: {', '.join(names)}; "
            "name one of them with --sample"
        )
    return names[0]


def _line(determination: Determination, table: Table, row: int) -> CertificateLine:
    title = table.text(row, table.block.column_of("quantity")) if table.is_long else ""
    limit_text, bound = _printed_limit(table, row)
    numbers = _NUMBERS.findall(limit_text)
    number = parse_number(numbers[0], table.grid.decimal_mark) if len(numbers) == 1 else None
    unit = _unit_text(determination, table, row)
    conversion = find_conversion(determination.quantity, unit)
    return CertificateLine(
        determination=determination,
        title=title or determination.quantity,
        method=_beside(table, row, "method"),
        edition=_beside(table, row, "edition"),
        printed_limit=None if number is None or isinstance(conversion, str) else conversion.apply(number),
        printed_limit_text=limit_text,
        printed_bound=bound,
        value_basis=_basis(determination, _beside(table, row, "value_basis")),
    )


def _unit_text(determination: Determination, table: Table, row: int) -> str:
    if table.is_long:
        column = table.block.column_of("value")
        unit = table.text(row, table.block.column_of("unit"))
        return unit or ("" if column is None else column.reading.unit_text)
    column = table.block.column_of(determination.quantity)
    return "" if column is None else column.reading.unit_text


def _printed_limit(table: Table, row: int) -> tuple[str, str]:
    """Give a printed limit and its side; a wide table prints none."""
    if not table.is_long:
        return "", ""
    for bound in ("minimum", "maximum"):
        text = _beside(table, row, bound)
        if _NUMBERS.search(text):
            return text, bound
    text = _beside(table, row, "limit")
    folded = f" {fold(text)} "
    for bound, words in _words()["bound"].items():
        if any(
            word in folded if not word.isalpha() else f" {word} " in folded.replace(".", " ")
            for word in words
        ):
            return text, bound
    return text, ""


def _basis(determination: Determination, text: str) -> str:
    if any(finding.code == _MARKED for finding in determination.findings):
        return "typical"
    folded = f" {fold(text)} "
    return next(
        (kind for kind, words in _words()["value_basis"].items() if any(f" {w} " in folded for w in words)),
        "",
    )


def _beside(table: Table, row: int, name: str) -> str:
    words = _words()["column"][name]
    column = next((c for c in table.block.columns if _heads(c, words)), None)
    return table.text(row, column).strip()


def _heads(column: Column, words: Iterable[str]) -> bool:
    return fold(column.reading.heading).rstrip(".") in words


def _details_above(tables: list[Table]) -> dict[str, str]:
    found: dict[str, str] = {}
    known = _words()["column"]
    for table in tables:
        for name, value in table.block.details.items():
            folded = fold(name).rstrip(".")
            for field in DETAILS:
                if folded in known[field] and value:
                    found.setdefault(field, value)
    return found


def _every_remark(tables: list[Table]) -> Iterable[str]:
    for table in tables:
        yield table.block.title
        yield from table.block.details.values()
        yield from (_beside(table, row, "value_basis") for row in range(len(table.block.row_numbers)))


def _from_toml(path: Path | HeldFile) -> tuple[dict[str, str], SummaryTable, list[Table], bool]:
    """Read the TOML form: its lines become the rows of a long table, read as any other."""
    content: Any
    content, source = read_checked_toml(path, _model(), "certificate")
    rows: list[list[Any]] = [list(_LINE_HEADINGS.values())]
    rows += [[getattr(line, key) or None for key in _LINE_HEADINGS] for line in content.line]
    if len(rows) == 1:
        raise FileFormatError(f"{path}: the certificate has no [[line]]; at least one is needed")
    tables = find_tables(Grid("", rows, first_row=0))  # so that the first [[line]] is line 1
    summary = summary_of_tables(
        tables,
        source,
        ReadingAccount("TOML"),
        layout=Layout(),
        sample=content.certificate.batch or content.certificate.number,
    )
    details = {name: getattr(content.certificate, name) for name in DETAILS}
    return details, summary, tables, content.certificate.invented


@cache
def _words() -> Mapping[str, Mapping[str, frozenset[str]]]:
    return {
        section: {
            name: frozenset(fold(word).rstrip(".") for word in words) for name, words in entries.items()
        }
        for section, entries in load_words("resile.readers", "certificate_words.toml").items()
    }


@cache
def _model() -> type[BaseModel]:
    from typing import Annotated

    from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

    Text = Annotated[str, BeforeValidator(as_text)]  # noqa: N806
    Needed = Annotated[Text, Field(min_length=1)]  # noqa: N806

    class Closed(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True)

    class LineTable(Closed):
        property: Needed
        value: Needed
        condition: Text = ""
        temperature_c: Text = ""
        stress_kpa: Text = ""
        unit: Text = ""
        method: Text = ""
        edition: Text = ""
        limit: Text = ""
        value_basis: Text = ""

    class HeadTable(Closed):
        number: Text = ""
        supplier: Text = ""
        product: Text = ""
        claimed_grade: Text = ""
        stated_specification: Text = ""
        batch: Text = ""
        tank: Text = ""
        issued: Text = ""
        delivered: Text = ""
        valid_until: Text = ""
        invented: bool = False

    class CertificateTable(Closed):
        certificate: HeadTable = HeadTable()
        line: tuple[LineTable, ...] = ()

    return CertificateTable
