"""Tables of lots: headings in many words, results with units, what became of a lot."""

from pathlib import Path

import pytest

from resile.errors import FileFormatError
from resile.readers.series.lot_table import read_lot_table


def _table(folder: Path, text: str) -> Path:
    path = folder / "lots.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_day_of_sampling_is_preferred_to_that_of_the_test(tmp_path: Path) -> None:
    both = "batch no,sampling date,date tested,Jnr3.2 (1/Pa)\na,2026-01-01,2026-01-03,0.0003\n"
    row = read_lot_table(_table(tmp_path, both)).rows[0]
    assert (row.lot, row.taken, row.values["jnr_3.2"]) == ("a", "2026-01-01", pytest.approx(0.3))
    one = "batch no,date tested,Jnr3.2\na,2026-01-03,0.3\n"
    assert read_lot_table(_table(tmp_path, one)).rows[0].taken == "2026-01-03"


def test_what_became_of_a_lot_is_read_in_the_words_people_write(tmp_path: Path) -> None:
    rows = read_lot_table(_table(tmp_path, "Charge,Ergebnis,extra\n1,bestanden,\n2,fail,\n3,,ja\n")).rows
    assert [row.outcome for row in rows] == ["accepted", "not accepted", ""]
    assert [row.extra for row in rows] == [False, False, True]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("lot,taken,Jnr3.2\n1,2026-13-01,0.3\n", "line 2: '2026-13-01' under taken is no day"),
        ("lot,taken,Jnr3.2\n1,2026-01-01,many\n", "line 2: 'many' under jnr_3.2 is no number"),
        ("lot,taken,Jnr3.2 (kPa)\n1,2026-01-01,0.3\n", "prints the unit 'kPa'"),
        ("lot,taken,outcome\n1,2026-01-01,perhaps\n", "'perhaps' under outcome"),
        ("taken,Jnr3.2\n2026-01-01,0.3\n", "no row of headings"),
    ],
)
def test_a_cell_that_cannot_be_read_is_named_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(FileFormatError, match=r"lots\.csv") as refused:
        read_lot_table(_table(tmp_path, text))
    assert said in str(refused.value)
