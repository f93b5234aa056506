"""An ageing record typed at the bench: what is asked, what is wrong so far, and the record that it makes.

The record that is kept is the same TOML file that `resile ageing` reads, and the checks are the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from resile.errors import InputError, ResileError
from resile.readers.ageing.ageing_toml import ageing_to_toml
from resile.readers.ageing.ageing_words import LONG, SHORT
from resile.records.ageing import AgeingMethod, AgeingRecord, LongTermAgeingRecord, Tolerance
from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.form import AGEING_FIELDS, LONG_TERM_FIELDS
from resile.records.plan import PlanCaution, ResiduePreparation
from resile.records.reading import HeldFile
from resile.specifications.load import load_ageing_method
from resile.specifications.plans import load_bench_book
from resile.specifications.search import files_of, name_in
from resile.workflows.laboratory.bench.hand_numbers import hand_number
from resile.workflows.reducing.ageing import reduce_ageing_record

KINDS = {SHORT: "Rolling thin film oven", LONG: "Pressure ageing vessel"}
ROWS = {
    SHORT: ("bottle", ("name", "empty_g", "before_g", "after_g", "note")),
    LONG: ("pan", ("name", "mass_g", "note")),
}
MOST_ROWS = {SHORT: 8, LONG: 10}
_CONDITIONS = {SHORT: Condition.SHORT_TERM_AGED, LONG: Condition.LONG_TERM_AGED}
_FIELDS = {SHORT: AGEING_FIELDS, LONG: LONG_TERM_FIELDS}
_WORDS = ("method", "aged_on", "feed", "short_term_record", "departure", "note")
_GIVEN_ELSEWHERE = ("method", "aged_on", "mass_change_percent", "short_term_record")
_ROW_TITLES = {
    "name": ("Mark", ""),
    "empty_g": ("Empty", "g"),
    "before_g": ("With binder, before", "g"),
    "after_g": ("With binder, after", "g"),
    "mass_g": ("Binder", "g"),
    "note": ("What was seen", ""),
}


@dataclass(frozen=True, slots=True)
class EntryField:
    """One thing to type.

    Attributes
    ----------
    name, title, unit : str
        Key of the record, words and unit.
    asked : str
        What the method asks for, in words; empty where it asks for nothing.
    """

    name: str
    title: str
    unit: str
    asked: str = ""


@dataclass(frozen=True, slots=True)
class EntrySheet:
    """What is asked at the bench for one kind of ageing.

    Attributes
    ----------
    kind, method : str
        ``short-term`` or ``long-term``; name of the method.
    document : str
        Document of the method.
    fields, row_fields : tuple of EntryField
        What is typed once, and for each bottle or pan.
    row_asked : str
        What the method asks of the binder in each, in words.
    preparation : ResiduePreparation or None
        What to keep to, from the bench book.
    cautions : tuple of PlanCaution
        Hazards of the step.
    """

    kind: str
    method: str
    document: str
    fields: tuple[EntryField, ...]
    row_fields: tuple[EntryField, ...]
    row_asked: str
    preparation: ResiduePreparation | None
    cautions: tuple[PlanCaution, ...]


@dataclass(frozen=True, slots=True)
class AgeingDraft:
    """An ageing record as typed so far: text, nothing is worked out.

    Attributes
    ----------
    kind : str
        ``short-term`` or ``long-term``.
    sample : str
        Number of the sample.
    values : mapping of str to str
        By key of the record.
    rows : tuple of mapping
        One a bottle or pan.
    """

    kind: str
    sample: str
    values: Mapping[str, str]
    rows: tuple[Mapping[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class AgeingCheck:
    """What can be said of a draft.

    Attributes
    ----------
    faults : dict of str to str
        Sentence by name of the field, or ``bottle-2-after_g``; empty where every entry can be read.
    waiting : str
        Why there is no result yet; empty where there is one.
    record : AgeingRecord, LongTermAgeingRecord or None
        Reduced and checked, as far as it goes.
    """

    faults: dict[str, str]
    waiting: str
    record: AgeingRecord | LongTermAgeingRecord | None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the method says of it."""
        return self.record.findings if self.record is not None else ()

    @property
    def mass_change_percent(self) -> float | None:
        """Mean mass change [%] of a short-term record, where both masses are in."""
        return self.record.mass_change_percent if isinstance(self.record, AgeingRecord) else None

    @property
    def rows(self) -> tuple[tuple[str, float | None], ...]:
        """Mark of each bottle with its mass change [%], or of each pan with its film [mm]."""
        if isinstance(self.record, AgeingRecord):
            return tuple((one.name, one.mass_change_percent) for one in self.record.bottles)
        if isinstance(self.record, LongTermAgeingRecord):
            return tuple((one.name, one.film_mm) for one in self.record.pans)
        return ()


def ageing_methods(kind: str) -> list[AgeingMethod]:
    """List the ageing methods of a kind on the search path; a faulty file is left out.

    Parameters
    ----------
    kind : str
        ``short-term`` or ``long-term``.
    """
    found: list[AgeingMethod] = []
    for path in files_of("methods"):
        try:
            method = load_ageing_method(name_in(path) or path.stem)
        except ResileError:  # of another kind of file, or faulty: `resile rules` says so
            continue
        if method.kind == kind and method.identifier not in [one.identifier for one in found]:
            found.append(method)
    return found


def entry_sheet(kind: str, method: str) -> EntrySheet:
    """Give what is asked at the bench.

    Parameters
    ----------
    kind : str
        ``short-term`` or ``long-term``.
    method : str
        Name of the method.

    Raises
    ------
    InputError, RecordNotFoundError
        Where there is no such kind or method, or the method is of the other kind.
    """
    if kind not in KINDS:
        raise InputError(f"ageing is {' or '.join(KINDS)}, not '{kind}'")
    rules = load_ageing_method(method)
    if rules.kind != kind:
        raise InputError(f"method '{method}' is one of {rules.kind} ageing, not of {kind} ageing")
    by_measure = {one.measure: one for one in rules.tolerances}
    row, keys = ROWS[kind]
    book = load_bench_book()
    steps = [one for one in book.preparations if one.condition is _CONDITIONS[kind]]
    named = steps[0].cautions if steps else ()
    binder = by_measure.get(f"{row}_mass_g")
    return EntrySheet(
        kind=kind,
        method=rules.identifier,
        document=rules.document,
        fields=tuple(
            EntryField(
                one.key,
                one.label,
                "" if one.key in _WORDS else one.hint.replace("how many", ""),
                asked_words(by_measure.get(one.key)) or (one.hint if one.key in _WORDS else ""),
            )
            for one in _FIELDS[kind]
            if one.key not in _GIVEN_ELSEWHERE
        ),
        row_fields=tuple(EntryField(key, *_ROW_TITLES[key]) for key in keys),
        row_asked=asked_words(binder),
        preparation=steps[0] if steps else None,
        cautions=tuple(one for one in book.cautions if one.name in named),
    )


def asked_words(tolerance: Tolerance | None) -> str:
    """Say what a method asks for: ``162 to 164 °C``."""
    if tolerance is None:
        return ""
    low, high = tolerance.lowest, tolerance.highest
    unit = f" {tolerance.unit}" if tolerance.unit else ""
    if low is not None and high is not None:
        return f"{low:.4g}{unit}" if low == high else f"{low:.4g} to {high:.4g}{unit}"
    return f"at least {low:.4g}{unit}" if low is not None else f"at most {high:.4g}{unit}"


def check_ageing(
    draft: AgeingDraft, *, linked: Callable[[str], HeldFile | None] | None = None
) -> AgeingCheck:
    """Check a draft with the checks of `resile ageing`, however little of it is there.

    Parameters
    ----------
    draft : AgeingDraft
        As typed.
    linked : callable, optional
        Gives the short-term record that a long-term one names.
    """
    faults: dict[str, str] = {}
    text = draft_to_toml(draft, faults)
    if faults:
        return AgeingCheck(faults, "an entry cannot be read", None)
    if draft.kind == SHORT and not _has_rows(draft):
        return AgeingCheck({}, "the masses of each bottle are needed: empty, before and after ageing", None)
    try:
        reduced = reduce_ageing_record(HeldFile("record.toml", text.encode()), linked=linked)
    except ResileError as error:
        return AgeingCheck({}, str(error).removeprefix("record.toml: "), None)
    return AgeingCheck({}, "", reduced.record)


def _has_rows(draft: AgeingDraft) -> bool:
    return any(text.strip() for row in draft.rows for key, text in row.items() if key != "name")


def draft_to_toml(draft: AgeingDraft, faults: dict[str, str]) -> str:
    """Write a draft as an ageing record, and put what cannot be read under `faults`.

    Parameters
    ----------
    draft : AgeingDraft
        As typed.
    faults : dict of str to str
        Filled with a sentence by name of the field.
    """
    values: dict[str, str | float] = {"sample": draft.sample}
    for field in _FIELDS[draft.kind]:
        typed = draft.values.get(field.key, "").strip()
        if typed:
            values[field.key] = _read(typed, field.key, field.label, field.key, faults)
    row, keys = ROWS[draft.kind]
    rows = []
    for number, typed_row in enumerate(draft.rows, start=1):
        entries = {key: typed_row.get(key, "").strip() for key in keys}
        if any(text for key, text in entries.items() if key != "name"):
            name = f"{row} {entries['name'] or number}"
            entries["name"] = entries["name"] or str(number)
            rows.append(
                {
                    key: _read(text, key, f"{name}, {_ROW_TITLES[key][0]}", f"{row}-{number}-{key}", faults)
                    for key, text in entries.items()
                    if text
                }
            )
    remark = f"{KINDS[draft.kind]}: entered at the bench."
    return ageing_to_toml(values, rows, row_name=row, remark=remark)


def _read(text: str, key: str, title: str, place: str, faults: dict[str, str]) -> str | float:
    if key in (*_WORDS, "name"):
        return text
    try:
        return hand_number(text, title)
    except InputError as error:
        faults[place] = str(error)
        return 0.0
