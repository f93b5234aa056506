"""The demonstration day: the same bytes each time, invented and saying so, readable by our own readers."""

import csv
import tomllib
import zipfile
from pathlib import Path

import openpyxl
import pytest

from resile.errors import InputError
from resile.readers.order import read_order
from resile.workflows.demonstration import write_demonstration


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demonstration")
    write_demonstration(folder)
    return folder


def test_the_day_is_the_same_to_the_byte_each_time(day: Path, tmp_path: Path) -> None:
    written = write_demonstration(tmp_path)
    assert written == sorted(written)
    assert {p.relative_to(tmp_path) for p in written} == {
        p.relative_to(day) for p in day.rglob("*") if p.is_file()
    }
    for path in written:
        assert path.read_bytes() == (day / path.relative_to(tmp_path)).read_bytes(), path.name


def test_the_workbook_holds_no_date_of_today(day: Path) -> None:
    with zipfile.ZipFile(day / "103-spring-tank-2" / "specimens.xlsx") as package:
        assert {entry.date_time[0] for entry in package.infolist()} == {1980}
        assert b"2026-05-12" in package.read("docProps/core.xml")


def test_every_file_says_that_it_is_invented(day: Path) -> None:
    for path in day.rglob("*.*"):
        if path.suffix == ".xlsx":
            book = openpyxl.load_workbook(path, read_only=True)
            assert all("invented for demonstration" in str(sheet["A2"].value) for sheet in book.worksheets)
            book.close()
        elif path.is_file():
            assert "invented for demonstration" in path.read_bytes().decode("latin-1").casefold(), path.name


def test_every_order_names_files_that_are_there(day: Path) -> None:
    orders = [read_order(path) for path in sorted(day.rglob("order.toml"))]
    assert [order.sample.name for order in orders] == ["101", "102", "103", "104", "105", "201", "202", "203"]
    assert all(order.invented for order in orders)


def test_ageing_masses_are_those_of_a_bottle_with_35_grams(day: Path) -> None:
    for path in day.rglob("ageing.toml"):
        for bottle in tomllib.loads(path.read_text(encoding="utf-8"))["bottle"]:
            binder = bottle["before_g"] - bottle["empty_g"]
            assert binder == pytest.approx(35.0, abs=0.5)
            change = 100 * (bottle["after_g"] - bottle["before_g"]) / binder
            assert -1.0 < change < 0.0  # M 320, Table 1: at most 1.00 % either way


def test_the_certificate_prints_a_difference_with_two_digits_exchanged(day: Path) -> None:
    with (day / "104-certificate" / "certificate.csv").open(encoding="utf-8", newline="") as lines:
        values = {row["quantity"]: row["value"] for row in csv.DictReader(lines)}
    low, high = float(values["jnr_0.1"]), float(values["jnr_3.2"])
    assert f"{100 * (high - low) / low:.1f}" == "26.8"
    assert values["jnr_difference_percent"] == "62.8"


def test_a_folder_that_cannot_be_made_is_refused_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(InputError, match="the demonstration cannot be written there"):
        write_demonstration(tmp_path / "file")
