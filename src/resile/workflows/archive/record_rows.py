"""Rows of an archive out of the laboratory's record: results, verdicts line by line, and files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import orjson

from resile.errors import ResileError
from resile.readers.ageing.ageing_record import read_ageing_record
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES, REPORTED_QUANTITIES
from resile.records.reading import HeldFile
from resile.records.register import TYPED_RESULTS, Conditioning, Kept, Product, Result, Run, Sample, Verdict
from resile.storage.archive.schema import AGED, TYPED
from resile.storage.bodies import noun_of
from resile.storage.reading import Reading
from resile.workflows.archive.ageing_rows import said_by

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Touched:
    """Names of samples and hashes of files whose rows are written anew; None for all."""

    samples: frozenset[str]
    files: frozenset[str]
    keys: frozenset[str]
    all: bool = False

    def has(self, sample: str, file: str) -> bool:
        """Tell whether a row of this sample and file is written anew."""
        return self.all or (sample in self.samples if sample else file in self.files) or file in self.files


def touched_since(reading: Reading, after: int) -> Touched:
    """Give what the entries behind a place in the log are about."""
    if not after:
        return Touched(frozenset(), frozenset(), frozenset(), all=True)
    samples: set[str] = set()
    files: set[str] = set()
    for entry in reading.log(after=after):
        if entry.kind == "product" and entry.revision > 1:
            return Touched(frozenset(), frozenset(), frozenset(), all=True)  # a name that any row may carry
        if entry.kind == "sample":
            samples.add(entry.key)
        elif entry.kind in ("verdict", "conditioning"):
            samples.add(noun_of(entry.kind, entry.body).sample)
        elif entry.kind in ("run", "result"):
            key = entry.key if entry.kind == "run" else noun_of("result", entry.body).run
            for kept in reading.history(Run, key):
                files.add(kept.value.file)
                samples.add(kept.value.sample)
    keys = frozenset(samples - {""})
    names = {kept.value.number for key in keys for kept in reading.history(Sample, key)}
    return Touched(frozenset(names), frozenset(files), keys)


@dataclass(frozen=True, slots=True)
class About:
    """Samples, their products by name, and runs, by key."""

    samples: dict[str, Sample]
    products: dict[str, str]
    runs: dict[str, Run]

    @classmethod
    def of(cls, reading: Reading) -> About:
        """Read them all: names are short, and rows ask for them again and again."""
        return cls(
            {kept.key: kept.value for kept in reading.every(Sample)},
            {kept.key: kept.value.name for kept in reading.every(Product)},
            {kept.key: kept.value for kept in reading.every(Run)},
        )

    def named(self, key: str) -> tuple[str, str, str]:
        """Give number, lot and product of a sample."""
        sample = self.samples.get(key)
        if sample is None:
            return "", "", ""
        return sample.number, sample.lot, self.products.get(sample.product, "")


def result_rows(reading: Reading, about: About, touched: Touched) -> Iterator[Row]:
    """Give one row a value of a run, in the order of the log."""
    for kept in reading.every(Result):
        result = kept.value
        run = about.runs[result.run]
        name, lot, product = about.named(result.sample or run.sample)
        if not touched.has(name, run.file):
            continue
        test = TYPED if run.test == TYPED_RESULTS else run.test
        for line in result.lines:
            if line.quantity not in QUANTITIES or line.quantity in REPORTED_QUANTITIES:
                continue
            yield (
                run.file,
                run.part or result.run,
                name,
                lot,
                product,
                run.tested[:10],
                test,
                str(line.condition or run.condition),
                line.quantity,
                line.temperature_c,
                line.stress_kpa,
                line.value,
                line.unit,
                result.worst,
                sorted(set(result.findings)),
                result.software,
                "",
            )
    yield from _ageing_rows(reading, about, touched)


def _ageing_rows(reading: Reading, about: About, touched: Touched) -> Iterator[Row]:
    """Give what ageing records say: mass change, temperature and time, with the findings they were given."""
    for kept in reading.every(Conditioning):
        one = kept.value
        name, lot, product = about.named(one.sample)
        if not one.file or not touched.has(name, one.file):
            continue
        record = _ageing_record(one, reading)
        said = [(Condition.SHORT_TERM_AGED, "mass_change_percent", one.mass_change_percent)]
        lines = [line for line in said if line[2] is not None] + (list(said_by(record)) if record else [])
        for condition, quantity, value in lines:
            yield (
                one.file,
                record.method if record else "",
                name,
                lot,
                product,
                one.happened[:10],
                AGED,
                str(condition),
                quantity,
                None,
                None,
                value,
                QUANTITIES[quantity].unit,
                one.worst,
                sorted(set(one.findings)),
                "",
                "",
            )


def _ageing_record(one: Conditioning, reading: Reading) -> AgeingRecord | LongTermAgeingRecord | None:
    """Read the file of an ageing; None where it cannot be read any more."""
    file = HeldFile(one.file_name, reading.file(one.file))
    wanted = "long-term" if one.condition is Condition.LONG_TERM_AGED else "short-term"
    try:
        return read_ageing_record(file, prefer=wanted)
    except ResileError:
        return None


def verdict_rows(reading: Reading, about: About, touched: Touched) -> Iterator[Row]:
    """Give the lines of the newest verdict on each sample by each specification and rule."""
    newest: dict[tuple[str, str, str, str], Kept[Verdict]] = {}
    for kept in reading.every(Verdict):
        verdict = kept.value
        newest[verdict.sample, verdict.specification, verdict.edition, verdict.decision_rule] = kept
    for kept in newest.values():
        verdict = kept.value
        name, lot, product = about.named(verdict.sample)
        if not verdict.file or not touched.has(name, ""):
            continue
        content = orjson.loads(reading.file(verdict.file))
        runs = [reading.get(Result, key.partition("/")[0]).value.run for key in verdict.results]
        tested = max((about.runs[run].tested[:10] for run in runs), default="")
        files = sorted({about.runs[run].file for run in runs if about.runs[run].file})
        head = (name, lot, product, tested, verdict.specification, verdict.edition, verdict.decision_rule)
        yield from _lines(content, head, files)


def _lines(content: dict[str, Any], head: Row, files: list[str]) -> Iterator[Row]:
    """Give what was compared, as a batch writes it: lines of classes, then those of whole grades alone."""
    doubts = {
        (one["quantity"], one["condition"], one["temperature_c"]): one["uncertainty"]["standard"]
        for one in content.get("results", ())
        if one.get("uncertainty")
    }
    of_classes = {one["requirement"] for one in content["verdicts"]}
    lines = [(one["class"], one) for one in content["verdicts"]]
    lines += [
        (grade["label"], one)
        for grade in content.get("full_grades", ())
        for one in grade["verdicts"]
        if one["requirement"] not in of_classes
    ]
    for label, one in lines:
        if one["outcome"] == "not tested":
            continue
        yield (
            *head,
            label,
            one["requirement"],
            one["quantity"],
            one["condition"] or str(Condition.UNKNOWN),
            one["temperature_c"],
            one["limit"],
            one["value"],
            one["outcome"],
            one["margin"],
            doubts.get((one["quantity"], one["condition"], one["temperature_c"])),
            one["probability_of_conformity"],
            files,
        )


def file_rows(reading: Reading, touched: Touched) -> Iterator[Row]:
    """Give one row a file: its runs, or why nothing could be read from it."""
    by_file: dict[str, list[Kept[Run]]] = {}
    for kept in reading.every(Run):
        if kept.value.file and (touched.all or kept.value.file in touched.files):
            by_file.setdefault(kept.value.file, []).append(kept)
    for sha256, runs in by_file.items():
        first = min(runs, key=lambda kept: kept.key).value
        found = [result.value for run in runs for result in reading.find(Result, run=run.key)]
        gave = [one for one in found if any(line.value is not None for line in one.lines)]
        said = next((message for one in found for message in one.messages), "") if not gave else ""
        tests = sorted({TYPED if run.value.test == TYPED_RESULTS else run.value.test for run in runs})
        size = len(reading.file(sha256))
        names = sorted({run.value.file_name for run in runs} - {first.file_name})
        version = max((one.software for one in found), default="")
        yield (
            sha256,
            first.file_name,
            names,
            size,
            ",".join(tests),
            len(gave),
            said,
            2 if said else 0,
            version,
        )
