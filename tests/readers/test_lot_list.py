"""Lists of lots and loads: headings in many words, days in many forms, what became of a lot."""

from pathlib import Path

import pytest

from resile.errors import FileFormatError
from resile.readers.series.lot_list import read_lot_list


def _list(folder: Path, text: str) -> Path:
    path = folder / "lots.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_day_of_sampling_is_preferred_to_that_of_the_test(tmp_path: Path) -> None:
    both = "batch no,sampling date,date tested,decision\na,2026-01-01,2026-01-03,ok\n"
    row = read_lot_list(_list(tmp_path, both)).rows[0]
    assert (row.lot, row.taken, row.outcome) == ("a", "2026-01-01", "accepted")
    one = "batch no,date tested,decision\na,2026-01-03,ok\n"
    assert read_lot_list(_list(tmp_path, one)).rows[0].taken == "2026-01-03"


def test_what_became_of_a_lot_is_read_in_the_words_people_write(tmp_path: Path) -> None:
    rows = read_lot_list(_list(tmp_path, "Charge,Ergebnis,extra\n1,bestanden,\n2,fail,\n3,,ja\n")).rows
    assert [row.outcome for row in rows] == ["accepted", "not accepted", ""]
    assert [row.extra for row in rows] == [False, False, True]


def test_german_days_with_times_and_a_mark_of_byte_order_are_read(tmp_path: Path) -> None:
    text = "\ufeffCharge;Probenahme;Ergebnis;Menge\nA;17.04.2026 06:30;bestanden;120,5\n"
    (row,) = read_lot_list(_list(tmp_path, text)).rows
    assert (row.taken, row.quantity_t) == ("2026-04-17T06:30", 120.5)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("lot,taken,outcome\n1,2026-13-01,ok\n", "line 2: '2026-13-01' under taken is no day"),
        ("lot,tonnes,outcome\n1,many,ok\n", "line 2: 'many' under tonnes is no mass"),
        ("lot,taken,outcome\n1,2026-01-01,perhaps\n", "'perhaps' under outcome"),
        ("lot,taken\n1,2026-01-01\n", "needed is a row of headings with lot and outcome"),
        ("lot,outcome\n,ok\n", "the lot is empty"),
    ],
)
def test_a_cell_that_cannot_be_read_is_named_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(FileFormatError, match=r"lots\.csv") as refused:
        read_lot_list(_list(tmp_path, text))
    assert said in str(refused.value)


def test_a_list_of_loads_needs_their_numbers_and_masses(tmp_path: Path) -> None:
    path = _list(tmp_path, "load,date,tonnes,added\nL-1,2026-05-02,24.5,yes\n")
    (row,) = read_lot_list(path, of_loads=True).rows
    assert (row.number, row.quantity_t, row.added) == ("L-1", 24.5, True)
