"""The record of one ageing run, in the thin film oven or in the pressure vessel, from TOML or a table.

A short-term record that uses every key::

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

A long-term one::

    sample = "N-118"
    method = "r28"                  # or "r28-40h", "d6521", or a file of the laboratory's own
    aged_on = 2026-03-03
    feed = "RTFO"
    short_term_record = "short-term-ageing.toml"
    temperature_c = 100.0
    pressure_mpa = 2.10
    duration_h = 20
    pan_count = 4
    pan_diameter_mm = 140
    release_min = 9
    pan_heating_temperature_c = 163
    pan_heating_min = 15
    degassing_temperature_c = 170
    degassing_pressure_kpa = 15
    degassing_min = 30
    departure = ""                  # from the method, as the laboratory declares it
    note = ""

    [[pan]]
    name = "1"
    mass_g = 50.1
    note = ""

Either may be a table (.csv, .xlsx): lines such as ``oven temperature, 163 °C``, then the columns ``bottle,
empty mass, mass before, mass after, note`` or ``pan, binder mass, note``. Which of the two a file holds is
told from what it names. A filled results form may hold one of each. Nothing is worked out here.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import FileFormatError, SpecificationError
from resile.readers.ageing.ageing_table import AgeingTable, find_heading, read_ageing_table, texts_of
from resile.readers.ageing.ageing_toml import KEYS, LONG_KEYS, SHORT_KEYS, ageing_model
from resile.readers.ageing.ageing_words import LONG, SHORT, kind_of_method, method_identifier
from resile.readers.candidate_grids import WORKBOOK, candidate_grids, is_workbook
from resile.readers.checked_toml import MAX_BYTES, read_checked_toml
from resile.readers.conditions import read_condition
from resile.readers.forms.results_form import is_form, read_form
from resile.readers.grids.grid import Grid
from resile.readers.source_file import read_source
from resile.readers.workbooks.workbook import read_workbook
from resile.records.ageing import AgeingRecord, Bottle, LongTermAgeingRecord, Pan
from resile.records.determination import Condition
from resile.records.finding import Finding, Severity
from resile.records.reading import HeldFile, SourceFile

if TYPE_CHECKING:
    pass

_NEEDED = "the masses of each bottle are needed: empty, before and after ageing"


def read_ageing_record(path: Path | HeldFile, *, prefer: str = SHORT) -> AgeingRecord | LongTermAgeingRecord:
    """Read an ageing record; which kind it is is told from what it names.

    Parameters
    ----------
    path : Path or HeldFile
        TOML, separated text or a workbook, on the disk or in hand.
    prefer : str
        ``"short-term"`` or ``"long-term"``: which one of a results form that holds both.

    Returns
    -------
    AgeingRecord or LongTermAgeingRecord
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
    if _ending(path) == ".toml":
        return _from_toml(path)
    data, source = read_source(path, "record of bottles (.toml, .csv, .xlsx)", MAX_BYTES)
    table = read_ageing_table(_grid(data, str(path), prefer), str(path))
    if table.kind == LONG:
        return _long_term(
            {**table.texts, **table.numbers}, tuple(table.pans), source, str(path), tuple(_unused(table))
        )
    if not table.bottles and "mass_change_percent" not in table.numbers:
        raise FileFormatError(f"{path}: no bottle was found; {_NEEDED}")
    return _from_table(table, source)


def kinds_in_form(path: Path | HeldFile) -> tuple[str, ...]:
    """Tell which ageing records a filled results form holds.

    Parameters
    ----------
    path : Path or HeldFile
        Any file.

    Returns
    -------
    tuple of str
        ``"short-term"``, ``"long-term"``, both or neither; empty for a file that is no results form.
    """
    if _ending(path) not in (".xlsx", ".xlsm"):
        return ()
    data, _ = read_source(path, "filled results form (.xlsx)", MAX_BYTES)
    grids = read_workbook(data, str(path)) if is_workbook(data) else []
    return tuple(_form_grids(grids, str(path))) if is_form(grids) else ()


def _ending(path: Path | HeldFile) -> str:
    return Path(str(path)).suffix.casefold()


def _form_grids(grids: list[Grid], path: str) -> dict[str, Grid]:
    form = read_form(grids, path)
    found = {SHORT: form.ageing_grid, LONG: form.long_term_grid}
    return {kind: grid for kind, grid in found.items() if grid is not None}


def _grid(data: bytes, path: str, prefer: str) -> Grid:
    opened = candidate_grids(data, path)
    grids = [grid for _, grid in opened.grids]
    if opened.form == WORKBOOK and is_form(grids):
        held = _form_grids(grids, path)
        if not held:
            raise FileFormatError(f"{path}: no bottle was weighed in the results form; {_NEEDED}")
        return held.get(prefer) or next(iter(held.values()))
    known = [g for g in grids if any(find_heading(g, kind) is not None for kind in (SHORT, LONG))] or grids
    return max(known, key=lambda grid: texts_of(grid.rows))


def _from_table(table: AgeingTable, source: SourceFile) -> AgeingRecord:
    method = table.texts.get("method", "")
    numbers = table.numbers
    return AgeingRecord(
        sample=table.texts.get("sample", ""),
        method=method_identifier(method),
        aged_on=table.texts.get("aged_on", ""),
        bottles=tuple(table.bottles),
        findings=tuple(_unused(table)),
        source=source,
        temperature_c=numbers.get("temperature_c"),
        duration_min=numbers.get("duration_min"),
        air_flow_ml_min=numbers.get("air_flow_ml_min"),
        rotation_r_min=numbers.get("rotation_r_min"),
        recovery_min=numbers.get("recovery_min"),
        mass_change_percent=numbers.get("mass_change_percent"),
    )


def _long_term(
    fields: dict[str, Any],
    pans: tuple[Pan, ...],
    source: SourceFile,
    path: str,
    findings: tuple[Finding, ...] = (),
) -> LongTermAgeingRecord:
    method = method_identifier(fields.pop("method", ""))
    if not method:
        raise FileFormatError(f"{path}: the long-term ageing record names no method, for example R 28")
    printed = fields.pop("feed", "")
    feed, remark = read_condition(printed) if printed else (Condition.UNKNOWN, "")
    if printed and feed is Condition.UNKNOWN:
        raise FileFormatError(f"{path}: feed '{printed}': {remark}; the residue put into the pans is needed")
    record = LongTermAgeingRecord(
        sample=fields.pop("sample", ""),
        method=method,
        feed=feed,
        pans=pans,
        source=source,
        findings=findings,
        **fields,
    )
    if record.temperature_c is None and record.pressure_mpa is None and record.duration_h is None:
        raise FileFormatError(
            f"{path}: the long-term ageing record holds no conditions; needed: temperature, pressure and time"
        )
    return record


def _unused(table: AgeingTable) -> list[Finding]:
    lines = table.unused
    if not lines:
        return []
    return [
        Finding(
            code="ageing-lines-not-used",
            severity=Severity.NOTE,
            message=f"{table.kind.capitalize()} ageing: lines of the record that were not understood: "
            f"{'; '.join(lines)}.",
            rule="every line of the record is read or named",
            value=float(len(lines)),
            source="common practice, no source",
            advice="Nothing, if they are titles or remarks.",
        )
    ]


def _from_toml(path: Path | HeldFile) -> AgeingRecord | LongTermAgeingRecord:
    content: Any
    content, source = read_checked_toml(path, ageing_model(), "ageing record")
    given = content.model_fields_set
    short = [key for key in SHORT_KEYS if key in given]
    long = [key for key in LONG_KEYS if key in given]
    if short and long:
        raise SpecificationError(
            f"{path}: keys of short-term ageing ({', '.join(short)}) and of long-term ageing "
            f"({', '.join(long)}) stand in one record; keep the two in files of their own"
        )
    kind = SHORT if short else LONG if long else kind_of_method(content.method)
    fields = content.model_dump(include={"sample", "method", "aged_on", "temperature_c", *KEYS[kind]})
    if kind == LONG:
        pans = tuple(Pan(**pan) for pan in fields.pop("pan"))
        return _long_term(fields, pans, source, str(path))
    bottles = tuple(Bottle(**bottle) for bottle in fields.pop("bottle"))
    if not bottles and content.mass_change_percent is None:
        raise FileFormatError(f"{path}: the ageing record holds no [[bottle]]; {_NEEDED}")
    method = method_identifier(fields.pop("method"))
    return AgeingRecord(method=method, bottles=bottles, source=source, **fields)
