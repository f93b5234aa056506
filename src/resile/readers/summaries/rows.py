"""Rows of a summary table to determinations."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.readers.conditions import read_condition
from resile.readers.grids.cells import Cell, exact_text
from resile.readers.grids.grid import Block, Column
from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_text import MISSING_WORDS
from resile.readers.grids.stated import what_is_stated
from resile.readers.grids.vocabulary import fold
from resile.readers.summaries.columns import BASES, Table, word_list
from resile.readers.summaries.leading import bath_number_at, number_at, radians_at
from resile.readers.summaries.ledger import WITHOUT_TEMPERATURE, Ledger
from resile.readers.summaries.marked_rows import repeated_finding, typical_finding
from resile.readers.summaries.names import QuantityName, name_quantity, take_apart
from resile.readers.summaries.specimens import sample_name, share_temperature, storage_of, words_apart
from resile.readers.summaries.values import Conversion, find_conversion, printed_resolution, read_printed
from resile.records.determination import Condition, Determination
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.reading import SourceFile

_AT_TEN_RADIANS = frozenset({"rutting_parameter", "complex_modulus", "phase_angle"})
_RADIANS_PER_S = 10.0
_FREQUENCY_TOLERANCE = 0.01
_TEXT = Conversion("", "", 1.0)
_WAITING = ("-", "–", "—", "--", "n/a", "na", "#n/a")


@dataclass(frozen=True, slots=True)
class Defaults:
    """What holds for rows that do not say it themselves; empty or None where nothing does."""

    sample: str = ""
    condition: Condition | None = None
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class _Row:
    """What the leading columns of a row say."""

    blank: Determination
    stress_kpa: float | None
    radians_per_s: float | None


def read_rows(table: Table, source: SourceFile, defaults: Defaults, ledger: Ledger) -> None:
    """Read every row of a table into the ledger.

    Parameters
    ----------
    table : Table
        Headings and rows.
    source : SourceFile
        File the determinations hang on.
    defaults : Defaults
        What holds for rows that do not say it themselves.
    ledger : Ledger
        Receives determinations, refusals and remarks.
    """
    defaults = _details_first(table.block, defaults, ledger)
    seen: dict[str, str] = {}
    apart = words_apart(table)
    for index in range(len(table.block.row_numbers)):
        row = _lead(table, index, source, defaults, ledger)
        if isinstance(row, _Row):
            row = _told_apart(table, index, row, apart, ledger)
        if isinstance(row, str):
            ledger.refuse(table.place(index), _row_text(table, index), row)
            continue
        row = _with_marks(table, index, row, seen)
        if table.is_long:
            _read_long(table, index, row, ledger)
        else:
            _read_wide(table, index, row, ledger)


def _told_apart(table: Table, index: int, row: _Row, apart: frozenset[str], ledger: Ledger) -> _Row | str:
    """Put into the sample's name what would else pass for replicates: ageing, storage in the bath."""
    word = table.text(index, table.block.column_of("condition"))
    blank = row.blank
    if word in apart:
        ledger.remark(f"condition {word!r}: kept apart in the sample's name")
        blank = replace(blank, sample=f"{blank.sample}, {word}")
    hours, bath = (bath_number_at(table, index, place, ledger) for place in (0, 1))
    if isinstance(hours, str) or isinstance(bath, str):
        return hours if isinstance(hours, str) else str(bath)
    storage = storage_of(blank.sample, hours, bath)
    if storage is not None:
        blank = replace(blank, sample=storage[0], storage=storage[1])
    return replace(row, blank=blank)


def _with_marks(table: Table, index: int, row: _Row, seen: dict[str, str]) -> _Row:
    """Attach what the row says of itself to all its determinations."""
    typical = typical_finding(table, index)
    findings = [typical] if typical else []
    earlier = seen.setdefault(_row_text(table, index), row.blank.place)
    if earlier != row.blank.place and not row.blank.replicate:
        findings.append(repeated_finding(row.blank.place, earlier))
    return replace(row, blank=replace(row.blank, findings=tuple(findings)))


def _details_first(block: Block, defaults: Defaults, ledger: Ledger) -> Defaults:
    """Take sample, condition and temperature from name/value lines above the table."""
    found = {read_heading([name]).quantity: value for name, value in block.details.items() if value}
    sample, condition = defaults.sample, defaults.condition
    if "sample" in found:
        sample = found["sample"]
        ledger.remark(f"sample {sample!r} taken from the lines above the table")
    if condition is None and "condition" in found:
        condition, remark = read_condition(found["condition"])
        ledger.remark(remark or f"condition {condition.value} taken from the lines above the table")
    return replace(defaults, sample=sample, condition=condition)


def _lead(table: Table, index: int, source: SourceFile, defaults: Defaults, ledger: Ledger) -> _Row | str:
    """Read the columns that say what a row is of; gives the reason where the row cannot be used."""
    block = table.block
    sample = sample_name(table, index) or defaults.sample
    replicate = table.text(index, block.column_of("replicate"))
    words = [fold(replicate), *(fold(table.text(index, column)) for column in table.identity)]
    if any(word in word_list("made_of_other_rows") for word in words):
        return "a row made of other rows (mean, spread or count) is no determination"
    if not sample:
        return "no sample is named"
    celsius = number_at(table, index, block.column_of("temperature_c"), "temperature_c", ledger)
    stress = number_at(table, index, table.stress, "stress_kpa", ledger)
    radians = radians_at(table, index)
    for number in (celsius, stress, radians):
        if isinstance(number, str):
            return number
    blank = Determination(
        sample=sample,
        condition=_condition(table, index, defaults, ledger),
        temperature_c=defaults.temperature_c if celsius is None else float(celsius),
        quantity="",
        value=None,
        unit="",
        replicate="" if replicate.casefold() in MISSING_WORDS else replicate,
        source=source,
        place=table.place(index),
        laboratory=_laboratory(table, index),
    )
    return _Row(blank, None if stress is None else float(stress), None if radians is None else float(radians))


def _laboratory(table: Table, index: int) -> str:
    text = table.text(index, table.laboratory)
    return "" if text in ("", *_WAITING) or text.casefold() in MISSING_WORDS else text


def _condition(table: Table, index: int, defaults: Defaults, ledger: Ledger) -> Condition:
    text = table.text(index, table.block.column_of("condition"))
    if text in ("", *_WAITING):
        if defaults.condition is not None:
            return defaults.condition
        ledger.remark(
            "no condition of the binder is given for some rows: read as unknown, which no requirement takes"
        )
        return Condition.UNKNOWN
    condition, remark = read_condition(text)
    ledger.remark(remark)
    return condition


def _read_long(table: Table, index: int, row: _Row, ledger: Ledger) -> None:
    block = table.block
    quantity_text = table.text(index, block.column_of("quantity"))
    row, named = _by_line_title(quantity_text, row)
    if isinstance(named, str):
        ledger.refuse(row.blank.place, _row_text(table, index), named)
        return
    ledger.remark(named.remark)
    column = block.column_of("value")
    unit_text = table.text(index, block.column_of("unit")) or named.unit_text
    unit_text = unit_text or ("" if column is None else column.reading.unit_text)
    if column is not None:
        entry = _determine(table, index, column, row, named, unit_text, ledger)
        ledger.keep([entry] if entry else [])


def _by_line_title(text: str, row: _Row) -> tuple[_Row, QuantityName | str]:
    """Name the quantity; the title of a certificate's line may hold temperature and residue as well."""
    title = take_apart(text)
    apart = name_quantity(title.quantity_text, row.stress_kpa)
    blank = row.blank
    if isinstance(apart, str) or title.quantity_text == text.strip():
        return row, name_quantity(text, row.stress_kpa)
    if title.temperature_c is not None:
        if blank.temperature_c not in (None, title.temperature_c):
            return (
                row,
                f"{text!r} stands beside a temperature of {blank.temperature_c:g} °C; correct one of them",
            )
        blank = replace(blank, temperature_c=title.temperature_c)
    if title.condition is not Condition.UNKNOWN:
        if blank.condition not in (Condition.UNKNOWN, title.condition):
            return row, f"{text!r} stands beside the condition {blank.condition}; correct one of them"
        blank = replace(blank, condition=title.condition)
    return replace(row, blank=blank), replace(apart, remark=f"{text!r} taken apart into {apart.quantity}")


def _read_wide(table: Table, index: int, row: _Row, ledger: Ledger) -> None:
    entries = []
    refused_before = ledger.refused_count
    for column in table.block.columns:
        quantity = column.reading.quantity or ""
        if quantity in BASES:
            named = name_quantity(quantity, row.stress_kpa)
            if isinstance(named, str):
                ledger.refuse(row.blank.place, _row_text(table, index), named)
                continue
        elif quantity in RESULT_QUANTITIES:
            named = QuantityName(quantity)
        else:
            continue
        entry = _determine(table, index, column, row, named, column.reading.unit_text, ledger)
        entries += [entry] if entry else []
    if not entries and ledger.refused_count == refused_before:
        ledger.refuse(row.blank.place, _row_text(table, index), "no value under any heading of a result")
    ledger.keep(share_temperature(entries, ledger))


def _determine(
    table: Table, index: int, column: Column, row: _Row, named: QuantityName, unit_text: str, ledger: Ledger
) -> tuple[Determination, Conversion] | None:
    """Make the determination of one cell; None where it is missing or refused, which the ledger then says."""
    quantity = named.quantity
    cell = table.cell(index, column)
    where = "" if table.is_long else f"column {column.reading.heading!r}: "
    if quantity == "traffic_class":
        text = exact_text(cell)
        if text in ("", *_WAITING):
            ledger.miss(quantity, row.blank.place, text)
            return None
        return replace(row.blank, quantity=quantity, text=text), _TEXT
    if quantity == "reported_outcome":
        return _outcome(cell, row, ledger)
    printed = read_printed(cell, table.grid)
    if printed.missing:
        ledger.miss(quantity, row.blank.place, printed.text)
        return None
    reason = printed.reason or _frequency_reason(quantity, row, column)
    conversion = find_conversion(quantity, printed.unit_text or unit_text)
    if reason and not printed.reason:
        ledger.remark("results at other frequencies than 10 rad/s: a whole sweep is read by resile reduce")
    if printed.number is None or reason or isinstance(conversion, str):
        ledger.refuse(row.blank.place, printed.text, where + (reason or str(conversion)))
        return None
    ledger.remark(conversion.remark)
    return _with_value(row.blank, column, quantity, printed.number, printed.text, conversion), conversion


def _outcome(cell: Cell, row: _Row, ledger: Ledger) -> tuple[Determination, Conversion] | None:
    """Read a reported pass (1) or fail (0)."""
    text = exact_text(cell)
    if text in ("", *_WAITING):
        ledger.miss("reported_outcome", row.blank.place, text)
        return None
    for section, value in (("passes", 1.0), ("fails", 0.0)):
        if fold(text) in word_list(section):
            return replace(row.blank, quantity="reported_outcome", value=value, text=text), _TEXT
    ledger.refuse(row.blank.place, text, f"reported outcome {text!r} says neither pass nor fail")
    return None


def _with_value(
    blank: Determination, column: Column, quantity: str, number: float, text: str, conversion: Conversion
) -> Determination:
    stated = what_is_stated(column.reading.heading)
    celsius = blank.temperature_c if stated.temperature_c is None else stated.temperature_c
    return replace(
        blank,
        replicate=stated.replicate or blank.replicate,
        quantity=quantity,
        temperature_c=None if quantity in WITHOUT_TEMPERATURE else celsius,
        value=conversion.apply(number),
        unit=QUANTITIES[quantity].unit,
        text=text,
        resolution=printed_resolution(text, conversion),
    )


def _frequency_reason(quantity: str, row: _Row, column: Column) -> str:
    stated = what_is_stated(column.reading.heading).radians_per_s
    radians = row.radians_per_s if stated is None else stated
    if quantity not in _AT_TEN_RADIANS or radians is None:
        return ""
    if abs(radians / _RADIANS_PER_S - 1.0) <= _FREQUENCY_TOLERANCE:
        return ""
    return f"measured at {radians:g} rad/s; {quantity} is taken at 10 rad/s"


def _row_text(table: Table, index: int) -> str:
    return " | ".join(column.texts[index] for column in table.block.columns)
