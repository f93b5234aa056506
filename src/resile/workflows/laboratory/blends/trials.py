"""Trial blends of a kept book: made, tested, and their results drawn from samples of the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from resile.errors import InputError, RecordNotFoundError
from resile.records.finding import Severity
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES, WORD_QUANTITIES
from resile.records.register import Actor, BlendBookRecord, Kept, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of, keep_blend_book, raw_book
from resile.workflows.laboratory.samples.named import sample_key
from resile.workflows.laboratory.statements.grading import report_of_stored
from resile.workflows.laboratory.statements.stored_order import stored_order
from resile.workflows.toml_text import toml_text

Raw = dict[str, Any]
_DECIMALS = 1
"""Tests at one temperature are held within 0.1 °C of it; a blend is compared at the one that was meant."""
_LAST = ("aim", "limit", "plant", "rules")


@dataclass(frozen=True, slots=True)
class TypedResult:
    """One result as typed: a row without a value is left out.

    Attributes
    ----------
    quantity, condition : str
        What was measured, and on which residue.
    temperature_c, value : str
        As typed; may be empty.
    """

    quantity: str = ""
    condition: str = "original"
    temperature_c: str = ""
    value: str = ""


@dataclass(frozen=True, slots=True)
class TypedTrial:
    """A trial blend as typed.

    Attributes
    ----------
    name : str
        Name or number of the blend.
    percent : mapping of str to str
        Share of each component as typed [%]; all of them empty for a blend that the book holds already.
    sample : str
        Number of the sample of the record whose results are drawn; empty for none.
    results : tuple of TypedResult
        Results typed in.
    storage_h, storage_c : str
        Hot storage between blending and test, as typed.
    """

    name: str = ""
    percent: Mapping[str, str] | None = None
    sample: str = ""
    results: tuple[TypedResult, ...] = ()
    storage_h: str = ""
    storage_c: str = ""


def keep_trial(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, typed: TypedTrial, *, seen: int | None = None
) -> Kept[BlendBookRecord]:
    """Keep a trial blend, or further results of one, as the next revision of its book.

    Parameters
    ----------
    record, actor, at
        The record, who keeps it, and when.
    key : str
        Key of the book.
    typed : TypedTrial
        Its shares where it is new, and its results.
    seen : int or None
        Revision of the book that the person saw.

    Returns
    -------
    Kept of BlendBookRecord
        The new revision, whose reason names the blend.

    Raises
    ------
    InputError
        Where a number is none, the blend has no name, or nothing was typed.
    ResileError
        As `results_of_sample` and `resile.readers.blends.book.read_blend_book`.
    """
    require(actor, "offer.write")
    kept = blend_of(record, actor, key)
    name = typed.name.strip()
    if not name:
        raise InputError("give the trial blend a name or a number")
    known = next((one for one in kept.book.trials if one.name.casefold() == name.casefold()), None)
    shares = {one: text for one, text in (typed.percent or {}).items() if text.strip()}
    if known is None and not shares:
        raise InputError(f"blend {name}: type the share of each component; together they make 100 %")
    if known is not None and shares:
        raise InputError(f"blend {name} is in the book already; give the new one another name")
    drawn = _drawn(record, actor, at, kept, typed.sample)
    results = [*drawn, *_typed_results(typed.results)]
    if known is not None and not results:
        raise InputError(f"blend {name}: type a result, or choose the sample it was tested as")
    block: Raw = {
        "name": known.name if known else name,
        "percent": {one: hand_number(text, f"share of {one}") for one, text in shares.items()} or None,
        "storage_h": hand_number_or_none(typed.storage_h, "hours of hot storage"),
        "storage_c": hand_number_or_none(typed.storage_c, "temperature of hot storage"),
        "sample": typed.sample.strip() or None,
        "result": results or None,
    }
    content = _with_trial(raw_book(kept.file), block)
    reason = _reason(name, typed.sample.strip(), known is None, len(results))
    return keep_blend_book(
        record,
        actor,
        at,
        replace(kept.file, content=toml_text(content).encode()),
        site=kept.kept.value.site,
        note=kept.kept.value.note,
        key=key,
        reason=reason,
        seen=seen,
    )


def results_of_sample(
    record: LaboratoryRecord, actor: Actor, at: str, number: str, *, specification: str = ""
) -> list[Raw]:
    """Give the results of a sample as a blend book holds them: each determination that counts.

    Parameters
    ----------
    record, actor, at
        The record, who asks, and when.
    number : str
        Number or key of the sample.
    specification : str
        By whose rules the results are put together; those agreed for the sample where empty.

    Returns
    -------
    list of dict
        Quantity, value, condition, temperature (that of the run, to 0.1 °C) and replicate; a result that an
        invalid finding keeps out of a verdict is kept out of a blend book too.

    Raises
    ------
    RecordNotFoundError, InputError
        There is no such sample, or nothing of it was tested.
    """
    require(actor, "samples.see")
    require(actor, "runs.see")
    with record.reading() as reading:
        stored = stored_order(reading, sample_key(reading, number))
    order = replace(stored.order, specification=specification) if specification else stored.order
    report = report_of_stored(replace(stored, order=order), at)
    return [
        {
            "quantity": one.quantity,
            "value": one.value,
            "condition": str(one.condition),
            "temperature_c": None if one.temperature_c is None else round(one.temperature_c, _DECIMALS),
            "replicate": one.replicate or None,
        }
        for result in report.statement.results
        if _usable(result.quantity) and not any(f.severity is Severity.INVALID for f in result.findings)
        for one, counted in zip(result.determinations, result.counted, strict=True)
        if counted and one.value is not None
    ]


def samples_of_trials(record: LaboratoryRecord, actor: Actor, kept: KeptBlend) -> dict[str, Kept[Sample]]:
    """Give the samples that trial blends were tested as, by the name of the blend.

    Parameters
    ----------
    record, actor
        The record, and who asks; empty for who may see no samples.
    kept : KeptBlend
        The book.
    """
    if not actor.may("samples.see"):
        return {}
    named = {one["name"]: one["sample"] for one in raw_book(kept.file).get("trial", ()) if one.get("sample")}
    found = {}
    with record.reading() as reading:
        for name, number in named.items():
            try:
                found[name] = reading.get(Sample, sample_key(reading, number))
            except RecordNotFoundError:
                continue  # a book that came as a file names samples of another laboratory
    return found


def _drawn(record: LaboratoryRecord, actor: Actor, at: str, kept: KeptBlend, number: str) -> list[Raw]:
    if not number.strip():
        return []
    drawn = results_of_sample(record, actor, at, number, specification=kept.book.aim.specification)
    if not drawn:
        raise InputError(f"sample {number.strip()}: it has no result that can be used; look at its findings")
    return drawn


def _typed_results(typed: Sequence[TypedResult]) -> list[Raw]:
    found = []
    for number, one in enumerate(typed, 1):
        title = QUANTITIES[one.quantity].title if one.quantity in QUANTITIES else f"result {number}"
        value = hand_number_or_none(one.value, title)
        if value is None:
            continue
        if not _usable(one.quantity):
            raise InputError(f"result {number}: choose what was measured")
        celsius = hand_number_or_none(one.temperature_c, f"{title}, temperature")
        found.append(
            {
                "quantity": one.quantity,
                "value": value,
                "condition": one.condition,
                "temperature_c": celsius,
            }
        )
    return found


def _with_trial(raw: Raw, block: Raw) -> Raw:
    """Put a trial into the keys of a book: newly, or onto what it says of this blend already."""
    trials = [dict(one) for one in raw.get("trial", ())]
    before = next((one for one in trials if one["name"].casefold() == block["name"].casefold()), None)
    given = {name: value for name, value in block.items() if value is not None}
    if before is None:
        trials.append(given)
    else:
        again = given.get("sample") and given["sample"] == before.get("sample")
        earlier = [] if again else before.get("result", [])
        before.update({**given, "result": [*earlier, *given.get("result", [])]})
    head = {name: value for name, value in raw.items() if name not in _LAST}
    return {**head, "trial": trials, **{name: raw[name] for name in _LAST if name in raw}}


def _reason(name: str, sample: str, new: bool, count: int) -> str:
    of = f" of sample {sample}" if sample else ""
    counted = "1 result" if count == 1 else f"{count} results"
    if new:
        return f"trial blend {name} added" + (f" with {counted}{of}" if count else "")
    return f"{counted}{of} added to trial blend {name}"


def _usable(quantity: str) -> bool:
    return quantity in RESULT_QUANTITIES and quantity not in WORD_QUANTITIES
