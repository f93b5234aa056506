"""A small record with something of what matters in it, for tests that verify and move it."""

from dataclasses import replace

from sqlalchemy import insert

from resile.records.register import (
    Asked,
    LaboratorySettings,
    Person,
    Product,
    Result,
    ResultLine,
    Run,
    Sample,
    Statement,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.tables import CREDENTIAL

AT = "2026-03-02T08:00:00Z"


def fill(record: LaboratoryRecord) -> None:
    """Keep ten entries and three files, one of which no entry names."""
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(Person(name="A. Probst", account="ap", roles=("specialist",)))
        product = book.keep(
            Product(name="=Invented 50/70", note='Größe ≥ 5 "µm"\n\t\u2028\x7f\x1f', invented=True)
        )
        asked = Asked(specification="m320", price_rules=("a", "b"), high_temperature_c=64.0)
        samples = book.keep_many(
            [Sample(number=f"26-{n}", product=product.key, asked=asked) for n in (1, 2, 3)]
        )
        book.keep_file(b"a file that no entry names")
        sha = book.keep_file(b"time;stress;strain\r\n\x00\xff")
        page = book.keep_file(b"<html>")
        book.connection.execute(
            insert(CREDENTIAL), {"person": "P-000001", "secret": "$argon2id$...", "changed": AT}
        )
    with record.writing(by="P-000002", at="2026-03-02T09:00:00Z") as book:
        run = book.keep(Run(test="oscillation", file=sha, file_name="@a.csv", sample=samples[0].key))
        lines = (ResultLine("phase_angle_deg", 0.1 + 0.2, "°", 58.0), ResultLine("jnr", None, "1/kPa"))
        book.keep(Result(run=run.key, sample=samples[0].key, worst="note", lines=lines))
        book.keep(Statement(number="C-1", sample=samples[0].key, files={"C-1.html": page}))
        book.keep(LaboratorySettings(name="Invented laboratory", four_eyes=True))
        book.keep(replace(samples[1].value, lot="7"), key=samples[1].key, seen=1, reason="lot misread: «7»")
