"""Short-term ageing records: TOML, tables in several languages, workbooks, and what is wrong with them."""

import io
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

from resile.errors import FileFormatError, InputError, RecordNotFoundError, SpecificationError
from resile.readers.ageing.ageing_record import read_ageing_record
from resile.records.ageing import AgeingRecord, Bottle

TOML = """
sample = "N-118"
method = "t240"
aged_on = 2026-03-02
temperature_c = 163
duration_min = 85
air_flow_ml_min = 4000
rotation_r_min = 15.0
[[bottle]]
name = 1
empty_g = 166.214
before_g = 201.231
after_g = 201.122
[[bottle]]
name = "2"
empty_g = 165.874
before_g = 200.869
after_g = 200.762
note = "crept out at the rim"
"""
BOTTLES = (
    Bottle("1", 166.214, 201.231, 201.122),
    Bottle("2", 165.874, 200.869, 200.762, note="crept out at the rim"),
)


def read(folder: Path, text: str, name: str, encoding: str = "utf-8") -> AgeingRecord:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return read_ageing_record(path)


def test_a_toml_record_is_read_as_written_and_nothing_is_worked_out(tmp_path: Path) -> None:
    record = read(tmp_path, TOML, "a.toml")
    assert record.bottles == BOTTLES
    assert (record.sample, record.method, record.aged_on) == ("N-118", "t240", "2026-03-02")
    assert (record.temperature_c, record.duration_min) == (163.0, 85.0)
    assert (record.air_flow_ml_min, record.rotation_r_min, record.recovery_min) == (4000.0, 15.0, None)
    assert record.mass_change_percent is None
    assert record.source is not None
    assert len(record.source.sha256) == 64


@pytest.mark.parametrize(
    ("text", "name", "encoding"),
    [
        (
            "Short-term ageing\nsample,N-118\nmethod,AASHTO T 240\nduration: 85 min\n"
            "oven temperature,163,°C\nair flow (L/min),4.0\n"
            "carriage speed,15 r/min\n\nbottle,empty mass,mass before,mass after,note\n"
            "1,166.214,201.231,201.122,\n2,165.874,200.869,200.762,crept out at the rim\n",
            "english.csv",
            "utf-8",
        ),
        (
            "Probe;N-118\nVerfahren;T 240\nOfentemperatur, °C;163,0\nDauer;85 min\nLuftstrom;4.000 mL/min\n"
            "Drehzahl;15\n\nFlasche;Leermasse (g);Masse vorher (g);Masse nachher (g);Bemerkung\n"
            "1;166,214;201,231;201,122;-\n2;165,874;200,869;200,762;crept out at the rim\n",
            "german.csv",
            "cp1252",
        ),
        (
            "образец\tN-118\nметод\tT240\nтемпература\t163\nвремя\t85 мин\nрасход воздуха\t4 л/мин\n"
            "частота вращения\t15 об/мин\nсосуд\tмасса тары, г\tмасса до, г\tмасса после, г\tпримечание\n"
            "1\t166.214\t201.231\t201.122\t\n2\t165.874\t200.869\t200.762\tcrept out at the rim\n",
            "russian.txt",
            "utf-16",
        ),
    ],
)
def test_a_table_gives_the_same_record(tmp_path: Path, text: str, name: str, encoding: str) -> None:
    record = read(tmp_path, text, name, encoding)
    assert record.bottles == BOTTLES
    assert (record.sample, record.method) == ("N-118", "t240")
    assert (record.temperature_c, record.duration_min) == (163.0, 85.0)
    assert (record.air_flow_ml_min, record.rotation_r_min) == (4000.0, 15.0)


def test_lines_that_mean_nothing_are_named_in_a_finding(tmp_path: Path) -> None:
    text = "Form 7\nmethod,T240\nweather,fair\nbottle,empty,before,after\n"
    text += "1,166.2,201.2,201.1\nsigned: A. Writer\n"
    (finding,) = read(tmp_path, text, "a.csv").findings
    for place in ("line 1", "line 3: weather fair", "line 6"):
        assert place in finding.message


def test_a_workbook_with_a_merged_title_gives_the_same_bottles(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.append(["Short-term ageing"])
    sheet.merge_cells("A1:E1")
    sheet.append(["method", "EN 12607-1"])
    sheet.append(["duration, h", 1.25])
    sheet.append(["bottle", "empty, g", "before, g", "after, g", "note"])
    sheet.append([1, 166.214, 201.231, 201.122])
    sheet.append([2, 165.874, 200.869, 200.762, "crept out at the rim"])
    buffer = io.BytesIO()
    book.save(buffer)
    path = tmp_path / "a.xlsx"
    path.write_bytes(buffer.getvalue())
    record = read_ageing_record(path)
    assert record.bottles == BOTTLES
    assert record.method == "en12607-1"
    assert record.duration_min == 75.0  # 1.25 h


def test_a_bottle_with_a_missing_mass_is_kept(tmp_path: Path) -> None:
    text = "method,T240\nbottle,empty,before,after\n1,166.2,201.2,201.1\n2,165.9,200.9,-\n"
    assert read(tmp_path, text, "a.csv").bottles[1] == Bottle("2", 165.9, 200.9, None)


def test_a_stated_mean_without_masses_is_kept(tmp_path: Path) -> None:
    record = read(tmp_path, "method,T240\nmass change,-0.31 %\n", "a.csv")
    assert (record.bottles, record.mass_change_percent) == ((), -0.31)


def test_every_wrong_key_of_a_toml_record_is_named_at_once(tmp_path: Path) -> None:
    text = (
        'duration_min = "long"\noven = 163\n[[bottle]]\nname = "1"\nempty_g = -2\n[[bottle]]\nempty_g = 1.0\n'
    )
    with pytest.raises(SpecificationError) as caught:
        read(tmp_path, text, "a.toml")
    message = str(caught.value)
    for words in (
        "key 'method' is missing",
        "key 'duration_min' must be a number, found 'long'",
        "key 'oven' is not known",
        "'bottle 1, empty_g'",
        "key 'bottle 2, name' is missing",
    ):
        assert words in message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "method,T240\nbottle,empty,before,after\n1,166.2,2O1.2,201.1\n",
            "line 3, 'before_g': '2O1.2' is not a number",
        ),
        ("method,T240\nbottle,empty,before\n1,166.2,201.2\n", "line 2: no column for after_g"),
        (
            "duration,85 °C\nbottle,empty,before,after\n1,166.2,201.2,201.1\n",
            "line 1, 'duration': '°C' is not a unit",
        ),
        ("method,T240\nbottle,empty,before,after\n", "no bottle was found"),
        ("time,stress\n1,2\n", "no bottle was found"),
        ("\x00\x01\x02" * 100, "binary"),
    ],
)
def test_what_is_wrong_with_a_table_is_said_with_its_line(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(FileFormatError) as caught:
        read(tmp_path, text, "a.csv")
    assert words in str(caught.value)


def test_toml_that_is_no_toml_says_where(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError, match="line 2"):
        read(tmp_path, 'method = "t240"\nduration_min = \n', "a.toml")


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=120), masses=st.text("0123456789.,;\t-–kg \n", max_size=60))
def test_any_text_is_read_or_refused_in_words(tmp_path: Path, text: str, masses: str) -> None:
    for content in (text, f"method,T240\n{text}", f"bottle;empty;before;after\n{masses}"):
        for name in ("a.csv", "a.toml"):
            try:
                read(tmp_path, content.encode("utf-8", "replace").decode(), name)
            except InputError as error:
                assert name in str(error)


@pytest.mark.parametrize("name", ["none.toml", "none.csv"])
def test_a_file_that_does_not_exist_is_named(tmp_path: Path, name: str) -> None:
    with pytest.raises(RecordNotFoundError, match=name):
        read_ageing_record(tmp_path / name)


@pytest.mark.parametrize("name", ["folder.toml", "folder.csv"])
def test_a_folder_in_the_place_of_a_file_is_named(tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()
    with pytest.raises(InputError, match="folder"):
        read_ageing_record(tmp_path / name)
