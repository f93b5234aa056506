"""From a number of a signal back to the row of the file it was read from."""

from pathlib import Path

import numpy as np
import pytest
from record_writer import short_run

from resile.readers.file_rows import read_file_rows
from resile.readers.raw_record import read_raw_record
from resile.records.reading import HeldFile
from resile.records.signal import Signal


def text_of(rows: np.ndarray, *, separator: str = ",", ends: str = "\n", mark: str = ".") -> str:
    head = separator.join(("Time (s)", "Stress (kPa)", "Strain (%)", "Temperature (°C)"))
    lines = [separator.join(f"{value:.6f}".replace(".", mark) for value in row[:4]) for row in rows]
    return ends.join(["Invented laboratory", head, *lines]) + ends


def shown_values(file: HeldFile, signal: Signal, quantity: str) -> list[float]:
    """Read the cells of a quantity from the rows of the file that the signal names."""
    assert signal.rows is not None
    sheets = signal.rows.sheets
    places = signal.rows.sheet_places
    wanted = [
        (sheets[0 if places is None else int(places[at])], int(number))
        for at, number in enumerate(signal.rows.row_numbers)
    ]
    column = next(c for c in signal.account.columns if c.quantity == quantity)
    rows = read_file_rows(file, wanted, account=signal.account)
    assert len(rows) == len(signal)
    return [float(row.cells[column.position - 1].replace(",", ".")) * column.factor for row in rows]


@pytest.mark.parametrize(
    ("separator", "ends", "mark", "encoding"),
    [
        (",", "\n", ".", "utf-8"),
        (";", "\r\n", ",", "cp1252"),
        ("\t", "\n", ".", "utf-16"),
        (",", "\r", ".", "utf-8"),
        ("   ", "\n", ".", "utf-8"),
    ],
)
def test_the_row_named_by_a_signal_prints_the_number_it_holds(
    separator: str, ends: str, mark: str, encoding: str
) -> None:
    text = text_of(short_run(), separator=separator, ends=ends, mark=mark)
    file = HeldFile("run.csv", text.encode(encoding))
    (signal,) = read_raw_record(file)
    assert shown_values(file, signal, "strain") == pytest.approx(signal.columns["strain"], abs=1e-12)


def test_rows_out_of_order_and_refused_rows_keep_their_own_line_numbers() -> None:
    lines = text_of(short_run()).split("\n")
    lines[10], lines[11] = lines[11], lines[10]
    lines.insert(20, "n/a,n/a,n/a,n/a")
    lines.insert(30, "")
    file = HeldFile("run.csv", "\n".join(lines).encode())
    (signal,) = read_raw_record(file)
    assert shown_values(file, signal, "strain") == pytest.approx(signal.columns["strain"], abs=1e-12)
    assert signal.rows is not None
    assert 21 not in signal.rows.row_numbers


def test_a_line_is_shown_as_it_stands_and_told_by_its_number() -> None:
    file = HeldFile("run.csv", text_of(short_run()).encode())
    (signal,) = read_raw_record(file)
    (row,) = read_file_rows(file, [("", 3)], account=signal.account)
    assert row.place == "line 3"
    assert row.text == file.content.decode().split("\n")[2]
    assert read_file_rows(file, [("", 10_000)], account=signal.account) == ()


def test_a_workbook_of_a_sheet_a_stress_names_sheet_and_row(tmp_path: Path) -> None:
    import xlsxwriter

    path = tmp_path / "run.xlsx"
    rows = short_run(30)
    with xlsxwriter.Workbook(str(path)) as book:
        for name, part in (("level 1", rows[rows[:, 0] < 200.0]), ("level 2", rows[rows[:, 0] >= 200.0])):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, ("Time (s)", "Stress (kPa)", "Strain (%)", "Temperature (°C)"))
            for at, row in enumerate(part, start=1):
                sheet.write_row(at, 0, [float(value) for value in row[:4]])
    file = HeldFile("run.xlsx", path.read_bytes())
    for signal in read_raw_record(file):
        assert shown_values(file, signal, "strain") == pytest.approx(signal.columns["strain"], rel=1e-9)


def test_a_file_in_hand_reads_as_the_same_file_on_the_disk(tmp_path: Path) -> None:
    path = tmp_path / "beam.csv"
    path.write_text(
        "temperature: -12 °C\nTime (s),Load (mN),Deflection (mm)\n"
        "8,980,0.20320\n15,980,0.23964\n30,980,0.29089\n60,980,0.35754\n120,980,0.44501\n240,980,0.56085\n",
        encoding="utf-8",
    )
    (on_disk,) = read_raw_record(path)
    (in_hand,) = read_raw_record(HeldFile("beam.csv", path.read_bytes()))
    assert on_disk.source.sha256 == in_hand.source.sha256
    assert in_hand.source.path == "beam.csv"
    assert in_hand.rows is not None
    assert in_hand.rows.row_numbers.tolist() == [3, 4, 5, 6, 7, 8]
