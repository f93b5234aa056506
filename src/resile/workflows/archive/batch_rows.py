"""Rows of the table of results: what the runs, tables and ageing records of one file give."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from resile.judge.results.results import determination_of_mass_change
from resile.readers.batches.details import told_by_details
from resile.records.ageing import AgeingRecord
from resile.records.batch import FileTold
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition, Determination
from resile.records.file_statement import FileStatement
from resile.records.finding import worst_severity
from resile.records.quantity import QUANTITIES, REPORTED_QUANTITIES
from resile.storage.archive.schema import TYPED
from resile.version import __version__
from resile.workflows.archive.ageing_rows import said_by
from resile.workflows.judging.determinations import components_of_run, determinations_of_run
from resile.workflows.laboratory.files.reading_files import AGEING, NO_SAMPLE, ReadFile
from resile.workflows.reducing.reduction import Run
from resile.workflows.reducing.told_of_file import details_of, residue_in_file, with_contradictions

Row = tuple[object, ...]


def tests_of_file(read: ReadFile) -> list[str]:
    """Give the test of each run of a file; a table and an ageing record are one run each."""
    tests = [part.run.method for part in read.parts]
    return [*tests, *([TYPED] if read.table is not None else []), *(AGEING for _ in read.ageings)]


def rows_of_file(read: ReadFile, told: FileTold, sha256: str) -> list[Row]:
    """Give the results of one file.

    Parameters
    ----------
    read : ReadFile
        What the file gave.
    told : FileTold
        What register and folders say of it.
    sha256 : str
        Of its bytes.

    Returns
    -------
    list of tuple
        In the columns of the table ``results``, what was told behind them.
    """
    rows: list[Row] = []
    said = FileStatement(condition=Condition(told.condition or "unknown"), tested=told.tested)
    for part in read.parts:
        run, known = with_contradictions(part.run, said), told.over(_of_run(part.run))
        rows += [
            _row(sha256, part.name, run.method, known, one, _stress(run, one.quantity), told)
            for one in _determinations(run, known)
        ]
    for part_name, test, known, one in (*_of_table(read, told), *_of_ageings(read, told)):
        rows.append(_row(sha256, part_name, test, known, one, None, told))
    return rows


def _row(
    sha256: str,
    part: str,
    test: str,
    known: FileTold,
    one: Determination,
    stress_kpa: float | None,
    told: FileTold,
) -> Row:
    worst = worst_severity(one.findings)
    return (
        sha256,
        part,
        known.sample,
        known.lot,
        known.product,
        known.tested,
        test,
        one.condition.value,
        one.quantity,
        _number(one.temperature_c),
        stress_kpa,
        _number(one.value),
        one.unit,
        worst.value if worst else "",
        sorted({finding.code for finding in one.findings}),
        __version__,
        one.laboratory,
        told.text,
    )


def _determinations(run: Run, known: FileTold) -> Iterator[Determination]:
    condition = Condition(known.condition or "unknown")
    yield from determinations_of_run(run, sample=known.sample, condition=condition)
    yield from components_of_run(run, sample=known.sample, condition=condition)


def _of_run(run: Run) -> FileTold:
    """Give what the file itself says of a run."""
    own = told_by_details(details_of(run))
    condition = residue_in_file(run)
    # What heads a sample elsewhere may be a lot here: "lot" alone is no name of a sample.
    named = run.sample if run.sample not in (own.lot, own.product) else ""
    return FileTold(
        sample=own.sample or named,
        lot=own.lot,
        product=own.product,
        tested=own.tested,
        condition=own.condition if condition is Condition.UNKNOWN else condition.value,
    )


_Placed = tuple[str, str, FileTold, Determination]


def _of_table(read: ReadFile, told: FileTold) -> Iterator[_Placed]:
    """Give the rows of a table; where it is of several samples, its own names count."""
    if read.table is None:
        return
    one_sample = len(read.table.samples) == 1
    for one in read.table.determinations:
        if one.value is None or one.quantity in REPORTED_QUANTITIES:
            continue
        own = FileTold(sample="" if one.sample == NO_SAMPLE else one.sample, tested=one.tested[:10])
        known = told.over(own) if one_sample else own.over(told)
        if one.condition is Condition.UNKNOWN and known.condition:
            one = replace(one, condition=Condition(known.condition))
        yield one.replicate, TYPED, known, one


def _of_ageings(read: ReadFile, told: FileTold) -> Iterator[_Placed]:
    for ageing in read.ageings:
        record = ageing.record
        known = told.over(FileTold(sample=record.sample, tested=record.aged_on[:10]))
        weighed = determination_of_mass_change(record) if isinstance(record, AgeingRecord) else None
        if weighed is not None:
            yield record.method, AGEING, known, weighed
        for condition, quantity, value in said_by(record):
            unit = QUANTITIES[quantity].unit
            said = Determination(
                record.sample, condition, None, quantity, value, unit, findings=record.findings
            )
            yield record.method, AGEING, known, said


def _stress(run: Run, quantity: str) -> float | None:
    """Give the stress level of a result of creep recovery [kPa]; None where it has none."""
    if not isinstance(run, CreepRecoveryRun):
        return None
    for level in run.levels:
        if quantity in (f"jnr_{level.stress_kpa:g}", f"percent_recovery_{level.stress_kpa:g}"):
            return level.stress_kpa
    return None


def _number(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
