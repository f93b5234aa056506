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


def test_results_are_kept_in_the_units_of_the_glossary_and_the_conversion_is_told(tmp_path: Path) -> None:
    read = read_lot_table(
        _table(tmp_path, "# ours\nBatch,Date,Jnr3.2 (1/kPa),G* (Pa)\n7,2026-04-01,0.41,2010\n")
    )
    assert read.rows[0].values == pytest.approx({"jnr_3.2": 0.41, "complex_modulus": 2.01})
    assert "column 'complex_modulus' read in Pa, kept in kPa" in read.notes
    assert read.rows[0].place.endswith("lots.csv, line 3")


def test_decimal_commas_days_with_times_and_dashes_are_read(tmp_path: Path) -> None:
    read = read_lot_table(_table(tmp_path, "Charge;Datum;jnr_3.2;R3.2\nA;2026-04-01T06:30;0,41;-\n"))
    assert read.rows[0].values == {"jnr_3.2": 0.41}
    assert read.rows[0].taken == "2026-04-01T06:30"


def test_without_days_the_rows_keep_their_order(tmp_path: Path) -> None:
    read = read_lot_table(_table(tmp_path, "lot,jnr_3.2\n" + "".join(f"L{at},0.3\n" for at in range(12))))
    taken = [row.taken for row in read.rows]
    assert taken == sorted(taken)
    assert any("no column of days" in note for note in read.notes)


def test_a_list_of_loads_needs_their_numbers_and_masses(tmp_path: Path) -> None:
    path = _table(tmp_path, "load,date,tonnes,added\nL-1,2026-05-02,24.5,yes\n")
    (row,) = read_lot_table(path, needs_lot=False).rows
    assert (row.number, row.quantity_t, row.added) == ("L-1", 24.5, True)


ONE_A_ROW = """lot,sampled,product,tank,condition,temperature_c,quantity,value,unit
S-1,2026-03-02,Spring,T1,RTFO,64,jnr_3.2,0.31,1/kPa
S-1,2026-03-02,Spring,T1,RTFO,64,percent_recovery_3.2,52.0,%
S-2,2026-03-03,Spring,T1,RTFO,64,jnr_3.2,0.28,1/kPa
S-2,2026-03-03,Spring,T1,RTFO,64,percent_recovery_3.2,54.5,%
S-2,2026-03-03,Spring,T1,RTFO,64,jnr_3.2,0.30,1/kPa
"""


def test_results_that_stand_one_a_row_are_put_beside_each_other_lot_by_lot(tmp_path: Path) -> None:
    path = tmp_path / "lots.csv"
    path.write_text(ONE_A_ROW, encoding="utf-8")
    table = read_lot_table(path)
    assert [(row.lot, row.taken, row.tank, dict(row.values)) for row in table.rows] == [
        ("S-1", "2026-03-02", "T1", {"jnr_3.2": 0.31, "percent_recovery_3.2": 52.0}),
        ("S-2", "2026-03-03", "T1", {"jnr_3.2": 0.28, "percent_recovery_3.2": 54.5}),
        ("S-2", "2026-03-03", "T1", {"jnr_3.2": 0.30}),
    ]
    assert table.quantities == ("jnr_3.2", "percent_recovery_3.2")


def test_one_property_at_two_temperatures_is_refused_by_name(tmp_path: Path) -> None:
    path = tmp_path / "lots.csv"
    path.write_text(ONE_A_ROW + "S-3,2026-03-04,Spring,T1,RTFO,70,jnr_3.2,0.61,1/kPa\n", encoding="utf-8")
    with pytest.raises(FileFormatError, match=r"jnr_3\.2 stands there for .* at 64 °C and .* at 70 °C"):
        read_lot_table(path)
