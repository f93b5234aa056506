"""The invented year in a record: what is kept of a lot is what reading its table would give."""

import shutil
from pathlib import Path

from resile.readers.deliveries.table import read_load_table
from resile.records.reading import HeldFile
from resile.records.register import ControlWatch, Delivery, Instrument, Product, Result, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.production import produced_values
from resile.workflows.demonstration.production import produce, read_year
from resile.workflows.demonstration.production_files import production_files
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.record.demonstration_production import keep_production, table_of_lot

AT = "2026-06-20T09:00:00.000Z"


def test_what_is_kept_of_a_lot_is_what_reading_its_table_gives(tmp_path: Path, bare_file: Path) -> None:
    record = LaboratoryRecord.open(shutil.copy(bare_file, tmp_path / "a.db"))
    with record.writing(by="P-TEST", at=AT) as book:
        benches = {name: book.keep(Instrument(name=name)).key for name in ("rheometer 1", "rheometer 2")}
    keys = keep_production(record, one_person(), AT, benches)
    year, lots = read_year(), produce()
    assert len(keys) == len(lots) == 2 * year.lots
    again = LaboratoryRecord.open(shutil.copy(bare_file, tmp_path / "b.db"))
    with again.writing(by="P-TEST", at=AT) as book:
        sample = book.keep(Sample(number=lots[7].lot)).key
    data = table_of_lot(year.products[0], lots[7])
    kept = keep_record(again, one_person(), AT, data, f"{lots[7].lot}.csv", RecordTold(sample=sample))
    read = kept.runs[0].result
    assert read is not None
    with record.reading() as reading:
        written = reading.find(Result, sample=keys[7])[0].value
        run = reading.find(Run, sample=keys[7])[0].value
        assert (run.file, run.test) == (kept.file, kept.runs[0].run.value.test)
        assert (written.lines, written.findings, written.input) == (
            read.value.lines,
            read.value.findings,
            read.value.input,
        )
        products = {one.value.name: one.key for one in reading.every(Product)}
        made = produced_values(reading, products[year.products[1].name])
        values = [one for one in made if one.quantity == "jnr_3.2"]
        assert [one.value for one in values] == [
            lot.values["jnr_3.2"] for lot in lots if lot.product == year.products[1].short
        ]
        assert all(one.value.baseline_until for one in reading.every(ControlWatch))
        assert reading.count(Delivery) == 40
    record.close()
    again.close()


def test_loads_hold_what_a_reconciliation_looks_for() -> None:
    table = read_load_table(HeldFile("loads.csv", production_files("invented")["401-production/loads.csv"]))
    made = {lot.lot for lot in produce()}
    assert [row.lot for row in table.rows if row.lot not in made] == ["P-999"]
    assert [row.number for row in table.rows if not row.certificate] == ["L-033"]
    assert {row.tank for row in table.rows} == {"tank 4", "tank 9"}
