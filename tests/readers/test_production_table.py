"""Tables of production: lots, days and origins beside the results."""

from pathlib import Path

import pytest

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.series.production import read_production_table
from resile.records.determination import Condition


def written(folder: Path, text: str, name: str = "lots.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_german_table_with_decimal_commas_and_replicates_is_read(tmp_path: Path) -> None:
    text = (
        "Charge;Probenahme;Produkt;Tank;Prüfer;Gerät;Zustand;Temperatur [°C];Jnr3,2 [1/kPa]\n"
        "A-1;17.04.2026 06:30;Granat;T3;ab;R1;RTFOT;64;0,41\n"
        "A-1;17.04.2026 06:30;Granat;T3;cd;R1;RTFOT;64;0,43\n"
        "A-2;18.04.2026;Granat;T4;ab;R2;RTFOT;64;0,39\n"
    )
    (series,) = read_production_table(written(tmp_path, text)).series
    assert (series.product, series.quantity, series.condition) == (
        "Granat",
        "jnr_3.2",
        Condition.SHORT_TERM_AGED,
    )
    first, second, third = series.results
    assert (first.lot, first.taken, first.value, first.tank) == ("A-1", "2026-04-17T06:30", 0.41, "T3")
    assert (second.operator, second.instrument) == ("cd", "R1")
    assert (third.taken, third.tank) == ("2026-04-18", "T4")
    assert len({result.key for result in series.results}) == 3


def test_a_long_table_gives_a_series_for_each_property(tmp_path: Path) -> None:
    text = (
        "batch,date,condition,temperature_c,quantity,value,unit\n"
        "B1,2026-01-05,RTFO,64,jnr_3.2,410,1/MPa\n"
        "B1,2026-01-05,original,,softening_point,52.0,°C\n"
        "B2,2026-01-06,RTFO,64,jnr_3.2,0.44,1/kPa\n"
    )
    table = read_production_table(written(tmp_path, text))
    assert [(one.quantity, len(one.results)) for one in table.series] == [
        ("jnr_3.2", 2),
        ("softening_point", 1),
    ]
    assert table.series[0].results[0].value == pytest.approx(0.41)


def test_a_row_without_lot_or_day_is_told_and_not_used(tmp_path: Path) -> None:
    text = (
        'lot,day,condition,"softening point, °C"\nA,2026-01-05,original,50.1\n'
        ",2026-01-06,original,50.2\nB,soon,original,50.3\nC,2026-01-08,original,50.4\n"
    )
    table = read_production_table(written(tmp_path, text))
    assert [result.lot for result in table.series[0].results] == ["A", "C"]
    told = " ".join(row.reason for row in table.account.rows_refused)
    assert "no lot is named" in told
    assert "'soon' is no day" in told
    assert "rows-not-used" in {finding.code for finding in table.findings}


def test_what_is_missing_or_can_be_read_two_ways_is_asked(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError, match="no column gives the day"):
        read_production_table(written(tmp_path, 'lot,"softening point, °C"\nA,50.1\n'))
    with pytest.raises(FileFormatError, match="no column gives the lot"):
        read_production_table(written(tmp_path, 'day,"softening point, °C"\n2026-01-05,50.1\n'))
    text = 'lot,day,"softening point, °C"\nA,03/04/2026,50.1\nB,05/04/2026,50.2\n'
    with pytest.raises(AmbiguousFileError, match="day/month/year or month/day/year"):
        read_production_table(written(tmp_path, text))
    (series,) = read_production_table(written(tmp_path, text), date_order="day-first").series
    assert series.results[0].taken == "2026-04-03"


def test_a_workbook_is_read_as_the_text_is(tmp_path: Path) -> None:
    import xlsxwriter

    path = tmp_path / "lots.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Lots")
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        sheet.write_row(0, 0, ["lot", "sampled", "softening point, °C"])
        for row, (lot, serial, value) in enumerate([("A", 46027, 50.1), ("B", 46028, 50.4)], start=1):
            sheet.write(row, 0, lot)
            sheet.write_number(row, 1, serial, day)
            sheet.write_number(row, 2, value)
    (series,) = read_production_table(path).series
    assert [(r.lot, r.taken, r.value) for r in series.results] == [
        ("A", "2026-01-05", 50.1),
        ("B", "2026-01-06", 50.4),
    ]


def test_without_days_the_rows_keep_their_order_where_that_does(tmp_path: Path) -> None:
    text = "lot,jnr_3.2\n" + "".join(f"L{at},0.3{at}\n" for at in range(12))
    (series,) = read_production_table(written(tmp_path, text), days_needed=False).series
    taken = [one.taken for one in series.results]
    assert taken == sorted(taken)
    assert [one.lot for one in series.results] == [f"L{at}" for at in range(12)]


def test_units_of_headings_are_brought_to_those_of_the_glossary_and_it_is_told(tmp_path: Path) -> None:
    text = "# ours\nBatch,Date,Jnr3.2 (1/Pa),G* (Pa)\n7,2026-04-01,0.00041,2010\n"
    table = read_production_table(written(tmp_path, text))
    found = {one.quantity: one.results[0] for one in table.series}
    assert found["jnr_3.2"].value == pytest.approx(0.41)
    assert found["complex_modulus"].value == pytest.approx(2.01)
    assert found["jnr_3.2"].place.endswith("lots.csv, line 3")
