"""A record with runs of the invented laboratory, kept as a person would keep them."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from resile.errors import ResileError
from resile.records.determination import Condition
from resile.records.finding import worst_severity
from resile.records.reading import HeldFile
from resile.records.register import Customer, Instrument, Result, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.demonstration import write_demonstration
from resile.workflows.reducing.reduction import reduce_record

AT = "2026-01-05T08:00:00Z"
BEAM = (
    b"temperature: -12 C\nTime (s),Load (mN),Deflection (mm)\n"
    b"8,980,0.20320\n15,980,0.23964\n30,980,0.29089\n60,980,0.35754\n120,980,0.44501\n240,980,0.56085\n"
)


@dataclass(frozen=True)
class KeptRuns:
    """Keys of what was kept."""

    sample: str
    other_sample: str
    customer: str
    creep: tuple[str, ...]
    beam: str
    unattached: str


def creep_files(folder: Path) -> list[HeldFile]:
    """Creep-recovery records of the invented laboratory, one of each content."""
    write_demonstration(folder)
    found: dict[bytes, HeldFile] = {}
    for path in sorted(folder.rglob("*.csv")):
        file = HeldFile(path.name, path.read_bytes())
        try:
            runs = reduce_record(file, keep_signal=False).runs
        except ResileError:  # tables of other kinds stand there as well
            continue
        if [run.method for run in runs] == ["creep_recovery"]:
            found.setdefault(file.content, file)
    return list(found.values())


def keep_runs(record: LaboratoryRecord, files: Sequence[HeldFile]) -> KeptRuns:
    """Keep two creep-recovery runs and a beam of one sample, one run of another's, one of none."""
    with record.writing(by="P-LOCAL", at=AT) as book:
        customer = book.keep(Customer(name="Northern roads (invented)")).key
        sample = book.keep(Sample(number="2026-101")).key
        other = book.keep(Sample(number="2026-102", customer=customer)).key
        instrument = book.keep(Instrument(name="Rheometer A")).key
        placed = [
            (files[0], sample),
            (files[1], sample),
            (files[2], other),
            (HeldFile("beam.csv", BEAM), sample),
        ]
        keys = []
        for place, (file, of) in enumerate([*placed, (files[2], "")]):
            (run,) = reduce_record(file, keep_signal=False).runs
            kept = book.keep(
                Run(
                    test=run.method,
                    file=book.keep_file(file.content),
                    file_name=file.name,
                    sample=of,
                    condition=Condition.SHORT_TERM_AGED,
                    instrument=instrument,
                    tested=f"2026-01-0{place + 1}",
                )
            ).key
            worst = worst_severity(run.findings)
            book.keep(Result(run=kept, sample=of, worst=str(worst) if worst else "", software="0.1.0"))
            keys.append(kept)
    return KeptRuns(sample, other, customer, (keys[0], keys[1], keys[2]), keys[3], keys[4])
