"""What tests of the bench begin with: a sample with a can."""

from resile.records.register import Can, LaboratorySettings, Sample
from resile.storage.laboratory_record import LaboratoryRecord

AT = "2026-03-02T08:00:00.000Z"


def can_in(record: LaboratoryRecord, *, rule: str = "", modified: bool = False, customer: str = "") -> str:
    """Keep a sample with one can, and the heating rule in force; give the key of the can."""
    with record.writing(by="P-000001", at=AT) as book:
        book.keep(LaboratorySettings(heating_rule=rule))
        sample = book.keep(Sample(number="26-101", received="2026-03-01", customer=customer))
        return book.keep(Can(sample=sample.key, name="A1", modified=modified)).key
