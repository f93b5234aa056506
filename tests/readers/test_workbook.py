"""Damaged, hostile and odd workbooks, built here; and file E of the synthetic layouts where it is present."""

import datetime
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.worksheet.worksheet import Worksheet

from resile.errors import FileFormatError, RecordNotFoundError
from resile.readers.workbooks.workbook import read_workbook

SHARED = Path(__file__).resolve().parents[2] / ".." / "shared" / "data" / "synthetic_layouts"


def workbook_of(fill: Callable[[Worksheet], None], name: str = "MSCR") -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.title = name
    fill(sheet)
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def with_part(data: bytes, part: str, change: Callable[[bytes], bytes]) -> bytes:
    """Write the archive again with one part changed."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, change(content) if name == part else content)
    return buffer.getvalue()


def table(sheet: Worksheet) -> None:
    sheet.append(["time, s", "strain"])
    sheet.append([0.1, 0.5])
    sheet.append([0.2, 0.75])


def test_numbers_words_and_gaps_stand_where_the_sheet_has_them() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["B2"], sheet["D2"], sheet["B4"], sheet["C4"] = "Jnr", "note", 0.25, 7

    (grid,) = read_workbook(workbook_of(fill), "a.xlsx")
    assert grid.name == "MSCR"
    assert grid.first_row == 1
    assert grid.rows == [
        [None, None, None, None],
        [None, "Jnr", None, "note"],
        [None, None, None, None],
        [None, 0.25, 7.0, None],
    ]


def test_dates_times_and_truth_values_become_text() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"] = datetime.datetime(2026, 3, 2, 14, 30)
        sheet["B1"] = datetime.time(1, 2, 3)
        sheet["C1"] = True

    (grid,) = read_workbook(workbook_of(fill), "a.xlsx")
    assert grid.rows == [["2026-03-02 14:30:00", "01:02:03", "TRUE"]]


def test_numbers_stored_as_text_stay_text_and_tell_their_decimal_mark() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet.append(["Jnr", "R"])
        sheet.append(["0,35", "12,5"])

    (grid,) = read_workbook(workbook_of(fill), "a.xlsx")
    assert grid.rows[1] == ["0,35", "12,5"]
    assert grid.decimal_mark == ","


def test_a_merged_title_stands_over_every_column_it_covers_and_nowhere_else() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"], sheet["E1"] = "Replicate 1", "Replicate 2"
        sheet.merge_cells("A1:B1")
        sheet.merge_cells("E1:Z1")  # reaches beyond the data
        for column in (1, 2, 5, 6):
            sheet.cell(2, column, 1.0)

    (grid,) = read_workbook(workbook_of(fill), "a.xlsx")
    assert grid.rows[0] == ["Replicate 1", "Replicate 1", None, None, "Replicate 2", "Replicate 2"]
    assert "merged" in " ".join(grid.remarks)


def test_hidden_sheets_are_read_and_it_is_said() -> None:
    book = openpyxl.Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    table(first)
    hidden = book.create_sheet("old run")
    table(hidden)
    hidden.sheet_state = "hidden"
    buffer = io.BytesIO()
    book.save(buffer)
    visible, unseen = read_workbook(buffer.getvalue(), "a.xlsx")
    assert visible.remarks == ()
    assert "hidden" in unseen.remarks[0]


def test_one_sheet_can_be_asked_for_and_a_wrong_name_lists_the_right_ones() -> None:
    data = workbook_of(table, "Probe 1")
    assert [grid.name for grid in read_workbook(data, "a.xlsx", sheet="Probe 1")] == ["Probe 1"]
    with pytest.raises(RecordNotFoundError, match=r"a\.xlsx.*'Probe 2'.*'Probe 1'"):
        read_workbook(data, "a.xlsx", sheet="Probe 2")


def test_a_formula_without_a_stored_result_is_refused_with_its_cell() -> None:
    def fill(sheet: Worksheet) -> None:
        table(sheet)
        sheet["C7"] = "=B2*2"
        sheet["C8"] = "=B3*2"

    with pytest.raises(
        FileFormatError, match=r"sheet MSCR, cell C7: formula without a stored result.*1 more"
    ):
        read_workbook(workbook_of(fill), "a.xlsx")


def test_a_formula_that_a_script_wrote_with_the_result_nought_was_never_computed() -> None:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        sheet = book.add_worksheet("S")
        sheet.write("A1", 5)
        sheet.write_formula("B1", "=A1*2")
    with pytest.raises(FileFormatError, match="sheet S, cell B1: formula without a stored result"):
        read_workbook(buffer.getvalue(), "a.xlsx")


def test_a_formula_with_its_result_is_read_as_that_result() -> None:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        sheet = book.add_worksheet("S")
        sheet.write("A1", 5)
        sheet.write_formula("B1", "=A1*2", None, 10)
    (grid,) = read_workbook(buffer.getvalue(), "a.xlsx")
    assert grid.rows == [[5.0, 10.0]]


@pytest.mark.parametrize("error", ["#DIV/0!", "#N/A", "#REF!"])
def test_an_error_cell_is_refused_with_its_cell(error: str) -> None:
    def fill(sheet: Worksheet) -> None:
        table(sheet)
        sheet["B3"] = error

    with pytest.raises(FileFormatError, match=f"sheet MSCR, cell B3: holds the error {error}"):
        read_workbook(workbook_of(fill), "a.xlsx")


def test_an_error_on_another_sheet_does_not_stand_in_the_way_of_the_sheet_asked_for() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    table(sheet)
    book.create_sheet("sums")["A1"] = "#DIV/0!"
    buffer = io.BytesIO()
    book.save(buffer)
    assert len(read_workbook(buffer.getvalue(), "a.xlsx", sheet="Sheet")) == 1


def test_an_empty_workbook_is_one_sentence() -> None:
    with pytest.raises(FileFormatError, match=r"a\.xlsx: every sheet of the workbook is empty"):
        read_workbook(workbook_of(lambda sheet: None), "a.xlsx")


def test_a_bomb_is_refused_by_its_declared_size() -> None:
    bomb = with_part(workbook_of(table), "xl/worksheets/sheet1.xml", lambda _: b" " * 60_000_000)
    assert len(bomb) < 200_000
    with pytest.raises(FileFormatError, match="unpacks to"):
        read_workbook(bomb, "a.xlsx")
    with pytest.raises(FileFormatError, match="unpacks to more than 1 MB"):
        read_workbook(bomb, "a.xlsx", max_unpacked_bytes=1_000_000)


def test_a_bomb_that_lies_about_its_size_is_refused() -> None:
    bomb = bytearray(with_part(workbook_of(table), "xl/worksheets/sheet1.xml", lambda _: b" " * 60_000_000))
    for mark, offset in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        place = bomb.find(mark)
        while place >= 0:
            name_at = place + (30 if mark == b"PK\x03\x04" else 46)
            if bomb[name_at:].startswith(b"xl/worksheets/sheet1.xml"):
                bomb[place + offset : place + offset + 4] = (1000).to_bytes(4, "little")
            place = bomb.find(mark, place + 4)
    with pytest.raises(FileFormatError, match="damaged"):
        read_workbook(bytes(bomb), "a.xlsx")


def test_a_cell_at_the_far_corner_is_refused_before_a_billion_cells_are_made() -> None:
    def fill(sheet: Worksheet) -> None:
        sheet["A1"], sheet["XFD1048576"] = 1, 1

    with pytest.raises(FileFormatError, match="row 1048576, column 16384"):
        read_workbook(workbook_of(fill), "a.xlsx")


def test_formatting_far_outside_the_table_does_no_harm() -> None:
    def fill(sheet: Worksheet) -> None:
        table(sheet)
        sheet["XFD1048576"].number_format = "0.00"

    (grid,) = read_workbook(workbook_of(fill), "a.xlsx")
    assert len(grid.rows) == 3


@pytest.mark.parametrize(
    "cell", ['<x:c r="B3" t="e"><x:v>#N/A</x:v></x:c>', "<c r='B3' t='e'><v>#N/A</v></c>"]
)
def test_an_error_cell_is_found_however_the_sheet_is_written(cell: str) -> None:
    def write(_: bytes) -> bytes:
        prefix = "x:" if "x:" in cell else ""
        return (
            f"<{prefix}worksheet xmlns{':x' if prefix else ''}="
            f'"http://schemas.openxmlformats.org/spreadsheetml/2006/main"><{prefix}sheetData>'
            f'<{prefix}row r="3">{cell}</{prefix}row></{prefix}sheetData></{prefix}worksheet>'
        ).encode()

    with pytest.raises(FileFormatError, match="cell B3: holds the error #N/A"):
        read_workbook(with_part(workbook_of(table), "xl/worksheets/sheet1.xml", write), "a.xlsx")


def test_a_document_type_declaration_is_refused() -> None:
    def declare(content: bytes) -> bytes:
        return (
            b'<!DOCTYPE x [<!ENTITY a "b">]>' + content.partition(b"?>")[2]
            if b"?>" in content
            else (b'<!DOCTYPE x [<!ENTITY a "b">]>' + content)
        )

    with pytest.raises(FileFormatError, match="document type"):
        read_workbook(with_part(workbook_of(table), "xl/worksheets/sheet1.xml", declare), "a.xlsx")


def test_broken_sheet_xml_is_refused_with_its_sheet() -> None:
    data = with_part(
        workbook_of(table), "xl/worksheets/sheet1.xml", lambda content: content[: len(content) // 2]
    )
    with pytest.raises(FileFormatError, match="sheet MSCR: the workbook is damaged"):
        read_workbook(data, "a.xlsx")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"time;strain\n1;2\n", "not a workbook"),
        (b"PK\x03\x04 and then nothing", "damaged"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "old kind"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "password"),
    ],
)
def test_what_is_no_workbook_is_said_in_one_sentence(data: bytes, words: str) -> None:
    with pytest.raises(FileFormatError, match=words) as caught:
        read_workbook(data, "a.xlsx")
    assert str(caught.value).startswith("a.xlsx: ")


def archive_of(**parts: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (archive_of(**{"a.csv": b"1"}), "zip archive but no workbook"),
        (archive_of(**{"mimetype": b"x", "content.xml": b"<a/>"}), "OpenDocument"),
        (archive_of(**{"[Content_Types].xml": b"<a/>", "xl/workbook.bin": b""}), r"\.xlsb"),
        (archive_of(**{"[Content_Types].xml": b"<a/>", "word/document.xml": b"<a/>"}), "no workbook part"),
    ],
)
def test_other_archives_are_told_apart(data: bytes, words: str) -> None:
    with pytest.raises(FileFormatError, match=words):
        read_workbook(data, "a.xlsx")


def test_every_truncation_is_refused_and_none_is_read_in_part() -> None:
    data = workbook_of(table)
    for length in range(4, len(data) - 1, 97):
        with pytest.raises(FileFormatError):
            read_workbook(data[:length], "a.xlsx")


def test_file_e_gives_both_sheets_with_the_numbers_of_its_truth() -> None:
    file = SHARED / "E_xlsx_merged_headers_side_by_side.xlsx"
    if not file.exists():
        pytest.skip("the shared data folder is absent")
    run, sweep = read_workbook(file.read_bytes(), file.name)
    assert (run.name, sweep.name) == ("MSCR", "频率扫描")
    assert run.rows[1][:3] == ["Replicate 1 (elastic)"] * 3
    assert run.rows[1][4:7] == ["Replicate 2 (plain)"] * 3
    truth = json.loads((SHARED / "truth.json").read_text(encoding="utf-8"))
    _, _, strain_percent, *_ = truth["elastic"][
        "exact_cycles[level_kPa,cycle,strain_1s_pct,strain_10s_pct,R_pct,Jnr_perkPa]"
    ][0]
    at_one_second = next(row for row in run.rows[4:] if row[0] == 1.0)
    assert at_one_second[2] == pytest.approx(strain_percent, abs=5e-6)
    assert len(run.rows) == 3004
    # FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, lane 1 sweep, first row
    assert sweep.rows[2] == [10.0, 0.1, 5410000.0, 45.9]
