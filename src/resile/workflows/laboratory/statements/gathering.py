"""Files of one sample as they are gathered from the record, with the doubts about them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, replace
from typing import TypeVar

from resile.errors import ResileError
from resile.judge.findings import judge_measures
from resile.readers.layout import read_layout
from resile.records.determination import Condition
from resile.records.finding import Finding, Measure, Severity
from resile.records.order import OrderedRecord, OrderedTable
from resile.records.reading import HeldFile
from resile.records.register import (
    TYPED_RESULTS,
    Asked,
    Conditioning,
    Kept,
    Result,
    Run,
    Sample,
    Specimen,
)
from resile.records.register import Instrument as KeptInstrument
from resile.report.words import CONDITION_WORDS
from resile.specifications.creep_recovery import load_finding_rules
from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.heat_history import heat_findings, heat_findings_of_run
from resile.workflows.laboratory.bench.instrument_doubts import instrument_doubts
from resile.workflows.laboratory.files.reading_files import AGEING, UNREAD, findings_of_table, read_file
from resile.workflows.reducing.reduction import reduce_record

Noun = TypeVar("Noun")


class Gathered:
    """Files and doubts of one sample, as they are collected from the record."""

    def __init__(self, reading: Reading, number: str) -> None:
        self.reading = reading
        self.number = number
        self.rules = load_finding_rules("record")
        self.records: list[OrderedRecord] = []
        self.tables: list[OrderedTable] = []
        self.ageing: dict[Condition, HeldFile] = {}
        self.doubts: list[Finding] = []
        self.results: list[str] = []

    def take_run(self, kept: Kept[Run]) -> None:
        """Add the file of a run, or tell why it is left out."""
        run = kept.value
        file = HeldFile(run.file_name, self.reading.file(run.file))
        named = f"Run {kept.key} ({run.file_name}{f', {run.part}' if run.part else ''})"
        result = self.reading.find(Result, run=kept.key, order="seq", falling=True, limit=1)
        if run.test == TYPED_RESULTS:
            self._take_table(run, file)
            self.results += [f"{one.key}/{one.revision}" for one in result]
            self.doubts += instrument_doubts(self.reading, run.verification, run.instrument, run.tested)
            self._tell_once(heat_findings_of_run(self.reading, run))
            return
        if run.test in (UNREAD, AGEING):
            self.doubts += self._raised("run_not_read", named)
            return
        if run.condition is Condition.UNKNOWN:
            self.doubts += self._raised("residue_not_known", named)
            return
        record = self._record(run, file)
        if not result and not _readable(record):
            self.doubts += self._raised("run_not_read", named)
            return
        self.records.append(record)
        self._tell_once(self._heat(run, weighty=False))
        self.results += [f"{one.key}/{one.revision}" for one in result]

    def _take_table(self, run: Run, file: HeldFile) -> None:
        layout = HeldFile("layout.toml", self.reading.file(run.layout)) if run.layout else None
        self.tables.append(OrderedTable(file, run.condition, layout, run.tested))
        known = read_layout(layout) if layout else None
        table = read_file(file.content, file.name, layout=known, condition=run.condition).table
        self.doubts += () if table is None else findings_of_table(table)[len(table.findings) :]

    def _record(self, run: Run, file: HeldFile) -> OrderedRecord:
        specimen = noun_of(self.reading, Specimen, run.specimen)
        instrument = noun_of(self.reading, KeptInstrument, run.instrument)
        return OrderedRecord(
            path=file,
            condition=run.condition,
            specimen=specimen.number if specimen else "",
            temperature_c=run.temperature_c,
            layout=HeldFile("layout.toml", self.reading.file(run.layout)) if run.layout else None,
            sheet=run.sheet,
            plate_diameter_mm=run.plate_diameter_mm,
            gap_mm=run.gap_mm,
            part=run.part,
            tested=run.tested,
            instruments=(instrument.name, instrument.serial) if instrument else (),
            doubts=(
                *instrument_doubts(self.reading, run.verification, run.instrument, run.tested),
                *self._heat(run, weighty=True),
            ),
        )

    def take_ageings(self, ageings: list[Kept[Conditioning]]) -> None:
        """Take the latest ageing of each kind; an earlier one is told."""
        held = {one.key: self._ageing_file(one) for one in ageings if one.value.file}
        beside = tuple(held.values())
        for one in ageings:
            if one.key not in held:
                continue
            condition = one.value.condition
            if condition in self.ageing:
                earlier = self.ageing[condition].name
                self.doubts += self._raised(
                    "ageing_superseded", f"The {CONDITION_WORDS[condition]} record {earlier}"
                )
            self.ageing[condition] = replace(held[one.key], beside=beside)
        used = [one.value for one in ageings if one.key in held]
        for ageing in used:
            self.doubts += instrument_doubts(
                self.reading, ageing.verification, ageing.instrument, ageing.happened
            )
            heated = heat_findings(self.reading, sample=ageing.sample, can=ageing.can, until=ageing.happened)
            self._tell_once(heated)

    def _heat(self, run: Run, *, weighty: bool) -> tuple[Finding, ...]:
        """Give what the heat history says of a run: what keeps its values out of a verdict, or the rest."""
        found = heat_findings_of_run(self.reading, run)
        return tuple(one for one in found if (one.severity is Severity.INVALID) is weighty)

    def _tell_once(self, found: Iterable[Finding]) -> None:
        """Add doubts about a can that served several tests once."""
        self.doubts += [one for one in dict.fromkeys(found) if one not in self.doubts]

    def _ageing_file(self, kept: Kept[Conditioning]) -> HeldFile:
        return HeldFile(kept.value.file_name, self.reading.file(kept.value.file))

    def tell_changed_rules(self, sample: Kept[Sample], runs: list[Kept[Run]]) -> None:
        """Tell where the rules are not those that stood when the first run was kept."""
        if not runs:
            return
        first = min(run.seq for run in runs)
        revisions = self.reading.history(Sample, sample.key)
        before = [one for one in revisions if one.seq < first]
        if not before:
            return
        changed = [
            f"{f.name.replace('_', ' ')} from '{_shown(getattr(before[-1].value.asked, f.name))}' "
            f"to '{_shown(getattr(sample.value.asked, f.name))}'"
            for f in fields(Asked)
            if getattr(before[-1].value.asked, f.name) != getattr(sample.value.asked, f.name)
        ]
        if changed:
            self.doubts += self._raised("rules_changed", "; ".join(changed))

    def _raised(self, measure: str, where: str) -> tuple[Finding, ...]:
        return judge_measures([Measure(measure, 1.0, "", where)], self.rules)


def noun_of(reading: Reading, kind: type[Noun], key: str) -> Noun | None:
    """Give the noun behind a key as it stands; None for no key."""
    return reading.get(kind, key).value if key else None


def _readable(record: OrderedRecord) -> bool:
    try:
        layout = read_layout(record.layout) if record.layout else None
        reduce_record(record.path, layout=layout, keep_signal=False, temperature_c=record.temperature_c)
    except ResileError:
        return False
    return True


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(str, value)) or "none"
    return "none" if value in ("", None) else str(value)
