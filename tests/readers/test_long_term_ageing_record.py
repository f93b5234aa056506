"""Long-term ageing records: TOML, tables, workbooks; told from short-term ones by what they name."""

import io
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from resile.errors import FileFormatError, SpecificationError
from resile.readers.ageing.ageing_record import read_ageing_record
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord, Pan
from resile.records.determination import Condition

TOML = """
sample = "N-118"
method = "AASHTO R 28"
aged_on = 2026-03-03
feed = "RTFO"
temperature_c = 100
pressure_mpa = 2.10
duration_h = 20
pan_diameter_mm = 140
release_min = 9
[[pan]]
name = 1
mass_g = 50.1
[[pan]]
name = "2"
mass_g = 49.8
note = "tilted"
"""
PANS = (Pan("1", 50.1), Pan("2", 49.8, note="tilted"))


def read(folder: Path, text: str, name: str) -> AgeingRecord | LongTermAgeingRecord:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read_ageing_record(path)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        (TOML, "a.toml"),
        (
            "Long-term ageing\nsample,N-118\nmethod,AASHTO R 28\ndate,2026-03-03\nfeed,RTFO\n"
            "chamber temperature,100 °C\nair pressure,21 bar\n"
            "time under pressure,1200 min\npan diameter,14 cm\n"
            "pressure release,9\n\npan,binder mass [g],remark\n1,50.1,-\n2,49.8,tilted\n",
            "english.csv",
        ),
        (
            "Probe;N-118\nVerfahren;R 28\nDatum;2026-03-03\nEinsatz;RTFO\nTemperatur;100,0\nDruck;2,10 MPa\n"
            "Dauer;20\nSchalendurchmesser;140\nDruckentlastung;9 min\nSchale;Einwaage (g);Bemerkung\n"
            "1;50,1;\n2;49,8;tilted\n",
            "german.csv",
        ),
    ],
)
def test_every_form_gives_the_same_record(tmp_path: Path, text: str, name: str) -> None:
    record = read(tmp_path, text, name)
    assert isinstance(record, LongTermAgeingRecord)
    assert (record.sample, record.method, record.aged_on) == ("N-118", "r28", "2026-03-03")
    assert record.feed is Condition.SHORT_TERM_AGED
    assert record.temperature_c == 100.0
    assert record.pressure_mpa == pytest.approx(2.1)
    assert record.duration_h == pytest.approx(20.0)
    assert record.pan_diameter_mm == pytest.approx(140.0)
    assert record.release_min == 9.0
    assert record.pans == PANS


def test_a_workbook_gives_the_same_pans(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    for row in (["method", "R 28"], ["pressure, psi", 305], ["time, h", 20], ["pan", "mass, g", "note"]):
        sheet.append(row)
    sheet.append([1, 50.1])
    sheet.append([2, 49.8, "tilted"])
    buffer = io.BytesIO()
    book.save(buffer)
    path = tmp_path / "a.xlsx"
    path.write_bytes(buffer.getvalue())
    record = read_ageing_record(path)
    assert isinstance(record, LongTermAgeingRecord)
    assert record.pans == PANS
    assert record.pressure_mpa == pytest.approx(2.103, abs=5e-4)  # 305 psi of 6894.757 Pa


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ('method = "r28"\ntemperature_c = 100\npressure_mpa = 2.1\nduration_min = 1200\n', "a.toml"),
        ("method,R 28\npressure,2.1\nair flow,4000\n", "a.csv"),
    ],
)
def test_names_of_both_kinds_in_one_file_are_refused(tmp_path: Path, text: str, name: str) -> None:
    with pytest.raises((SpecificationError, FileFormatError), match=r"of short-term ageing .* long-term"):
        read(tmp_path, text, name)


@pytest.mark.parametrize(("method", "kind"), [("R 28", LongTermAgeingRecord), ("T 240", AgeingRecord)])
def test_the_method_tells_the_kind_where_nothing_else_does(tmp_path: Path, method: str, kind: type) -> None:
    text = f"method,{method}\ntemperature,100\nduration,20\nmass change,-0.2\n"
    text = text if kind is AgeingRecord else text.replace("mass change,-0.2\n", "")
    assert isinstance(read(tmp_path, text, "a.csv"), kind)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('method = "r28"\npressure_mpa = "high"\n', "pressure_mpa"),
        ('method = "r28"\nfeed = "aged"\npressure_mpa = 2.1\n', "tells neither short-term nor long-term"),
        ('method = "r28"\nrelease_min = 9\n', "needed: temperature, pressure and time"),
        ("pressure_mpa = 2.1\n", "method"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_sentence(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises((SpecificationError, FileFormatError), match=told):
        read(tmp_path, text, "a.toml")


def test_lines_that_mean_nothing_are_named(tmp_path: Path) -> None:
    record = read(tmp_path, "method,R 28\nweather,fair\npressure,2.1\n", "a.csv")
    assert [finding.code for finding in record.findings] == ["ageing-lines-not-used"]
    assert record.findings[0].message.startswith("Long-term ageing: ")


def test_a_remark_does_not_make_a_short_term_record_a_long_term_one(tmp_path: Path) -> None:
    text = "method,T 240\nnote,oven new\nbottle,empty,before,after\n1,166.2,201.2,201.1\n"
    record = read(tmp_path, text, "a.csv")
    assert isinstance(record, AgeingRecord)
    assert "note oven new" in record.findings[0].message
