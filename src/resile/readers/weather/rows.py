"""The rows of a daily weather record: units, dates and temperatures, with an account of what was refused."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

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
    place: str


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
        rows = [
            (index, row)
            for index, row in enumerate(
                self.grid.rows[self.headings.first_data_row :], self.headings.first_data_row
            )
            if any(not is_blank(cell) for cell in row)
        ]
        decimal, thousands = self._marks(row for _, row in rows)
        units = self._units(rows, decimal, thousands)
        dates = self._dates(rows, decimal)
        for (index, row), date in zip(rows, dates, strict=True):
            self._read_row(index, row, date, units, decimal, thousands)
        if not self.ledger.days:
            first = self.ledger.refused[0] if self.ledger.refused else None
            why = f": {first.place}: {first.reason}" if first else ""
            raise FileFormatError(f"{self.path}: no row could be used as a day{why}; {NEEDED}")
        return self._account(units, decimal, form, encoding, separator)

    def _cell(self, row: Sequence[Cell], name: str) -> Cell:
        place = self.headings.columns.get(name)
        return row[place] if place is not None and place < len(row) else None

    def _marks(self, rows: Iterable[Sequence[Cell]]) -> tuple[str, str]:
        if self.layout.decimal_mark:
            return self.layout.decimal_mark, self.layout.thousands_mark
        texts = [
            cell.strip()
            for row in rows
            for name in ("maximum", "minimum")
            if isinstance(cell := self._cell(row, name), str)
        ]
        commas = any("," in text for text in texts)
        points = any("." in text for text in texts)
        # No air temperature is above 999: one mark alone is decimal.
        if commas != points:
            return ("," if commas else "."), ""
        return decide_marks(texts, self.path) if commas else (".", "")

    def _number(self, cell: Cell, decimal: str, thousands: str) -> float | None:
        return cell if isinstance(cell, float) else parse_number(cell_text(cell), decimal, thousands)

    def _units(
        self, rows: Sequence[tuple[int, Sequence[Cell]]], decimal: str, thousands: str
    ) -> dict[str, Unit]:
        """Give the unit of each column: told, printed, or supposed from the size of the numbers and said."""
        names = [name for name in ("maximum", "minimum") if name in self.headings.columns]
        if self.unit:
            return dict.fromkeys(names, _unit(self.unit, f"{self.path}: "))
        printed = dict(self.headings.units)
        sizes = [
            number
            for _, row in rows
            for name in names
            if (number := self._number(self._cell(row, name), decimal, thousands)) is not None
            and number not in vocabulary()["missing"]["numbers"]
        ]
        return self._supposed(names, printed, float(np.quantile(sizes, 0.99)) if sizes else 0.0)

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

    def _dates(self, rows: Sequence[tuple[int, Sequence[Cell]]], decimal: str) -> list[datetime.date | None]:
        columns = self.headings.columns
        if "date" in columns:
            cells = [self._cell(row, "date") for _, row in rows]
            texts = [f"{cell:.0f}" if isinstance(cell, float) else cell_text(cell) for cell in cells]
            return read_dates(texts, self.path, self.date_order)
        parts = ("year", "day_of_year") if "day_of_year" in columns else ("year", "month", "day")
        found = []
        for _, row in rows:
            numbers = [self._number(self._cell(row, part), decimal, "") for part in parts]
            if len(numbers) == 2:
                found.append(date_of_parts(numbers[0], None, numbers[1]))
            else:
                year, month, day = numbers
                found.append(None if month is None else date_of_parts(year, month, day))
        return found

    def _read_row(
        self,
        index: int,
        row: Sequence[Cell],
        date: datetime.date | None,
        units: Mapping[str, Unit],
        decimal: str,
        thousands: str,
    ) -> None:
        place = self.grid.place(index)
        text = " ".join(cell_text(cell) for cell in row if not is_blank(cell))
        if date is None:
            self.ledger.refuse(place, text, "no date that exists")
            return
        values = {
            name: self._temperature(place, text, self._cell(row, name), unit, decimal, thousands)
            for name, unit in units.items()
        }
        high, low = values.get("maximum", np.nan), values.get("minimum", np.nan)
        if high < low:
            self.ledger.impossible += 2
            self.ledger.refuse(place, text, f"the maximum {high:.1f} °C lies below the minimum {low:.1f} °C")
            high = low = np.nan
        site = cell_text(self._cell(row, "site")) if "site" in self.headings.columns else ""
        self.ledger.days.append(Day(site, date, high, low, place))

    def _temperature(
        self, place: str, text: str, cell: Cell, unit: Unit, decimal: str, thousands: str
    ) -> float:
        """Give a temperature [°C]; not-a-number where it is missing or impossible, which is noted."""
        printed = cell_text(cell)
        number = self._number(cell, decimal, thousands)
        if number is None or number in vocabulary()["missing"]["numbers"]:
            self.ledger.missing += 1
            if number is None and printed.strip().casefold() not in MISSING_WORDS:
                self.ledger.refuse(place, text, why_no_number(printed))
            return np.nan
        celsius = number * unit.factor + unit.offset
        bounds = vocabulary()["possible"]
        if not bounds["lowest_c"] <= celsius <= bounds["highest_c"]:
            self.ledger.impossible += 1
            self.ledger.refuse(place, text, f"{number:g} {unit.name} is no air temperature that ever was")
            return np.nan
        return celsius

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


def _unit(text: str, place: str = "") -> Unit:
    unit = find_unit(text)
    if unit is None or unit.dimension != "temperature":
        raise FileFormatError(f"{place}{text!r} is no unit of temperature; give °C or °F")
    return unit
