"""Records laid out in ways of our own invention, against the columns they were made from.

The truth is constructed here, apart from the record writer of the other tests: rows every 0.1 s of four
cycles at 0.1 kPa and four at 3.2 kPa, strain by the exact sum of a spring, a dashpot and one Kelvin element.
"""

import datetime
import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xlsxwriter

from resile.errors import FileFormatError
from resile.readers.account import explain_rows, overview, reads_alike
from resile.readers.layout import ColumnLayout, Layout
from resile.readers.raw_record import read_raw_record
from resile.records.signal import Signal

STARTS = 10.0 * np.arange(8)
STRESSES = np.repeat([0.1, 3.2], 4)
TIME = np.concatenate([[0.0], *(start + np.arange(1, 101) / 10.0 for start in STARTS)]).round(6)
CYCLE = np.concatenate([[1], np.repeat(np.arange(1, 9), 100)])
LOADED = np.concatenate([[False], np.tile(np.arange(1, 101) <= 10, 8)])
STRESS = np.where(LOADED, STRESSES[CYCLE - 1], 0.0)


def compliance(time_s: np.ndarray) -> np.ndarray:
    after = np.maximum(time_s, 0.0)
    return np.where(time_s > 1e-9, 0.004 + after / 2.5 + 0.12 * (1.0 - np.exp(-after / 3.0)), 0.0)


STRAIN = sum(
    stress * (compliance(TIME - start) - compliance(TIME - start - 1.0))
    for start, stress in zip(STARTS, STRESSES, strict=True)
)
MOMENT = datetime.datetime(2024, 3, 4, 23, 59, 20)  # the record runs over midnight
HEADINGS = ("Time (s)", "Shear stress (Pa)", "Shear strain (%)")


def numbers(time: list[str] | None = None, *, mark: str = ";", quote: str = "") -> str:
    times = time or [f"{t:.1f}" for t in TIME]
    rows = zip(times, (f"{1000 * s:.7g}" for s in STRESS), (f"{100 * e:.9g}" for e in STRAIN), strict=True)
    return "".join(mark.join(f"{quote}{cell}{quote}" for cell in row) + "\n" for row in rows)


def clock(seconds: float) -> str:
    return f"{int(seconds // 3600)}:{int(seconds % 3600 // 60):02d}:{seconds % 60:04.1f}"


def stamps(form: str, digits: int = 3) -> list[str]:
    moments = [MOMENT + datetime.timedelta(seconds=float(t)) for t in TIME]
    return [moment.strftime(form).replace("MICRO", f"{moment:%f}"[:digits]) for moment in moments]


def grouped(value: float) -> str:
    return f"{value:,.4f}".replace(",", "’")


TEXTS: dict[str, bytes] = {
    "a clock": ("Time;Stress (Pa);Strain (%)\n" + numbers([clock(t) for t in TIME])).encode(),
    "minutes and seconds": (
        "Time [mm:ss.s];Stress (Pa);Strain (%)\n" + numbers([f"{t // 60:02.0f}:{t % 60:04.1f}" for t in TIME])
    ).encode(),
    "date and time": (
        "Timestamp;Stress (Pa);Strain (%)\n" + numbers(stamps("%Y-%m-%d %H:%M:%S.MICRO"))
    ).encode(),
    "date and time in the German way": (
        "Zeitstempel;Schubspannung (Pa);Scherdeformation (%)\n"
        + numbers(stamps("%d.%m.%Y %H:%M:%S,MICRO")).replace(".", ",").replace(",03,2024", ".03.2024")
    ).encode(),
    "half days": (
        "Date/Time;Stress (Pa);Strain (%)\n" + numbers(stamps("%m/%d/%Y %I:%M:%S.MICRO %p"))
    ).encode(),
    "time of day without a date": (
        "Time;Stress (Pa);Strain (%)\n" + numbers(stamps("%H:%M:%S.MICRO"))
    ).encode(),
    "date and clock in columns of their own": (
        "Date;Clock;Stress (Pa);Strain (%)\n"
        + numbers([f"2024-03-04;{text}" for text in stamps("%H:%M:%S.MICRO")])
    ).encode(),
    "units glued to the words": ("Time(s),Stress(Pa),Strain%\n" + numbers(mark=",")).encode(),
    "quoted headings broken over lines": (
        '"Elapsed\ntime\n(s)","Shear\nstress\n(Pa)","Shear\nstrain\n(%)"\n' + numbers(mark=",")
    ).encode(),
    "quoted cells and a lone inch sign": (
        'Plate 1" wide\n"Time (s)";"Stress (Pa)";"Strain (%)"\n' + numbers(quote='"')
    ).encode(),
    "a blank row between headings and units": (
        "Time\tStress\tStrain\n\n[s]\t[Pa]\t[%]\n\n" + numbers(mark="\t")
    ).encode(),
    "typographic apostrophes as thousands marks": (
        ";".join(HEADINGS)
        + "\n"
        + "".join(
            f"{t:.1f};{grouped(1000 * s)};{grouped(100 * e)}\n"
            for t, s, e in zip(TIME, STRESS, STRAIN, strict=True)
        )
    ).encode(),
    "a Russian code page of old": ("Время, с;Напряжение сдвига, Па;Деформация, %\n" + numbers()).encode(
        "koi8-r"
    ),
    "a Russian code page of terminals": ("Время, с;Напряжение сдвига, Па;Деформация, %\n" + numbers()).encode(
        "cp866"
    ),
    "Chinese with wide brackets": ("时间（秒）,剪切应力（Pa）,剪切应变（%）\n" + numbers(mark=",")).encode(
        "gb18030"
    ),
    "traditional Chinese": ("時間 (s),剪切應力 (Pa),剪切應變 (%)\n" + numbers(mark=",")).encode("big5"),
    "statistics and a farewell below": (
        ";".join(HEADINGS) + "\n" + numbers() + "\nEnd of data\nMean;12.3;4.5\nMaximum;79.9;3200\n"
    ).encode(),
    "rows from last to first": (
        ";".join(HEADINGS) + "\n" + "\n".join(reversed(numbers().strip().split("\n"))) + "\n"
    ).encode(),
}


def read(path: Path, content: bytes) -> Signal:
    path.write_bytes(content)
    (signal,) = read_raw_record(path)
    return signal


def assert_truth(signal: Signal, tolerance: float = 1e-6) -> None:
    assert signal.columns["time_s"] == pytest.approx(TIME, abs=1e-6)
    assert signal.columns["stress_kpa"] == pytest.approx(STRESS, rel=tolerance, abs=1e-9)
    assert signal.columns["strain"] == pytest.approx(STRAIN, rel=tolerance, abs=tolerance)


@pytest.mark.parametrize("layout", TEXTS)
def test_a_text_in_a_layout_nobody_promised_gives_its_numbers(layout: str, tmp_path: Path) -> None:
    assert_truth(read(tmp_path / "record.csv", TEXTS[layout]))


def test_a_clock_says_in_the_account_how_it_was_read(tmp_path: Path) -> None:
    signal = read(tmp_path / "record.csv", TEXTS["date and time"])
    assert "clock times such as '2024-03-04 23:59:20.000'" in signal.account.columns[0].remark


def test_a_clock_of_whole_seconds_is_refused_because_rows_share_a_time(tmp_path: Path) -> None:
    text = "Time;Stress (Pa);Strain (%)\n" + numbers(stamps("%H:%M:%S"))
    with pytest.raises(FileFormatError, match="fractions of a second"):
        read(tmp_path / "record.csv", text.encode())


def test_a_time_of_words_is_refused_with_the_word_and_no_question_of_units(tmp_path: Path) -> None:
    text = "Time;Stress (Pa);Strain (%)\n" + numbers(["soon"] * len(TIME))
    with pytest.raises(FileFormatError, match=r"none of its cells is a number .*'soon'"):
        read(tmp_path / "record.csv", text.encode())


@pytest.mark.parametrize("turned", ["stress and strain", "stress", "strain"])
def test_a_direction_counted_as_negative_is_turned_round_and_told(turned: str, tmp_path: Path) -> None:
    rows = zip(
        TIME,
        -STRESS if "stress" in turned else STRESS,
        -STRAIN - 0.3 if "strain" in turned else STRAIN + 0.3,
        strict=True,
    )
    text = ";".join(HEADINGS) + "\n" + "".join(f"{t:.1f};{1000 * s:.6g};{100 * e:.9g}\n" for t, s, e in rows)
    signal = read(tmp_path / "record.csv", text.encode())
    assert signal.columns["stress_kpa"] == pytest.approx(STRESS)
    assert signal.columns["strain"] == pytest.approx(STRAIN + 0.3)
    told = " ".join(signal.account.remarks)
    assert ("stress is recorded with a negative sign" in told) == ("stress" in turned)
    assert ("strain falls where the stress is on" in told) == ("strain" in turned)


@pytest.mark.parametrize(
    "geometry",
    [
        "parallel plate 25 mm, gap 1 mm",
        "Geometry;plate 25 mm, gap 1 mm",
        "Plate diameter (mm);25\nGap (mm);1.000",
    ],
)
@pytest.mark.parametrize("torque", ["Torque (µN.m)", "Torque (μN·m)", "Torque (uN-m)"])
def test_torque_and_deflection_find_their_plates_in_the_lines_above(
    geometry: str, torque: str, tmp_path: Path
) -> None:
    # Definition: M = π R³ τ/2 and θ = γ h/R with R = 12.5 mm and h = 1 mm.
    moment = 1e9 * STRESS * np.pi * 0.0125**3 / 2.0
    turn = 1e3 * STRAIN / 12.5
    rows = zip(TIME, moment, turn, strict=True)
    text = f"{geometry}\nTime (s);{torque};Deflection (mrad)\n"
    text += "".join(f"{t:.1f};{m:.9g};{a:.9g}\n" for t, m, a in rows)
    assert_truth(read(tmp_path / "record.csv", text.encode()))


def test_many_illegible_cells_refuse_the_file_and_few_do_not(tmp_path: Path) -> None:
    rows = numbers().strip().split("\n")

    def spoilt(every: int) -> bytes:
        cells = [row if n % every else row.replace(";", ";~", 1) for n, row in enumerate(rows)]
        return (";".join(HEADINGS) + "\n" + "\n".join(cells) + "\n").encode()

    assert read(tmp_path / "few.csv", spoilt(50)).account.rows_refused_count == 17
    with pytest.raises(FileFormatError, match=r"line 2: '~0' under .* in 267 of 801 rows"):
        read(tmp_path / "many.csv", spoilt(3))


def test_units_in_every_cell_are_refused_with_the_remedy(tmp_path: Path) -> None:
    rows = [row.split(";") for row in numbers().strip().split("\n")]
    text = "Time;Stress;Strain\n" + "\n".join(f"{t} s;{s} Pa;{e} %" for t, s, e in rows)
    with pytest.raises(FileFormatError, match="write the unit in the heading"):
        read(tmp_path / "record.csv", text.encode())


def test_quantities_one_below_another_are_refused_with_the_remedy(tmp_path: Path) -> None:
    columns = zip(*(row.split(";") for row in numbers().strip().split("\n")), strict=True)
    text = "\n".join(";".join((heading, *cells)) for heading, cells in zip(HEADINGS, columns, strict=True))
    with pytest.raises(FileFormatError, match="transpose"):
        read(tmp_path / "record.csv", text.encode())


def told(path: Path, **said: object) -> Signal:
    (signal,) = read_raw_record(path, layout=Layout(**said))
    return signal


def test_a_first_row_given_below_known_headings_keeps_the_headings(tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    path.write_text(";".join(HEADINGS) + "\n" + numbers(), encoding="utf-8")
    signal = told(path, first_data_row=102)
    assert signal.columns["time_s"] == pytest.approx(TIME[100:])
    assert signal.account.heading_rows == (1,)


@pytest.mark.parametrize("row", ["first_data_row", "heading_row"])
def test_a_row_beyond_the_end_is_refused_with_the_length_of_the_file(row: str, tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    path.write_text(";".join(HEADINGS) + "\n" + numbers(), encoding="utf-8")
    with pytest.raises(FileFormatError, match="row 9999 was asked for, but the file has 802 lines"):
        told(path, **{row: 9999})


@pytest.mark.parametrize("column", ["7", "Dehnung"])
def test_a_column_named_by_the_user_must_be_there(column: str, tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    path.write_text(";".join(HEADINGS) + "\n" + numbers(), encoding="utf-8")
    with pytest.raises(FileFormatError, match=f"no column '{column}'.* 1 'Time"):
        told(path, columns=(ColumnLayout(column, "strain"),))
    assert_truth(told(path, columns=(ColumnLayout(column, "ignore"),)))


def test_a_temperature_given_beside_a_recorded_one_is_said_to_be_needless(tmp_path: Path) -> None:
    rows = numbers().replace("\n", ";64.1\n")
    path = tmp_path / "record.csv"
    path.write_text(";".join((*HEADINGS, "Temperature (°C)")) + "\n" + rows, encoding="utf-8")
    signal = told(path, temperature_c=70.0)
    assert signal.columns["temperature_c"] == pytest.approx(np.full(len(TIME), 64.1))
    assert any("70 °C as given was not needed" in remark for remark in signal.account.remarks)


def test_a_column_that_turns_out_useless_is_not_said_to_be_used(tmp_path: Path) -> None:
    rows = numbers().replace("\n", ";creep\n")
    signal = read(tmp_path / "r.csv", (";".join((*HEADINGS, "Step")) + "\n" + rows).encode())
    assert signal.account.columns[3].quantity is None
    assert_truth(signal)


def test_the_overview_names_every_run_and_the_columns_are_told_once(tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    rows = [f"1;{row}" for row in numbers().strip().split("\n")]
    rows += [f"2;{t:.1f};{1000 * x:g};{110 * e:.9g}" for t, x, e in zip(TIME, STRESS, STRAIN, strict=True)]
    path.write_text(";".join(("Replicate", *HEADINGS)) + "\n" + "\n".join(rows), encoding="utf-8")
    one, two = signals = read_raw_record(path)
    lines = overview("record.csv", signals)
    assert lines[0] == "record.csv: 2 runs found"
    assert lines[2].startswith("run 2 (replicate 2): 801 rows, 0 to 80 s, stress up to 3.2 kPa")
    assert reads_alike(one, two)
    assert explain_rows(two)[0] == "this run: replicate 2"


def workbook(fill: Callable[[xlsxwriter.Workbook], None]) -> bytes:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        fill(book)
    return buffer.getvalue()


def write_sheet(book: xlsxwriter.Workbook, name: str, rows: np.ndarray, origin: float, zero: float) -> None:
    sheet = book.add_worksheet(name)
    for column, (heading, values) in enumerate(
        zip(HEADINGS, (TIME[rows] - origin, 1000 * STRESS[rows], 100 * (STRAIN[rows] - zero)), strict=True)
    ):
        sheet.write_column(0, column, [heading, *values])


@pytest.mark.parametrize("own_clock", [True, False])
@pytest.mark.parametrize("kind", ["cycle", "level"])
def test_sheets_of_cycles_or_levels_are_one_run(kind: str, own_clock: bool, tmp_path: Path) -> None:
    def fill(book: xlsxwriter.Workbook) -> None:
        places = CYCLE if kind == "cycle" else np.where(CYCLE <= 4, 1, 2)
        for place in np.unique(places):
            rows = np.flatnonzero(places == place)
            origin = 10.0 * (CYCLE[rows[0]] - 1) if own_clock else 0.0
            write_sheet(book, f"{kind} {place}", rows, origin, 0.0)

    signal = read(tmp_path / "record.xlsx", workbook(fill))
    assert_truth(signal)
    assert any("joined into one run" in remark for remark in signal.account.remarks)


def test_sheets_that_hold_a_whole_test_each_stay_runs_of_their_own(tmp_path: Path) -> None:
    def fill(book: xlsxwriter.Workbook) -> None:
        for number in (1, 2, 3):
            write_sheet(book, f"Specimen {number}", np.arange(len(TIME)), 0.0, 0.001 * number)

    (tmp_path / "record.xlsx").write_bytes(workbook(fill))
    assert [signal.label for signal in read_raw_record(tmp_path / "record.xlsx")] == [
        "Specimen 1",
        "Specimen 2",
        "Specimen 3",
    ]


@pytest.mark.parametrize(
    ("form", "day"), [("hh:mm:ss.000", 0.0), ("[h]:mm:ss.0", 0.0), ("yyyy-mm-dd hh:mm:ss.000", 45_000.0)]
)
def test_times_formatted_as_a_clock_in_a_workbook_are_read(form: str, day: float, tmp_path: Path) -> None:
    def fill(book: xlsxwriter.Workbook) -> None:
        write_sheet(book, "Data", np.arange(len(TIME)), 0.0, 0.0)
        sheet = book.get_worksheet_by_name("Data")
        sheet.write(0, 0, "Time")
        for row, seconds in enumerate(TIME, start=1):
            sheet.write_number(row, 0, day + seconds / 86_400.0, book.add_format({"num_format": form}))

    assert_truth(read(tmp_path / "record.xlsx", workbook(fill)))
