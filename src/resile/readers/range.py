"""The list of binders that can be offered, with their test results: TOML, separated text or a workbook.

A table has one binder a row: name, kind, price, stock, remark, and the file of its test results. TOML has one
``[[binder]]`` a product, and may hold the results themselves. Files are found beside the list.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from resile.errors import FileFormatError, InputError
from resile.readers.checked_toml import read_checked_toml
from resile.readers.grids.vocabulary import fold
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.readers.source_file import file_beside
from resile.readers.summary_table import read_summary_table
from resile.readers.typed_results import result_model, typed_determination
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.range import Binder, BinderRange
from resile.records.reading import HeldFile, SourceFile
from resile.records.summary import SummaryTable

if TYPE_CHECKING:
    from pydantic import BaseModel

MAX_BYTES = 5_000_000
WHAT = "list of binders (.toml, .csv, .xlsx)"
KINDS = ("unmodified", "sbs-modified", "unknown")


def read_range(path: Path | HeldFile) -> BinderRange:
    """Read a list of binders with their results.

    Parameters
    ----------
    path : Path or HeldFile
        The list; files of results are named in it, relative to it.

    Returns
    -------
    BinderRange
        Binders in the order of the list.

    Raises
    ------
    RecordNotFoundError
        No such list, or no such file of results.
    FileFormatError
        No headings, a row without a name, a price that is no number, or the same name twice.
    SpecificationError
        Keys of the TOML missing, unknown or wrong.
    InputError
        A file of results holds several samples and none is named.
    """
    found = _from_toml(path) if path.suffix.lower() == ".toml" else _from_table(path)
    names = [binder.name.casefold() for binder in found.binders]
    twice = next((binder.name for binder in found.binders if names.count(binder.name.casefold()) > 1), None)
    if twice is not None:
        raise FileFormatError(f"{path}: the binder {twice!r} stands twice; give each a name of its own")
    return found


def _from_table(path: Path | HeldFile) -> BinderRange:
    words: Mapping[str, Sequence[str]] = _words()["range"]
    table, source = read_named_rows(path, words, needed=("name",), what=WHAT, max_bytes=MAX_BYTES)
    read = _Results(path)
    binders = []
    for row in table.rows:
        name = row.text("name")
        if not name:
            raise FileFormatError(f"{path}, {row.place}: this row names no binder")
        binders.append(
            Binder(
                name=name,
                kind=_kind(row.text("kind"), f"{path}, {row.place}"),
                price_per_tonne=_number(row, "price_per_tonne", path),
                stock_t=_number(row, "stock_t", path),
                remark=row.text("remark"),
                determinations=read.of(name, row.text("results"), row.text("sample"), row.place),
            )
        )
    unused = (f"columns not used: {', '.join(map(repr, table.unused))}",) if table.unused else ()
    return BinderRange(
        title=path.stem,
        currency=table.brackets.get("price_per_tonne", "").removesuffix("/t").strip(),
        binders=tuple(binders),
        sources=(source, *read.sources),
        remarks=(*table.notes, *unused, *read.remarks),
        findings=read.findings,
    )


def _number(row: NamedRow, name: str, path: Path | HeldFile) -> float | None:
    if not row.text(name):
        return None
    value = row.numbers.get(name)
    if value is None or value < 0.0:
        raise FileFormatError(
            f"{path}, {row.place}: {name} is {row.text(name)!r}; "
            "needed is a number, not below zero, or nothing"
        )
    return value


def _kind(text: str, place: str) -> str:
    if not text:
        return ""
    for kind, spellings in _words()["kind"].items():
        if fold(text) in {fold(spelling) for spelling in spellings}:
            return str(kind)
    raise FileFormatError(f"{place}: the kind of binder is {text!r}; known are {', '.join(KINDS)}")


class _Results:
    """Reads each file of results once, and keeps what was said of it."""

    def __init__(self, beside: Path | HeldFile) -> None:
        self._beside = beside
        self._read: dict[Path | HeldFile, SummaryTable] = {}

    @property
    def sources(self) -> tuple[SourceFile, ...]:
        """Files read."""
        return tuple(table.source for table in self._read.values())

    @property
    def remarks(self) -> tuple[str, ...]:
        """What was assumed, file by file."""
        return tuple(
            f"{Path(table.source.path).name}: {remark}"
            for table in self._read.values()
            for remark in table.remarks
        )

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Rows that could not be used."""
        return tuple(finding for table in self._read.values() for finding in table.findings)

    def of(self, name: str, file: str, sample: str, place: str) -> tuple[Determination, ...]:
        """Give the results of one binder, under its own name."""
        if not file:
            return ()
        path = file_beside(self._beside, file)
        if path not in self._read:
            self._read[path] = read_summary_table(path)
        table = self._read[path]
        wanted = self._sample(table, sample or name, given=bool(sample), place=place)
        return tuple(replace(d, sample=name) for d in table.determinations if d.sample == wanted)

    def _sample(self, table: SummaryTable, wanted: str, *, given: bool, place: str) -> str:
        for sample in table.samples:
            if sample.casefold() == wanted.casefold():
                return sample
        if len(table.samples) == 1 and not given:
            return table.samples[0]
        raise InputError(
            f"{self._beside}, {place}: {table.source.path} holds no sample {wanted!r}; "
            f"there are {', '.join(table.samples)}; name one of them in the column 'sample'"
        )


@cache
def _words() -> dict[str, dict[str, list[str]]]:
    text = (resources.files(__package__) / "range_words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _from_toml(path: Path | HeldFile) -> BinderRange:
    model, source = read_checked_toml(path, range_model(), "list of binders")
    read = _Results(path)
    binders = []
    for number, one in enumerate(model.binder, 1):  # type: ignore[attr-defined]
        place = f"binder {number} ({one.name})"
        typed = tuple(
            typed_determination(one.name, row, source, f"{place}, result {n}")
            for n, row in enumerate(one.result, 1)
        )
        binders.append(
            Binder(
                name=one.name,
                kind=_kind(one.kind, f"{path}, {place}"),
                price_per_tonne=one.price_per_tonne,
                stock_t=one.stock_t,
                remark=one.remark,
                determinations=(*typed, *read.of(one.name, one.results, one.sample, place)),
            )
        )
    title, currency = str(model.title), str(model.currency)  # type: ignore[attr-defined]
    return BinderRange(
        title or path.stem, currency, tuple(binders), (source, *read.sources), read.remarks, read.findings
    )


@cache
def range_model() -> type[BaseModel]:
    """Give the model of a list of binders in TOML.

    Returns
    -------
    type of pydantic.BaseModel
        Checks keys and types; imported only when such a file is read.
    """
    from typing import Annotated

    from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

    ResultModel = result_model()  # noqa: N806
    NotNegative = Annotated[FiniteFloat, Field(ge=0)]  # noqa: N806

    class Strict(BaseModel):
        """Refuses keys it does not know."""

        model_config = ConfigDict(extra="forbid")

    class BinderModel(Strict):
        """One ``[[binder]]``."""

        name: str = Field(min_length=1)
        kind: str = ""
        price_per_tonne: NotNegative | None = None
        stock_t: NotNegative | None = None
        remark: str = ""
        results: str = ""
        sample: str = ""
        result: list[ResultModel] = Field(default_factory=list)  # type: ignore[valid-type]

    class RangeModel(Strict):
        """A list of binders."""

        title: str = ""
        currency: str = ""
        binder: list[BinderModel] = Field(min_length=1)

    return RangeModel
