"""What a page says of a record file that was kept: findings first, while there is time to repeat the run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from resile.errors import AmbiguousFileError, InputError, RecordNotFoundError, ResileError
from resile.judge.results.repeated_runs import judge_repeats
from resile.readers.account import explain
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding, Severity
from resile.records.quantity import QUANTITIES
from resile.records.register import (
    TYPED_RESULTS,
    Actor,
    Conditioning,
    Instrument,
    Kept,
    Result,
    ResultLine,
    Run,
    Sample,
)
from resile.report.figures.any_run import figure_any_run
from resile.report.numbers import full, shown_temperature
from resile.report.numbers import shown as shown_value
from resile.report.words import CONDITION_WORDS, METHOD_TITLES, heaviest_first, symbol_of
from resile.specifications.load import load_all_precision
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.files.ingesting import of_file, with_results
from resile.workflows.laboratory.files.keeping_runs import KeptRun
from resile.workflows.laboratory.files.naming_columns import for_a_page
from resile.workflows.laboratory.files.reading_files import AGEING, UNREAD, findings_of_table, part_of
from resile.workflows.laboratory.files.reattaching import read_kept

_TITLES = {
    **METHOD_TITLES,
    UNREAD: "Not read yet",
    AGEING: "Ageing, of no sample yet",
    TYPED_RESULTS: "Table of results",
}


@dataclass(frozen=True, slots=True)
class ShownValue:
    """A value beside the one that another run of the same sample gave.

    Attributes
    ----------
    symbol, unit, temperature : str
        What it is.
    value, full : str
        As shown, and at full precision.
    other, other_run : str
        Of the newest other run of this sample, residue and temperature, and its key; empty for none.
    limit : str
        Repeatability limit of the two, as published; empty where there is none.
    agree : bool or None
        Whether they lie within it; None where that cannot be said.
    place : str
        Line of a table of results, and residue; empty for a value of a run.
    """

    symbol: str
    unit: str
    temperature: str
    value: str
    full: str
    other: str = ""
    other_run: str = ""
    limit: str = ""
    agree: bool | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class SeenPart:
    """One run of a kept file, ready to be shown.

    Attributes
    ----------
    kept : KeptRun
        As it stands in the record.
    title, condition : str
        Kind of test, and residue, in words.
    findings : tuple of Finding
        The heaviest first.
    account : tuple of str
        How it was read, line by line.
    values : tuple of ShownValue
        Its numbers, against those of another run where there is one.
    picture : dict or None
        Chart specification; None where it could not be read.
    """

    kept: KeptRun
    title: str
    condition: str
    findings: tuple[Finding, ...]
    account: tuple[str, ...] = ()
    values: tuple[ShownValue, ...] = ()
    picture: dict[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class SeenFile:
    """A kept file, ready to be shown.

    Attributes
    ----------
    file, name : str
        SHA-256 and name.
    sample : Kept of Sample or None
        The sample of its first run.
    parts : tuple of SeenPart
        Its runs.
    ageings : tuple of Kept of Conditioning
        The ageing records in it.
    question : str
        Option that answers the question it raises; empty where it raises none.
    """

    file: str
    name: str
    sample: Kept[Sample] | None
    parts: tuple[SeenPart, ...]
    ageings: tuple[Kept[Conditioning], ...]
    question: str = ""

    @property
    def table(self) -> bool:
        """True for a table of results."""
        return any(part.kept.run.value.test == TYPED_RESULTS for part in self.parts)


def see_file(record: LaboratoryRecord, actor: Actor, file: str) -> SeenFile:
    """Give all that a page says of a kept file.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who asks.
    file : str
        SHA-256 of the file.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        The record holds no run or ageing of it, or it may not be seen.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        runs, ageings = of_file(reading, file)
        if not runs and not ageings:
            raise RecordNotFoundError("the record holds no run of this file")
        sample = _sample(reading, actor, runs, ageings)
        kept = with_results(reading, runs)
        question = ""
        parts = []
        for one in kept:
            try:
                parts.append(_seen(reading, one))
            except ResileError as error:
                question = error.option if isinstance(error, AmbiguousFileError) else question
                parts.append(_refused(one, error))
        name = (runs[0].value if runs else ageings[0].value).file_name
    return SeenFile(file, name, sample, tuple(parts), tuple(ageings), question)


def instruments_in_use(record: LaboratoryRecord, actor: Actor) -> list[tuple[str, str]]:
    """Give keys and names of the instruments that are used, by name."""
    require(actor, "runs.see")
    with record.reading() as reading:
        found = reading.find(Instrument, order="name", retired=False)
    return [(one.key, one.value.name) for one in found]


def newest_runs(record: LaboratoryRecord, actor: Actor, *, count: int = 12) -> list[tuple[Kept[Run], str]]:
    """Give the runs kept last, each with the number of its sample."""
    require(actor, "runs.see")
    if actor.customer:
        return []
    with record.reading() as reading:
        runs = reading.find(Run, order="key", falling=True, limit=count)
        keys = list({run.value.sample for run in runs if run.value.sample})
        numbers = {one.key: one.value.number for one in (reading.find(Sample, key=keys) if keys else [])}
    return [(run, numbers.get(run.value.sample, "")) for run in runs]


def title_of_test(test: str) -> str:
    """Give the words for a kind of test."""
    return _TITLES.get(test, test)


def conditions() -> list[tuple[str, str]]:
    """Give the residues to choose from, with their words."""
    return [(one.value, CONDITION_WORDS[one]) for one in Condition]


def _sample(
    reading: Reading, actor: Actor, runs: list[Kept[Run]], ageings: list[Kept[Conditioning]]
) -> Kept[Sample] | None:
    keys = [run.value.sample for run in runs] + [one.value.sample for one in ageings]
    key = next(filter(None, keys), "")
    kept = reading.get(Sample, key) if key else None
    require_sight(actor, kept.value.customer if kept else "")
    return kept


def _seen(reading: Reading, one: KeptRun) -> SeenPart:
    run = one.run.value
    if run.test == AGEING:
        return _refused(one, None)
    if run.test == TYPED_RESULTS:
        return _seen_table(reading, one)
    reduced = part_of(read_kept(reading, run), run.part).run
    return SeenPart(
        kept=one,
        title=_TITLES.get(run.test, run.test),
        condition=CONDITION_WORDS[run.condition],
        findings=heaviest_first(reduced.findings),
        account=tuple(explain(reduced.signal)) if reduced.signal else (),
        values=tuple(_value(reading, one, line) for line in (one.result.value.lines if one.result else ())),
        picture=figure_any_run(reduced),
    )


def _seen_table(reading: Reading, one: KeptRun) -> SeenPart:
    """Tell of a table of results, each value with its line of the file."""
    run = one.run.value
    read = read_kept(reading, run)
    if read.table is None:
        return _refused(one, read.refusal or InputError(f"{run.file_name}: this is no table of results"))
    return SeenPart(
        kept=one,
        title=_TITLES[TYPED_RESULTS],
        condition="as each line of the table says",
        findings=heaviest_first(findings_of_table(read.table)),
        account=tuple(read.table.account.remarks),
        values=tuple(_told_value(value) for value in read.table.determinations),
    )


def _told_value(one: Determination) -> ShownValue:
    known = QUANTITIES.get(one.quantity)
    return ShownValue(
        symbol_of(one.quantity),
        known.unit if known else one.unit,
        "" if one.temperature_c is None else shown_temperature(one.temperature_c),
        one.text,
        full(one.value),
        place=f"{one.place}, {CONDITION_WORDS[one.condition]}",
    )


def _refused(one: KeptRun, error: ResileError | None) -> SeenPart:
    kept = one.result.value if one.result else None
    told = for_a_page(str(error)) if error else " ".join(kept.messages if kept else ())
    title, residue = _TITLES.get(one.run.value.test, ""), CONDITION_WORDS[one.run.value.condition]
    if not told and not error:
        return SeenPart(one, title, residue, ())
    finding = Finding(
        code="file-not-read" if error else "ageing-of-no-sample",
        severity=Severity.INVALID if error else Severity.CAUTION,
        message=told,
        advice="The file is kept byte for byte. Say what its columns are, and it is read at once."
        if error
        else "Name the sample below, and it is kept with it.",
    )
    return SeenPart(one, title, residue, (finding,))


def _value(reading: Reading, one: KeptRun, line: ResultLine) -> ShownValue:
    known = QUANTITIES.get(line.quantity)
    temperature = "" if line.temperature_c is None else shown_temperature(line.temperature_c)
    shown = ShownValue(
        symbol_of(line.quantity),
        known.unit if known else line.unit,
        temperature,
        shown_value(line.value, line.quantity),
        full(line.value),
    )
    other = _other(reading, one, line)
    if other is None or line.value is None or other[1] is None:
        return shown
    key, value = other
    repeats = judge_repeats((line.value, value), line.quantity, one.run.value.condition, load_all_precision())
    return replace(
        shown,
        other=shown_value(value, line.quantity),
        other_run=key,
        limit=shown_value(repeats.limit, line.quantity) if repeats.limit is not None else "",
        agree=repeats.within,
    )


def _other(reading: Reading, one: KeptRun, line: ResultLine) -> tuple[str, float | None] | None:
    """Give the same value of the newest other run of this sample and residue."""
    run = one.run.value
    if not run.sample:
        return None
    alike = [
        other.key
        for other in reading.find(
            Run, sample=run.sample, test=run.test, condition=run.condition.value, falling=True, limit=8
        )
        if other.key != one.run.key
    ]
    for key in alike:
        for result in reading.find(Result, run=key, limit=1):
            for value in result.value.lines:
                if value.quantity == line.quantity and value.temperature_c == line.temperature_c:
                    return key, value.value
    return None
