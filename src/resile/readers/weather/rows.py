"""The rows of a daily weather record: units, dates and temperatures, with an account of what was refused."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.grids.cells import Cell, cell_text, is_blank
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_marks import decide_marks
from resile.readers.grids.number_text import MISSING_WORDS, parse_number, why_no_number
from resile.readers.layout import Layout
from resile.readers.weather.dates import date_of_parts, read_dates
from resile.readers.weather.headings import WeatherHeadings, vocabulary
from resile.records.reading import ColumnReading, ReadingAccount, RefusedRow
from resile.units import Unit, find_unit

Numbered = tuple[int, Sequence[Cell]]
"""Index of a row in its grid, and its cells."""
MOST_REFUSED_LISTED = 50
NEEDED = (
    "a date and the daily maximum or minimum air temperature are needed, "
    "with headings such as date, tmax, tmin"
)


@dataclass(slots=True)
class Day:
    """One row: what it says of a day, temperatures in °C, not-a-number where missing."""

    site: str
    date: datetime.date
    maximum_c: float
    minimum_c: float


@dataclass(slots=True)
class DayLedger:
    """What was kept, what was refused, and what there is to say."""

    days: list[Day] = field(default_factory=list)
    refused: list[RefusedRow] = field(default_factory=list)
    refused_count: int = 0
    missing: int = 0
    impossible: int = 0
    repeated: int = 0
    remarks: list[str] = field(default_factory=list)

    def refuse(self, place: str, text: str, reason: str) -> None:
        """Note a row, or one cell of it, that is not used."""
        self.refused_count += 1
        if len(self.refused) < MOST_REFUSED_LISTED:
            self.refused.append(RefusedRow(place, text[:80], reason))


@dataclass(slots=True)
class WeatherRows:
    """Reads the rows of one grid."""

    path: str
    grid: Grid
    headings: WeatherHeadings
    layout: Layout
    unit: str
    date_order: str
    ledger: DayLedger = field(default_factory=DayLedger)

    def read(self, *, form: str, encoding: str, separator: str) -> ReadingAccount:
        """Read every row into the ledger and give the account of it."""
        first = self.headings.first_data_row
        rows = [(i, row) for i, row in enumerate(self.grid.rows[first:], first) if _is_filled(row)]
        names = [name for name in ("maximum", "minimum") if name in self.headings.columns]
        cells = {name: self._column(rows, name) for name in names}
        decimal, thousands = self._marks(cells)
        numbers = {name: _numbers(column, decimal, thousands) for name, column in cells.items()}
        units = self._units(numbers)
        dates = self._dates(rows, decimal)
        celsius = {
            name: self._temperatures(rows, cells[name], numbers[name], dates, units[name]) for name in names
        }
        self._keep(rows, dates, celsius)
        if not self.ledger.days:
            first_refused = self.ledger.refused[0] if self.ledger.refused else None
            why = f": {first_refused.place}: {first_refused.reason}" if first_refused else ""
            raise FileFormatError(f"{self.path}: no row could be used as a day{why}; {NEEDED}")
        return self._account(units, decimal, form, encoding, separator)

    def _column(self, rows: Sequence[Numbered], name: str) -> list[Cell]:
        place = self.headings.columns[name]
        return [row[place] if place < len(row) else None for _, row in rows]

    def _place(self, row: Numbered) -> tuple[str, str]:
        """Give where a row stands, and what it prints."""
        number = row[0] + self.grid.first_row
        place = f"sheet {self.grid.name}, row {number}" if self.grid.name else f"line {number}"
        return place, " ".join(cell_text(cell) for cell in row[1] if not is_blank(cell))

    def _marks(self, columns: Mapping[str, Sequence[Cell]]) -> tuple[str, str]:
        if self.layout.decimal_mark:
            return self.layout.decimal_mark, self.layout.thousands_mark
        texts = list(
            {cell.strip() for column in columns.values() for cell in column if isinstance(cell, str)}
        )
        commas = any("," in text for text in texts)
        points = any("." in text for text in texts)
        # No air temperature is above 999: one mark alone is decimal.
        if commas != points:
            return ("," if commas else "."), ""
        return decide_marks(sorted(texts), self.path) if commas else (".", "")

    def _units(self, numbers: Mapping[str, Sequence[float | None]]) -> dict[str, Unit]:
        """Give the unit of each column: told, printed, or supposed from the size of the numbers and said."""
        if self.unit:
            return dict.fromkeys(numbers, _unit(self.unit, f"{self.path}: "))
        missing = vocabulary()["missing"]["numbers"]
        sizes = [v for column in numbers.values() for v in column if v is not None and v not in missing]
        hottest = float(np.quantile(sizes, 0.99)) if sizes else 0.0
        return self._supposed(list(numbers), dict(self.headings.units), hottest)

    def _supposed(self, names: Sequence[str], printed: Mapping[str, Unit], hottest: float) -> dict[str, Unit]:
        """Hold the printed unit against the hottest values; without one, take what they allow, and say so."""
        too_hot = hottest > vocabulary()["possible"]["highest_c"]
        if printed:
            taken = next(iter(printed.values()))
            if taken.name == "°C" and too_hot:
                raise AmbiguousFileError(
                    f"{self.path}: the headings say °C, but one value in a hundred is above {hottest:.0f}, "
                    "hotter than any air ever was; is it in °F? (--temperature-unit °F or °C)",
                    option="--temperature-unit",
                )
            return {name: printed.get(name, taken) for name in names}
        supposed = _unit("°F" if too_hot else "°C")
        self.ledger.remarks.append(
            f"no unit is printed; taken as {supposed.name}, since the hottest values reach {hottest:.0f} "
            "(--temperature-unit says otherwise)"
        )
        return dict.fromkeys(names, supposed)

    def _dates(self, rows: Sequence[Numbered], decimal: str) -> list[datetime.date | None]:
        columns = self.headings.columns
        if "date" in columns:
            cells = self._column(rows, "date")
            texts = [f"{cell:.0f}" if isinstance(cell, float) else cell_text(cell) for cell in cells]
            return read_dates(texts, self.path, self.date_order)
        names = ("year", "day_of_year") if "day_of_year" in columns else ("year", "month", "day")
        parts = [_numbers(self._column(rows, name), decimal, "") for name in names]
        if len(parts) == 2:
            return [date_of_parts(year, None, day) for year, day in zip(*parts, strict=True)]
        return [
            None if month is None else date_of_parts(year, month, day)
            for year, month, day in zip(*parts, strict=True)
        ]

    def _temperatures(
        self,
        rows: Sequence[Numbered],
        cells: Sequence[Cell],
        numbers: Sequence[float | None],
        dates: Sequence[datetime.date | None],
        unit: Unit,
    ) -> NDArray[np.float64]:
        """Give a column in °C; not-a-number where a value is missing or impossible, which is noted."""
        values = np.array(numbers, dtype=float)  # None becomes not-a-number
        dated = np.array([date is not None for date in dates])
        known = np.array(vocabulary()["missing"]["numbers"], dtype=float)
        absent = np.isnan(values) | np.isin(values, known)
        self.ledger.missing += int((absent & dated).sum())
        for place in _places(np.isnan(values) & dated):
            printed = cell_text(cells[place])
            if printed.strip().casefold() not in MISSING_WORDS:
                self.ledger.refuse(*self._place(rows[place]), why_no_number(printed))
        celsius = np.where(absent, np.nan, values * unit.factor + unit.offset)
        bounds = vocabulary()["possible"]
        beyond = (celsius < bounds["lowest_c"]) | (celsius > bounds["highest_c"])
        for place in _places(beyond & dated):
            self.ledger.impossible += 1
            reason = f"{values[place]:g} {unit.name} is no air temperature that ever was"
            self.ledger.refuse(*self._place(rows[place]), reason)
        return np.where(beyond, np.nan, celsius)

    def _keep(
        self,
        rows: Sequence[Numbered],
        dates: Sequence[datetime.date | None],
        celsius: Mapping[str, NDArray[np.float64]],
    ) -> None:
        """Keep the days that have a date, each with what is left of its temperatures."""
        nothing = np.full(len(rows), np.nan)
        high, low = celsius.get("maximum", nothing).copy(), celsius.get("minimum", nothing).copy()
        dated = np.array([date is not None for date in dates], dtype=bool)
        for place in _places(~dated):
            self.ledger.refuse(*self._place(rows[place]), "no date that exists")
        for place in _places((high < low) & dated):
            reason = f"the maximum {high[place]:.1f} °C lies below the minimum {low[place]:.1f} °C"
            self.ledger.impossible += 2
            self.ledger.refuse(*self._place(rows[place]), reason)
            high[place] = low[place] = np.nan
        sites = self._column(rows, "site") if "site" in self.headings.columns else None
        names = [""] * len(rows) if sites is None else [cell_text(cell) for cell in sites]
        self.ledger.days += [
            Day(site, date, maximum, minimum)
            for site, date, maximum, minimum in zip(names, dates, high.tolist(), low.tolist(), strict=True)
            if date is not None
        ]

    def _account(
        self, units: Mapping[str, Unit], decimal: str, form: str, encoding: str, separator: str
    ) -> ReadingAccount:
        ledger, head = self.ledger, self.headings
        if ledger.missing:
            ledger.remarks.append(f"{ledger.missing} missing values: those days are gaps, never bridged")
        return ReadingAccount(
            form=form,
            encoding=encoding,
            separator=separator,
            decimal_mark=decimal,
            heading_rows=(head.row + self.grid.first_row,),
            first_data_row=head.first_data_row + self.grid.first_row,
            columns=tuple(
                ColumnReading(
                    place + 1,
                    head.texts[name],
                    name,
                    head.units[name].name if name in head.units else "",
                    units[name].factor if name in units else 1.0,
                    "°C" if name in units else "",
                    "converted from °F" if name in units and units[name].name == "°F" else "",
                )
                for name, place in sorted(head.columns.items(), key=lambda item: item[1])
            ),
            rows_kept=len(ledger.days),
            rows_converted=len(ledger.days) if any(u.name != "°C" for u in units.values()) else 0,
            rows_refused=tuple(ledger.refused),
            rows_refused_count=ledger.refused_count,
            remarks=tuple(ledger.remarks),
            sheet=self.grid.name,
            layout=self.layout.name,
        )


def _places(where: NDArray[np.bool_]) -> list[int]:
    found: list[int] = np.flatnonzero(where).tolist()
    return found


def _is_filled(row: Sequence[Cell]) -> bool:
    return any(not is_blank(cell) for cell in row)


def _numbers(cells: Sequence[Cell], decimal: str, thousands: str) -> list[float | None]:
    """Read a column of numbers; each text is read once, however often it stands there."""
    known: dict[str, float | None] = {}
    found: list[float | None] = []
    for cell in cells:
        if isinstance(cell, float):
            found.append(cell)
            continue
        text = cell_text(cell)
        if text not in known:
            known[text] = parse_number(text, decimal, thousands)
        found.append(known[text])
    return found


def _unit(text: str, place: str = "") -> Unit:
    unit = find_unit(text)
    if unit is None or unit.dimension != "temperature":
        raise FileFormatError(f"{place}{text!r} is no unit of temperature; give °C or °F")
    return unit
