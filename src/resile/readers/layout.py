"""A saved layout: what a laboratory knows of its own files, so that nothing has to be guessed.

A layout is a small TOML file, for example::

    separator = "semicolon"
    decimal_mark = ","
    heading_row = 3
    units_row = 4

    [[column]]
    heading = "Schubspannung"
    quantity = "stress_kpa"
    unit = "Pa"

    [[column]]
    number = 5
    quantity = "ignore"

Every key may be left out; what is left out is found in the file.
"""

from __future__ import annotations

import codecs
import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path

from resile.errors import RecordNotFoundError, SpecificationError
from resile.readers.grids.heading_rows import ColumnRule
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.vocabulary import quantity_dimension, vocabulary
from resile.records.climate import WEATHER_COLUMNS
from resile.records.quantity import RESULT_QUANTITIES
from resile.records.reading import HeldFile

SEPARATORS: Mapping[str, str] = {"comma": ",", "semicolon": ";", "tab": "\t", "blanks": " "}
THOUSANDS = ("", ",", ".", "'", " ")


@dataclass(frozen=True, slots=True)
class ColumnLayout:
    """What is said of one column.

    Attributes
    ----------
    column : str
        Heading text, or the column number counted from 1 as text.
    quantity : str
        Name of the quantity, or ``"ignore"``.
    unit : str
        Unit of its numbers; empty to take the one printed.
    """

    column: str
    quantity: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """What is said of a file; every field is optional and wins over what the file shows.

    Attributes
    ----------
    name : str
        Name under which the account mentions it.
    encoding, separator, decimal_mark, thousands_mark : str
        ``separator`` is one of ``comma``, ``semicolon``, ``tab``, ``blanks``.
    heading_row, units_row, first_data_row : int or None
        Row numbers counted from 1.
    columns : tuple of ColumnLayout
        Columns by heading or number.
    sheet : str
        Sheet of a workbook.
    time_unit, stress_unit, strain_unit : str
        Unit of these columns, whatever is printed.
    plate_diameter_mm, gap_mm : float or None
        Geometry for torque and angle [mm].
    temperature_c : float or None
        Test temperature where the file has none [°C].
    span_mm, width_mm, thickness_mm : float or None
        Distance between the supports, width and thickness of a beam [mm].
    """

    name: str = ""
    encoding: str = ""
    separator: str = ""
    decimal_mark: str = ""
    thousands_mark: str = ""
    heading_row: int | None = None
    units_row: int | None = None
    first_data_row: int | None = None
    columns: tuple[ColumnLayout, ...] = ()
    sheet: str = ""
    time_unit: str = ""
    stress_unit: str = ""
    strain_unit: str = ""
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    temperature_c: float | None = None
    span_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None

    @property
    def rules(self) -> dict[str, ColumnRule]:
        """The columns as rules for the heading reader."""
        return {entry.column: ColumnRule(entry.quantity, entry.unit) for entry in self.columns}


_TEXTS = ("name", "encoding", "separator", "decimal_mark", "thousands_mark", "sheet")
_UNITS = {"time_unit": "time", "stress_unit": "stress", "strain_unit": "ratio"}
_ROWS = ("heading_row", "units_row", "first_data_row")


def _refuse(place: str, key: str, why: str) -> SpecificationError:
    return SpecificationError(f"{place}, key {key!r}: {why}")


def _check_text(place: str, key: str, value: object) -> None:
    if not isinstance(value, str):
        raise _refuse(place, key, f"{value!r} is not a text in quotes")
    if key == "separator" and value not in ("", *SEPARATORS):
        raise _refuse(place, key, f"{value!r} is none of {', '.join(SEPARATORS)}")
    if key == "decimal_mark" and value not in ("", ".", ","):
        raise _refuse(place, key, f'{value!r} is neither "." nor ","')
    if key == "thousands_mark" and value not in THOUSANDS:
        raise _refuse(place, key, f"{value!r} is no thousands mark; use one of , . ' or a blank")
    if key == "encoding" and value:
        try:
            codecs.lookup(value)
        except LookupError:
            raise _refuse(place, key, f"{value!r} is not an encoding; for example utf-8 or cp1252") from None
    if key in _UNITS and value:
        unit, _ = read_unit(value)
        if unit is None or unit.dimension != _UNITS[key]:
            raise _refuse(place, key, f"{value!r} is not a unit of {_UNITS[key]}")


def _check_number(place: str, key: str, value: object) -> None:
    whole = key in _ROWS
    if isinstance(value, bool) or not isinstance(value, int if whole else (int, float)):
        raise _refuse(place, key, f"{value!r} is not a {'whole ' if whole else ''}number")
    if key != "temperature_c" and float(value) <= 0:
        raise _refuse(place, key, f"{value!r} must be above zero")


def check_layout(layout: Layout, place: str = "layout") -> Layout:
    """Check the fields of a layout, for example one put together from command-line options.

    Parameters
    ----------
    layout : Layout
        What to check.
    place : str
        Named in a refusal.

    Returns
    -------
    Layout
        The same.

    Raises
    ------
    SpecificationError
        Names the key and what is wrong with it.
    """
    for field in fields(layout):
        value = getattr(layout, field.name)
        if field.name in (*_TEXTS, *_UNITS):
            _check_text(place, field.name, value)
        elif field.name != "columns" and value is not None:
            _check_number(place, field.name, value)
    for entry in layout.columns:
        _check_column(place, entry)
    return layout


def _check_column(place: str, entry: ColumnLayout) -> None:
    known = (*vocabulary().titles, *RESULT_QUANTITIES, *WEATHER_COLUMNS, "ignore")
    key = f"column {entry.column!r}"
    if entry.quantity not in known:
        near = difflib.get_close_matches(entry.quantity, known, n=3)
        hint = " or ".join(near) or "for example time_s, stress_kpa, strain, jnr_3.2"
        raise _refuse(place, key, f"quantity {entry.quantity!r} is not known; {hint}")
    if entry.unit:
        unit, _ = read_unit(entry.unit)
        wanted = "temperature" if entry.quantity in WEATHER_COLUMNS else quantity_dimension(entry.quantity)
        if unit is None or (wanted and unit.dimension != wanted):
            raise _refuse(place, key, f"{entry.unit!r} is not a unit of {wanted or entry.quantity}")


def _read_column(place: str, index: int, table: object) -> ColumnLayout:
    key = f"column[{index}]"
    if not isinstance(table, dict):
        raise _refuse(place, key, "a table [[column]] is needed")
    unknown = set(table) - {"heading", "number", "quantity", "unit"}
    if unknown:
        raise _refuse(place, f"{key}.{min(unknown)}", "not a known key (heading, number, quantity, unit)")
    if ("heading" in table) == ("number" in table):
        raise _refuse(place, key, "give either 'heading' or 'number'")
    if not isinstance(table.get("quantity"), str):
        raise _refuse(place, f"{key}.quantity", "the name of a quantity is needed")
    if not isinstance(table.get("unit", ""), str):
        raise _refuse(place, f"{key}.unit", "a unit in quotes is needed")
    if "number" in table:
        _check_number(place, "heading_row", table["number"])
    return ColumnLayout(
        str(table.get("heading", table.get("number"))), table["quantity"], table.get("unit", "")
    )


def read_layout(path: Path | HeldFile) -> Layout:
    """Read a saved layout.

    Parameters
    ----------
    path : Path or HeldFile
        A TOML file.

    Returns
    -------
    Layout
        Named after the file unless the file gives a name.

    Raises
    ------
    RecordNotFoundError
        There is no such file.
    SpecificationError
        Not TOML, an unknown key, or a value that cannot be: the key is named.
    """
    place = str(path)
    if isinstance(path, HeldFile):
        return layout_from_toml(path.content.decode("utf-8", "replace"), place, name=Path(path.name).stem)
    if path.exists() and not path.is_file():
        raise SpecificationError(f"{place}: this is not a regular file; a layout file (.toml) is needed")
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise RecordNotFoundError(f"{place}: there is no such layout file") from None
    except UnicodeDecodeError as error:
        raise SpecificationError(f"{place}: not a layout file: {error}") from None
    except OSError as error:
        raise SpecificationError(f"{place}: the layout cannot be read: {error.strerror}") from None
    return layout_from_toml(text, place, name=path.stem)


def layout_from_toml(text: str, place: str, *, name: str = "") -> Layout:
    """Read a layout from its text.

    Parameters
    ----------
    text : str
        TOML.
    place : str
        Where it stands, for a refusal.
    name : str
        Its name unless the text gives one.

    Returns
    -------
    Layout
        Checked.

    Raises
    ------
    SpecificationError
        As in `read_layout`.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SpecificationError(f"{place}: not a layout file: {error}") from None
    known = {field.name for field in fields(Layout)} - {"columns"} | {"column"}
    for key in table:
        if key not in known:
            raise _refuse(place, key, f"not a known key; known are {', '.join(sorted(known))}")
    columns = table.pop("column", [])
    if not isinstance(columns, list):
        raise _refuse(place, "column", "write each column as a table [[column]]")
    entries = tuple(_read_column(place, index, entry) for index, entry in enumerate(columns, start=1))
    return check_layout(Layout(**{"name": name, **table}, columns=entries), place)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t").replace("\n", "\\n")
    return f'"{escaped}"'


def layout_to_toml(layout: Layout) -> str:
    """Write a layout as TOML that `read_layout` reads back.

    Parameters
    ----------
    layout : Layout
        What is said of a file.

    Returns
    -------
    str
        TOML text; fields that say nothing are left out.
    """
    lines = []
    for field in fields(layout):
        value = getattr(layout, field.name)
        if field.name != "columns" and value not in ("", None):
            printed = _quoted(value) if isinstance(value, str) else repr(value)
            lines.append(f"{field.name} = {printed}")
    for entry in layout.columns:
        named = (
            f"number = {entry.column}" if entry.column.isdecimal() else f"heading = {_quoted(entry.column)}"
        )
        lines += ["", "[[column]]", named, f"quantity = {_quoted(entry.quantity)}"]
        lines += [f"unit = {_quoted(entry.unit)}"] if entry.unit else []
    return "\n".join(lines) + "\n"
