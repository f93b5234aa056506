"""Daily weather records in the layouts people keep them in."""

import datetime
from pathlib import Path

import numpy as np
import pytest
import xlsxwriter

from resile.errors import AmbiguousFileError, FileFormatError, RecordNotFoundError
from resile.readers.layout import ColumnLayout, Layout, check_layout
from resile.readers.weather_record import read_weather_record
from resile.records.climate import DailyWeather

FIRST = datetime.date(1999, 12, 20)
HIGHS = [float(10 + place % 7) + 0.5 for place in range(30)]
LOWS = [high - 9.25 for high in HIGHS]
DAYS = [FIRST + datetime.timedelta(days=place) for place in range(30)]


def write(folder: Path, lines: list[str], name: str = "weather.csv", encoding: str = "utf-8") -> Path:
    path = folder / name
    path.write_bytes("\n".join(lines).encode(encoding))
    return path


def the_one(path: Path, **how: object) -> DailyWeather:
    (weather,) = read_weather_record(path, **how)  # type: ignore[arg-type]
    return weather


def holds_the_truth(weather: DailyWeather) -> None:
    assert weather.days.tolist() == DAYS
    np.testing.assert_allclose(weather.maximum_c, HIGHS, atol=0.006)
    np.testing.assert_allclose(weather.minimum_c, LOWS, atol=0.006)


def rows(form: str) -> list[str]:
    return [form.format(d=d, h=high, l=low) for d, high, low in zip(DAYS, HIGHS, LOWS, strict=True)]


LAYOUTS = {
    "ISO dates": ["date,tmax [°C],tmin [°C]", *rows("{d:%Y-%m-%d},{h:.2f},{l:.2f}")],
    "blanks and three columns": [
        "Day Month Year Tmin(C) Tmax(C)",
        *rows("{d.day} {d.month} {d.year} {l:.2f} {h:.2f}"),
    ],
    "day first, semicolon, decimal comma": [
        "Datum;Temperaturmaximum (°C);Temperaturminimum (°C)",
        *[row.replace(".", ",") for row in rows("{d:%d/%m/%Y};{h:.2f};{l:.2f}")],
    ],
    "month first": ["Date\tHigh Temp\tLow Temp", *rows("{d:%m/%d/%Y}\t{h:.2f}\t{l:.2f}")],
    "compact dates and a row of units": [
        "date,temp_max,temp_min",
        ",°C,°C",
        *rows("{d:%Y%m%d},{h:.2f},{l:.2f}"),
    ],
    "year and day of year": ["YEAR JDAY MAX MIN", *rows("{d:%Y} {d:%j} {h:.2f} {l:.2f}")],
    "named months": ["Date;Tmax;Tmin", *rows("{d:%d-%b-%Y};{h:.2f};{l:.2f}")],
    "a title above": ["Station of Ambelund (invented)", "", "date,tmax,tmin", *rows("{d},{h:.2f},{l:.2f}")],
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_layout_gives_the_days_and_temperatures_written_into_it(name: str, tmp_path: Path) -> None:
    holds_the_truth(the_one(write(tmp_path, LAYOUTS[name])))


def test_fahrenheit_gives_the_same_as_celsius(tmp_path: Path) -> None:
    lines = ["date,tmax (°F),tmin (°F)"]
    lines += [
        f"{d},{1.8 * high + 32:.2f},{1.8 * low + 32:.2f}"
        for d, high, low in zip(DAYS, HIGHS, LOWS, strict=True)
    ]
    weather = the_one(write(tmp_path, lines))
    holds_the_truth(weather)
    assert weather.account.rows_converted == 30


def test_a_workbook_with_true_dates_is_read(tmp_path: Path) -> None:
    path = tmp_path / "weather.xlsx"
    book = xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet("days")
    sheet.write_row(0, 0, ["Date", "Maximum temperature [°C]", "Minimum temperature [°C]"])
    for place, (day, high, low) in enumerate(zip(DAYS, HIGHS, LOWS, strict=True), start=1):
        sheet.write_datetime(place, 0, datetime.datetime.combine(day, datetime.time()))
        sheet.write_row(place, 1, [high, low])
    book.close()
    holds_the_truth(the_one(path))


def test_a_file_without_headings_is_read_once_its_columns_are_named(tmp_path: Path) -> None:
    path = write(tmp_path, rows("{d:%Y-%m-%d},{h:.2f},{l:.2f}"))
    with pytest.raises(FileFormatError, match="no row of headings"):
        read_weather_record(path)
    named = zip(("date", "maximum", "minimum"), (1, 2, 3), strict=True)
    layout = Layout(columns=tuple(ColumnLayout(str(number), quantity) for quantity, number in named))
    holds_the_truth(the_one(path, layout=layout))


def test_a_unit_told_with_a_column_is_taken(tmp_path: Path) -> None:
    lines = ["date,a,b", *[f"{d},95,70" for d in DAYS]]
    columns = (ColumnLayout("date", "date"), ColumnLayout("a", "maximum", "°F"), ColumnLayout("b", "minimum"))
    weather = the_one(write(tmp_path, lines), layout=check_layout(Layout(columns=columns)))
    assert weather.maximum_c[0] == pytest.approx(35.0)


def test_a_unit_that_is_not_printed_is_told_from_the_hottest_days_and_said(tmp_path: Path) -> None:
    lines = ["date,tmax,tmin", *[f"{d},{95 + p % 5},{70 + p % 3}" for p, d in enumerate(DAYS)]]
    weather = the_one(write(tmp_path, lines))
    assert weather.maximum_c[0] == pytest.approx(35.0)
    assert any("taken as °F" in remark for remark in weather.account.remarks)


def test_celsius_that_no_air_ever_had_is_asked_about(tmp_path: Path) -> None:
    lines = ["date,tmax [°C],tmin [°C]", *[f"{d},{95 + p % 5},{70 + p % 3}" for p, d in enumerate(DAYS)]]
    with pytest.raises(AmbiguousFileError, match="is it in °F") as asked:
        read_weather_record(write(tmp_path, lines))
    assert asked.value.option == "--temperature-unit"


def test_dates_that_can_be_read_two_ways_are_asked_about_and_the_answer_is_taken(tmp_path: Path) -> None:
    lines = ["date,tmax,tmin", "03/04/1999,10,1", "04/04/1999,11,2"]
    path = write(tmp_path, lines)
    with pytest.raises(AmbiguousFileError, match="day/month/year or month/day/year"):
        read_weather_record(path)
    assert str(the_one(path, date_order="day-first").days[0]) == "1999-04-03"
    assert str(the_one(path, date_order="month-first").days[0]) == "1999-03-04"


def test_gaps_and_impossible_values_are_refused_with_their_place_and_nothing_is_bridged(
    tmp_path: Path,
) -> None:
    lines = LAYOUTS["ISO dates"].copy()
    lines[3] = f"{DAYS[2]},-999,{LOWS[2]}"
    lines[5] = f"{DAYS[4]},71.5,{LOWS[4]}"
    lines[6] = f"{DAYS[5]},5.0,9.0"
    lines[7] = f"{DAYS[6]},NA,{LOWS[6]}"
    del lines[10]
    weather = the_one(write(tmp_path, lines))
    assert np.isnan(weather.maximum_c[[2, 4, 5, 6]]).all()
    assert np.isnan(weather.minimum_c[5])
    refused = {row.place: row.reason for row in weather.account.rows_refused}
    assert "71.5 °C is no air temperature" in refused["line 6"]
    assert "below the minimum" in refused["line 7"]
    assert {m.name: m.value for m in weather.measures}["days_absent"] == 1.0


def test_a_day_that_contradicts_itself_is_a_gap(tmp_path: Path) -> None:
    lines = [*LAYOUTS["ISO dates"], f"{DAYS[3]},{HIGHS[3] + 5:.2f},{LOWS[3]:.2f}"]
    weather = the_one(write(tmp_path, lines))
    assert np.isnan(weather.maximum_c[3])
    assert {m.name: m.value for m in weather.measures}["days_contradicting"] == 1.0


def test_hourly_rows_are_refused_with_what_is_needed(tmp_path: Path) -> None:
    lines = ["date,tmax,tmin", *[f"{d},10,1" for d in DAYS for _ in range(24)]]
    with pytest.raises(FileFormatError, match="one row a day"):
        read_weather_record(write(tmp_path, lines))


def test_stations_told_apart_by_a_column_come_apart(tmp_path: Path) -> None:
    lines = [
        "station,date,tmax,tmin",
        "north,2001-01-01,1,-5",
        "south,2001-01-01,21,10",
        "north,2001-01-02,2,-4",
    ]
    north, south = read_weather_record(write(tmp_path, lines))
    assert (north.site, len(north.days), south.site, len(south.days)) == ("north", 2, "south", 1)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"time,stress\n1,2\n", "no row of headings"),
        (b"date,tmax,tmin\nyesterday,1,0\n", "no date that exists"),
        (b"\x00\x01\x02\x03" * 40, "binary|no text|not text"),
    ],
)
def test_what_is_no_weather_record_is_refused_in_a_sentence(
    content: bytes, words: str, tmp_path: Path
) -> None:
    path = tmp_path / "x.csv"
    path.write_bytes(content)
    with pytest.raises(FileFormatError, match=words):
        read_weather_record(path)


def test_a_file_that_is_not_there_is_said_to_be_missing(tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError, match="no such file"):
        read_weather_record(tmp_path / "none.csv")


@pytest.mark.parametrize("form", ["%m/%d/%y", "%d.%m.%y", "%y-%m-%d"])
def test_years_of_two_digits_get_the_century_in_which_they_follow_one_another(
    form: str, tmp_path: Path
) -> None:
    first = datetime.date(1997, 1, 1)
    days = [first + datetime.timedelta(days=n) for n in range(2000)]
    path = tmp_path / "short.csv"
    rows = [f"{day.strftime(form)},{20 + day.month},{day.month}" for day in days]
    path.write_text("\n".join(["date,tmax,tmin", *rows]), encoding="utf-8")
    (weather,) = read_weather_record(path)
    assert [str(day) for day in weather.days] == [str(day) for day in days]


@pytest.mark.parametrize(("year", "form"), [(1960, "%m/%d/%y"), (2003, "%y-%m-%d")])
def test_years_of_two_digits_that_do_not_follow_one_another_are_refused(
    year: int, form: str, tmp_path: Path
) -> None:
    """1960 to 1970 becomes 2060 and 1970; 03-01-31 has a day where a year would stand."""
    days = [datetime.date(year, 1, 1) + datetime.timedelta(days=n) for n in range(4000)]
    path = tmp_path / "short.csv"
    rows = [f"{day.strftime(form)},20,1" for day in days]
    path.write_text("\n".join(["date,tmax,tmin", *rows]), encoding="utf-8")
    with pytest.raises(FileFormatError, match=r"four digits are needed|one order of day and month"):
        read_weather_record(path)


def test_a_column_headed_day_without_a_year_beside_it_holds_dates(tmp_path: Path) -> None:
    path = write(tmp_path, ["Day,T max [°C],T min [°C]", *(f"{day},20,9" for day in DAYS)])
    assert [str(day) for day in the_one(path).days] == [str(day) for day in DAYS]
