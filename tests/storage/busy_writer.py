"""A process that keeps samples with a file, a run and a result each, and says what was kept once it was.

python busy_writer.py RECORD NAME COUNT SAID-FILE [LARGEST-FILE-BYTES]
"""

import os
import random
import resource
import sys
from pathlib import Path

from resile.errors import ResileError
from resile.records.register import Result, Run, Sample
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord


def keep_one(book: Book, number: str, draws: random.Random) -> str:
    """Keep a sample with all that hangs on it, in one transaction."""
    data = draws.randbytes(draws.choice([200, 5_000, 80_000]))
    sha = book.keep_file(data)
    sample = book.keep(Sample(number=number))
    run = book.keep(Run(test="oscillation", file=sha, file_name=f"{number}.csv", sample=sample.key))
    book.keep(Result(run=run.key, sample=sample.key, worst="note"))
    return f"{number} {sample.key} {sha}"


def main(where: str, name: str, count: int, said: str) -> None:
    draws = random.Random(f"{name}{os.getpid()}")
    record = LaboratoryRecord.open(where)
    with Path(said).open("a", buffering=1) as told:
        for number in range(count):
            try:
                with record.writing(by="P-000001", at=f"2026-03-02T08:00:{number % 60:02d}Z") as book:
                    line = keep_one(book, f"{name}-{os.getpid()}-{number}", draws)
            except ResileError as error:
                told.write(f"refused {error}\n")
                sys.exit(3)
            told.write(f"{line}\n")


if __name__ == "__main__":
    if len(sys.argv) > 5:
        resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[5]), int(sys.argv[5])))
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), sys.argv[4])
