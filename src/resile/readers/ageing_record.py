"""The record of one run of the rolling thin film oven, from TOML or a table.

A record that uses every key::

    sample = "N-118"
    method = "t240"                 # or "en12607-1", or a file of the laboratory's own
    aged_on = 2026-03-02
    temperature_c = 163.0
    duration_min = 85
    air_flow_ml_min = 4000
    rotation_r_min = 15.0
    recovery_min = 7                # time the oven took to return to temperature

    [[bottle]]
    name = "1"
    empty_g = 166.214
    before_g = 201.231
    after_g = 201.122
    note = "crept out at the rim"

The same may be a table (.csv, .xlsx): lines such as ``oven temperature, 163 °C``, then the columns ``bottle,
empty mass, mass before, mass after, note``. Mass changes are not worked out here.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import FileFormatError
from resile.readers.ageing_table import (
    AgeingTable,
    find_bottle_heading,
    method_identifier,
    read_ageing_table,
    texts_of,
)
from resile.readers.checked_toml import MAX_BYTES, as_text, read_checked_toml
from resile.readers.grids.grid import Grid
from resile.readers.source_file import read_source
from resile.readers.text.encodings import decode
from resile.readers.text.separated_words import grids_by_separator
from resile.readers.workbooks.workbook import read_workbook
from resile.records.ageing import AgeingRecord, Bottle
from resile.records.finding import Finding, Severity
from resile.records.reading import SourceFile

if TYPE_CHECKING:
    from pydantic import BaseModel

_NEEDED = "the masses of each bottle are needed: empty, before and after ageing"


def read_ageing_record(path: Path) -> AgeingRecord:
    """Read a short-term ageing record.

    Parameters
    ----------
    path : Path
        TOML, separated text or a workbook.

    Returns
    -------
    AgeingRecord
        As written: mass changes are None, except a mean that the record itself states. Lines that mean
        nothing to us are named in a finding.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        Not such a record, or a number that cannot be read, with its line.
    SpecificationError
        Keys missing, unknown or wrong in a TOML record; all of them named.
    """
    if path.suffix.casefold() == ".toml":
        return _from_toml(path)
    data, source = read_source(path, "record of bottles (.toml, .csv, .xlsx)", MAX_BYTES)
    table = read_ageing_table(_grid(data, str(path)), str(path))
    if not table.bottles and "mass_change_percent" not in table.numbers:
        raise FileFormatError(f"{path}: no bottle was found; {_NEEDED}")
    return _from_table(table, source)


def _grid(data: bytes, path: str) -> Grid:
    if data.startswith((b"PK", b"\xd0\xcf\x11\xe0")):
        grids = read_workbook(data, path)
    else:
        grids = [grid for _, grid in grids_by_separator(decode(data, path).text)]
    known = [grid for grid in grids if find_bottle_heading(grid) is not None] or grids
    return max(known, key=lambda grid: texts_of(grid.rows))


def _from_table(table: AgeingTable, source: SourceFile) -> AgeingRecord:
    method = table.texts.get("method", "")
    numbers = table.numbers
    return AgeingRecord(
        sample=table.texts.get("sample", ""),
        method=method_identifier(method),
        aged_on=table.texts.get("aged_on", ""),
        bottles=tuple(table.bottles),
        findings=tuple(_unused(table.unused)),
        source=source,
        temperature_c=numbers.get("temperature_c"),
        duration_min=numbers.get("duration_min"),
        air_flow_ml_min=numbers.get("air_flow_ml_min"),
        rotation_r_min=numbers.get("rotation_r_min"),
        recovery_min=numbers.get("recovery_min"),
        mass_change_percent=numbers.get("mass_change_percent"),
    )


def _unused(lines: list[str]) -> list[Finding]:
    if not lines:
        return []
    return [
        Finding(
            code="ageing-lines-not-used",
            severity=Severity.NOTE,
            message=f"Short-term ageing: lines of the record that were not understood: {'; '.join(lines)}.",
            rule="every line of the record is read or named",
            value=float(len(lines)),
            source="common practice, no source",
            advice="Nothing, if they are titles or remarks.",
        )
    ]


def _from_toml(path: Path) -> AgeingRecord:
    content: Any
    content, source = read_checked_toml(path, _model(), "ageing record")
    bottles = tuple(Bottle(**bottle.model_dump()) for bottle in content.bottle)
    if not bottles and content.mass_change_percent is None:
        raise FileFormatError(f"{path}: the ageing record holds no [[bottle]]; {_NEEDED}")
    fields = content.model_dump(exclude={"bottle", "method"})
    return AgeingRecord(method=method_identifier(content.method), bottles=bottles, source=source, **fields)


@cache
def _model() -> type[BaseModel]:
    from typing import Annotated

    from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

    Text = Annotated[str, BeforeValidator(as_text)]  # noqa: N806
    Mass = Annotated[float, Field(gt=0, le=10_000)]  # noqa: N806
    Amount = Annotated[float, Field(ge=0)]  # noqa: N806

    class Closed(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)

    class BottleTable(Closed):
        name: Text
        empty_g: Mass | None = None
        before_g: Mass | None = None
        after_g: Mass | None = None
        note: Text = ""

    class AgeingTableToml(Closed):
        sample: Text = ""
        method: Annotated[Text, Field(min_length=1)]
        aged_on: Text = ""
        temperature_c: Annotated[float, Field(ge=-50, le=400)] | None = None
        duration_min: Amount | None = None
        air_flow_ml_min: Amount | None = None
        rotation_r_min: Amount | None = None
        recovery_min: Amount | None = None
        mass_change_percent: Annotated[float, Field(ge=-100, le=100)] | None = None
        bottle: tuple[BottleTable, ...] = ()

    return AgeingTableToml
