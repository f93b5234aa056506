"""A sample of the record, with its runs and ageings, put together as the test order that it answers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import TypeVar

from resile.errors import InputError, ResileError
from resile.judge.findings import judge_measures
from resile.judge.results.own_precision import BASIS
from resile.readers.layout import read_layout
from resile.records.determination import Condition
from resile.records.finding import Finding, Measure, Severity
from resile.records.laboratory import Laboratory
from resile.records.order import Instrument, OrderedRecord, OrderedSample, OrderedTable, TestOrder
from resile.records.reading import HeldFile
from resile.records.register import (
    TYPED_RESULTS,
    Asked,
    Conditioning,
    Customer,
    Kept,
    LaboratorySettings,
    Product,
    Result,
    Run,
    Sample,
    Specimen,
    Verification,
    VerificationState,
)
from resile.records.register import Instrument as KeptInstrument
from resile.records.revision import Replacement
from resile.report.words import CONDITION_WORDS
from resile.specifications.creep_recovery import load_finding_rules
from resile.storage.lists.equipment import failed_next
from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.heating import heat_findings, heat_findings_of_run
from resile.workflows.laboratory.bench.house import issuer_as_settled, settings_in_force
from resile.workflows.laboratory.comparisons.precision_in_verdicts import own_precisions
from resile.workflows.laboratory.files.reading_files import AGEING, UNREAD, findings_of_table, read_file
from resile.workflows.reducing.reduction import reduce_record

Noun = TypeVar("Noun")

_DEFAULTS = ("specification", "decision_rule", "uncertainty_basis", "retest_rule", "budget")
_STATES = {
    "failed": "verification_failed",
    "overdue": "verification_overdue",
    "unknown": "verification_not_known",
}


@dataclass(frozen=True, slots=True)
class StoredOrder:
    """What the record holds of a sample, as an order.

    Attributes
    ----------
    sample : Kept of Sample
        At its newest revision.
    order : TestOrder
        With every file in hand.
    results : tuple of str
        Keys of the results of its runs, each with its revision.
    issuer : Laboratory or None
        The laboratory, as its settings state it; None where it has no name yet.
    settings : LaboratorySettings
        How it works.
    """

    sample: Kept[Sample]
    order: TestOrder
    results: tuple[str, ...]
    issuer: Laboratory | None
    settings: LaboratorySettings


def asked_of(sample: Sample, settings: LaboratorySettings) -> Asked:
    """Give what a sample is judged by: what was asked, else what the laboratory is used to."""
    usual = {name: getattr(settings, name) for name in _DEFAULTS}
    return replace(
        sample.asked,
        **{name: value for name, value in usual.items() if value and not getattr(sample.asked, name)},
    )


def stored_order(
    reading: Reading,
    key: str,
    *,
    asked: Asked | None = None,
    number: str = "",
    reviewed_by: str = "",
    replaces: Replacement | None = None,
) -> StoredOrder:
    """Put together the order that a sample of the record answers.

    Parameters
    ----------
    reading : Reading
        The record.
    key : str
        Key of the sample.
    asked : Asked, optional
        Judge by this instead of what was agreed: a question, not a verdict.
    number : str
        Number of the statement; that of the sample where empty.
    reviewed_by : str
        Who releases it.
    replaces : Replacement or None
        The statement that it replaces.

    Returns
    -------
    StoredOrder
        Runs without a residue, and those that cannot be read, are told among `order.doubts`.

    Raises
    ------
    RecordNotFoundError, RecordDamagedError
        Where the record has no such sample, or a file in it is damaged.
    InputError
        Where nothing was tested yet.
    """
    sample = reading.get(Sample, key)
    settings = settings_in_force(reading)
    rules = asked if asked is not None else asked_of(sample.value, settings)
    runs = reading.find(Run, sample=key)
    ageings = reading.find(Conditioning, sample=key)
    if not runs and not ageings:
        raise InputError(
            f"sample {sample.value.number}: no run, table of results or ageing record is attached to it; "
            "drop a record first"
        )
    gathered = _Gathered(reading, sample.value.number)
    for run in runs:
        gathered.take_run(run)
    gathered.take_ageings(ageings)
    if asked is None:
        gathered.tell_changed_rules(sample, runs)
    customer = _of(reading, Customer, sample.value.customer)
    order = TestOrder(
        sample=_identity(reading, sample.value),
        number=number or sample.value.number,
        laboratory=settings.name,
        address=settings.address,
        customer=customer.name if customer else "",
        customer_contact=customer.contact if customer else "",
        invented=sample.value.invented,
        **{f.name: getattr(rules, f.name) for f in fields(rules) if f.name != "price_rules"},
        price_rule=rules.price_rules,
        precision=own_precisions(reading) if BASIS in rules.uncertainty_basis else "",
        records=tuple(gathered.records),
        tables=tuple(gathered.tables),
        ageing=gathered.ageing.get(Condition.SHORT_TERM_AGED),
        long_term_ageing=gathered.ageing.get(Condition.LONG_TERM_AGED),
        instruments=_instruments(reading, runs, ageings),
        operator=_listed(run.value.operator for run in runs),
        reviewed_by=reviewed_by,
        tested=_span([*(run.value.tested for run in runs), *(one.value.happened for one in ageings)]),
        place_of_work=settings.place_of_work,
        replaces=replaces,
        notes=(sample.value.note,) if sample.value.note else (),
        doubts=tuple(gathered.doubts),
    )
    return StoredOrder(sample, order, tuple(gathered.results), issuer_as_settled(reading, settings), settings)


class _Gathered:
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
            self.doubts += self._doubt(run.verification, run.instrument, run.tested)
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
        specimen = _of(self.reading, Specimen, run.specimen)
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
            doubts=(
                *self._doubt(run.verification, run.instrument, run.tested),
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
            self.doubts += self._doubt(ageing.verification, ageing.instrument, ageing.happened)
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

    def _doubt(self, state: str, instrument: str, day: str) -> tuple[Finding, ...]:
        known = _of(self.reading, KeptInstrument, instrument)
        name = known.name if known else "the instrument of this test"
        raised = self._raised(_STATES[state], name) if state in _STATES else ()
        if not instrument or not day or state == VerificationState.FAILED.value:
            return raised
        for one in failed_next(self.reading, instrument, day):
            raised += self._raised("verification_failed_later", f"{name} ({one.what}, {one.done[:10]})")
        return raised

    def _raised(self, measure: str, where: str) -> tuple[Finding, ...]:
        return judge_measures([Measure(measure, 1.0, "", where)], self.rules)


def _of(reading: Reading, kind: type[Noun], key: str) -> Noun | None:
    return reading.get(kind, key).value if key else None


def _readable(record: OrderedRecord) -> bool:
    try:
        layout = read_layout(record.layout) if record.layout else None
        reduce_record(record.path, layout=layout, keep_signal=False, temperature_c=record.temperature_c)
    except ResileError:
        return False
    return True


def _identity(reading: Reading, sample: Sample) -> OrderedSample:
    product = _of(reading, Product, sample.product)
    taken = ", ".join(part for part in (sample.taken_at, sample.taken, sample.taken_by) if part)
    return OrderedSample(
        name=sample.number,
        product=product.name if product else "",
        claimed_grade=sample.claimed_grade,
        received=sample.received,
        container=sample.container,
        taken=taken,
        state=sample.state,
    )


def _instruments(
    reading: Reading, runs: list[Kept[Run]], ageings: list[Kept[Conditioning]]
) -> tuple[Instrument, ...]:
    """Name each instrument once, with the last verification that had been passed by the day of the test."""
    used: dict[str, str] = {}
    days = [(run.value.instrument, run.value.tested) for run in runs]
    for key, day in [*days, *((one.value.instrument, one.value.happened) for one in ageings)]:
        if key:
            used[key] = max(used.get(key, ""), day)
    named = []
    for key, day in used.items():
        one = reading.get(KeptInstrument, key).value
        done = [
            v.value.done
            for v in reading.find(Verification, instrument=key)
            if v.value.passed and (not day or v.value.done[:10] <= day[:10])
        ]
        named.append(
            Instrument(
                name=one.name,
                plate_diameter_mm=one.plate_diameter_mm,
                gap_mm=one.gap_mm,
                verified=max(done, default=""),
                note=one.note,
                tests=one.tests,
            )
        )
    return tuple(named)


def _listed(words: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(word for word in words if word))


def _span(times: list[str]) -> str:
    days = sorted({time[:10] for time in times if time})
    return "" if not days else days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(str, value)) or "none"
    return "none" if value in ("", None) else str(value)
