"""The invented year of production in a record: lots with their results, charts and loads.

Five hundred lots are written in one transaction, with the results that reading their tables would give; a
test reads one of them and compares.
"""

from __future__ import annotations

import io
from collections.abc import Mapping

from resile.readers.deliveries.table import read_load_table
from resile.records.reading import HeldFile
from resile.records.register import (
    TYPED_RESULTS,
    Actor,
    ControlWatch,
    Delivery,
    ExcludedResult,
    Product,
    Result,
    Run,
    Sample,
    Tank,
)
from resile.records.register.results import ResultLine
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.version import __version__
from resile.workflows.demonstration.production import (
    InventedLot,
    InventedProduct,
    InventedYear,
    produce,
    read_year,
)
from resile.workflows.demonstration.production_files import (
    FOLDER,
    lines_of_lot,
    production_files,
)
from resile.workflows.laboratory.files.reading_files import input_hash

_INVENTED = "invented for demonstration"
_HEADINGS = "sample,condition,temperature_c,quantity,value,unit,note"
_CHARTS = (
    ("S", "jnr_3.2", "cumulative-sum"),
    ("S", "percent_recovery_3.2", "cumulative-sum"),
    ("S", "flash_point", "individuals"),
    ("P", "jnr_3.2", "individuals"),
    ("P", "softening_point", "cumulative-sum"),
)
"""Charts that are set up; the others are left to whoever looks around."""
_LOAD_T = 25.0
_UNTOLD: dict[str, object] = {
    "sheet": "", "temperature_c": None, "plate_diameter_mm": None, "gap_mm": None
}  # fmt: skip


def keep_production(
    record: LaboratoryRecord, actor: Actor, at: str, instruments: Mapping[str, str]
) -> tuple[str, ...]:
    """Keep the invented year.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who keeps it.
    at : str
        When, ISO 8601 in UTC.
    instruments : mapping of str to str
        Name and key of the instruments of the bench; two rheometers are among them.

    Returns
    -------
    tuple of str
        Keys of the samples, a lot each.
    """
    year, lots = read_year(), produce()
    rheometers = [key for name, key in sorted(instruments.items()) if "rheometer" in name]
    with record.writing(by=actor.key, at=at) as book:
        keys: list[str] = []
        results: dict[str, str] = {}
        for product in year.products:
            known = book.find(Product, name=product.name)
            new = Product(name=product.name, grade=product.grade, invented=True)
            kept = known[0].key if known else book.keep(new).key
            tanks: dict[str, str] = {}
            for lot in lots:
                if lot.product == product.short:
                    sample, results[lot.lot] = _keep_lot(book, year, product, kept, lot, tanks, rheometers)
                    keys.append(sample)
            _keep_charts(book, year, product, kept, lots, results)
        _keep_loads(book)
    return tuple(keys)


def table_of_lot(product: InventedProduct, lot: InventedLot) -> bytes:
    """Give the table of results that the laboratory would have typed of a lot."""
    said = io.StringIO()
    said.write(f"{_HEADINGS}\n")
    for line in lines_of_lot(product, lot):
        said.write(",".join([lot.lot, *line, _INVENTED]) + "\n")
    return said.getvalue().encode()


def _keep_lot(
    book: Book,
    year: InventedYear,
    product: InventedProduct,
    key: str,
    lot: InventedLot,
    tanks: dict[str, str],
    rheometers: list[str],
) -> tuple[str, str]:
    """Give the keys of the sample and of its result."""
    if lot.tank not in tanks:
        tanks[lot.tank] = book.keep(Tank(name=lot.tank, product=key, place="Quarnsk Terminal (invented)")).key
    sample = book.keep(
        Sample(
            number=lot.lot,
            product=key,
            tank=tanks[lot.tank],
            lot=lot.lot,
            claimed_grade=product.grade,
            taken=lot.taken,
            received=lot.taken,
            represents_t=_LOAD_T,
            invented=True,
        )
    ).key
    file = book.keep_file(table_of_lot(product, lot))
    run = book.keep(
        Run(
            test=TYPED_RESULTS,
            file=file,
            file_name=f"{lot.lot}.csv",
            sample=sample,
            instrument=rheometers[(lot.instrument - 1) % len(rheometers)],
            operator=year.operators[lot.operator - 1],
            tested=lot.taken,
            verification="verified",
        )
    ).key
    lines = tuple(
        ResultLine(
            one.watched.quantity,
            lot.values[one.watched.quantity],
            one.watched.unit,
            one.watched.temperature_c,
            condition=one.watched.condition,
        )
        for one in product.properties
    )
    source = input_hash(file, "", "", _UNTOLD)
    result = book.keep(Result(run=run, sample=sample, lines=lines, software=__version__, input=source))
    return sample, result.key


def _keep_charts(
    book: Book,
    year: InventedYear,
    product: InventedProduct,
    key: str,
    lots: tuple[InventedLot, ...],
    results: Mapping[str, str],
) -> None:
    """Keep charts as a laboratory has them that found every cause but the last of each product."""
    mine = [lot for lot in lots if lot.product == product.short]
    explained = [event for event in year.events if event.product == product.short][:-1]
    left_out = tuple(
        ExcludedResult(result=results[lot.lot], reason=f"{event.name} (invented)", by=book.by, at=book.at)
        for event in explained
        for lot in mine
        if event.touches(lot) and event.share(lot.number)
    )
    for short, quantity, chart in _CHARTS:
        if short == product.short:
            watched = product.property_named(quantity).watched
            book.keep(
                ControlWatch(
                    product=key,
                    quantity=quantity,
                    condition=watched.condition,
                    temperature_c=watched.temperature_c,
                    chart=chart,
                    scale=watched.scale,
                    baseline_since=mine[0].taken,
                    baseline_until=mine[year.set_up_lots - 1].taken,
                    limit=watched.limit,
                    limit_is=watched.limit_is,
                    excluded=left_out,
                    note="Invented for demonstration.",
                    invented=True,
                )
            )


def _keep_loads(book: Book) -> None:
    table = read_load_table(HeldFile("loads.csv", production_files(_INVENTED)[f"{FOLDER}/loads.csv"]))
    products = {kept.value.name: kept.key for kept in book.every(Product)}
    tanks = {kept.value.name: kept.key for kept in book.every(Tank)}
    for row in table.rows:
        book.keep(
            Delivery(
                number=row.number,
                product=products[row.product],
                tank=tanks[row.tank],
                lot=row.lot,
                sent=row.sent,
                quantity_t=row.quantity_t,
                grade=row.grade,
                certificate=row.certificate,
                plant=row.plant,
                note=row.note,
                invented=True,
            )
        )
