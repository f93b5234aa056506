"""A daily weather record: date, maximum and minimum of air temperature, in any sensible layout.

Separated text or a workbook; °C or °F; a date in one cell, in three, or as year and day of the year; one
station or several told apart by a column. Words and bounds are those of ``weather/words.toml``.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.candidate_grids import candidate_grids
from resile.readers.grids.cells import Cell, cell_text
from resile.readers.grids.grid import Grid
from resile.readers.layout import SEPARATORS, Layout
from resile.readers.source_file import read_source
from resile.readers.weather.headings import find_headings
from resile.readers.weather.rows import NEEDED, WeatherRows
from resile.readers.weather.stations import stations_of
from resile.records.climate import DailyWeather
from resile.records.reading import HeldFile

MAX_BYTES = 100_000_000
_SEPARATORS = ("semicolon", "tab", "comma", "blanks")


def read_weather_record(
    path: Path | HeldFile, *, layout: Layout | None = None, unit: str = "", date_order: str = ""
) -> tuple[DailyWeather, ...]:
    """Read a daily weather record.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx).
    layout : Layout, optional
        What is known of the file (encoding, separator, decimal mark, heading row, columns, sheet).
    unit : str
        Unit of the temperatures, ``°C`` or ``°F``, whatever is printed.
    date_order : str
        ``day-first`` or ``month-first``, for dates such as 03/04/1999.

    Returns
    -------
    tuple of DailyWeather
        One a station, in the order of the file.

    Raises
    ------
    RecordNotFoundError
        No such file or sheet.
    AmbiguousFileError
        Unit, decimal mark or order of the date can be read in two ways.
    FileFormatError
        No daily record, or no row of it could be used.
    """
    given = layout or Layout()
    data, source = read_source(path, "daily weather record (.csv, .txt, .xlsx)", MAX_BYTES)
    if not data.strip():
        raise FileFormatError(f"{path}: the file is empty; {NEEDED}")
    rules = {entry.column: entry.quantity for entry in given.columns}
    # A separator that is nowhere in the file need not be tried: cutting long files is what takes time.
    tried = [name for name in _SEPARATORS if SEPARATORS[name].encode() in data]
    opened = candidate_grids(data, str(path), layout=given, separators=tried or _SEPARATORS)
    best = None
    for separator, cells in opened.grids:
        grid = _with_single_blanks(cells) if separator == "blanks" else cells
        headings = find_headings(grid, rules, given.heading_row)
        if headings is not None and (best is None or len(headings.columns) > len(best[1].columns)):
            best = grid, headings, separator
            if headings.complete:
                break
    if best is None:
        raise FileFormatError(
            f"{path}: no row of headings of a daily weather record was found; {NEEDED}. For a file without "
            "headings say what its columns are (--column 1=date --column 2=maximum --column 3=minimum)"
        )
    grid, headings, separator = best
    told = unit or next((entry.unit for entry in given.columns if entry.unit), "")
    rows = WeatherRows(str(path), grid, headings, given, told, date_order)
    account = rows.read(form=opened.form, encoding=opened.encoding, separator=separator)
    return stations_of(rows.ledger, source, account)


def _with_single_blanks(grid: Grid) -> Grid:
    """Cut rows that stand in one cell: headings of one word each, with single blanks between."""
    rows: list[list[Cell]] = [
        [*cell_text(row[0]).split()] if len(row) == 1 and isinstance(row[0], str) else row
        for row in grid.rows
    ]
    return replace(grid, rows=rows)
