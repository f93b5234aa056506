"""Which own precision a verdict of the record rests on, and whether the same would be in force today."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.results.own_precision import (
    BASIS,
    day_of_test,
    own_precision_in_force,
    precision_of_result,
)
from resile.judge.wording import property_words, temperature_words
from resile.records.determination import Result
from resile.records.own_precision import KeyedPrecision
from resile.records.register import Actor, Kept, OwnPrecision, PrecisionUsed, Verdict
from resile.records.register import Result as StoredResult
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require


def own_precisions(reading: Reading) -> tuple[KeyedPrecision, ...]:
    """Give every precision of its own that the laboratory keeps, under the key by which verdicts name it."""
    return tuple(KeyedPrecision(_named(one), one.value) for one in reading.find(OwnPrecision))


def _named(kept: Kept[OwnPrecision]) -> str:
    return kept.key if kept.revision == 1 else f"{kept.key}/{kept.revision}"


def precision_for(record: LaboratoryRecord, actor: Actor, basis: str) -> tuple[KeyedPrecision, ...]:
    """Give what the laboratory keeps, to judge by; nothing where the uncertainty does not rest on it.

    Raises
    ------
    PermissionRefusedError
        For one who may not see results of the laboratory.
    """
    if BASIS not in basis.split(","):
        return ()
    require(actor, "runs.see")
    with record.reading() as reading:
        return own_precisions(reading)


def precisions_used(
    results: Sequence[Result], basis: str, held: Sequence[KeyedPrecision], tested: str
) -> tuple[PrecisionUsed, ...]:
    """Say which own precision each result was judged with.

    Parameters
    ----------
    results : sequence of Result
        Of one sample, as judged.
    basis : str
        What the uncertainty rests on; nothing is said where that is not own precision.
    held : sequence of KeyedPrecision
        What was kept then.
    tested : str
        Day or days of the tests of the sample.
    """
    if BASIS not in basis.split(","):
        return ()
    used = []
    for result in results:
        counted = [one for one, counts in zip(result.determinations, result.counted, strict=False) if counts]
        if result.value is None or not counted or any(one.laboratory for one in counted):
            continue
        found = precision_of_result(counted, result.value, held, tested)
        used.append(
            PrecisionUsed(
                quantity=result.quantity,
                condition=result.condition,
                temperature_c=result.temperature_c,
                value=result.value,
                tested=day_of_test(counted, tested),
                key=found.held.key if found.held else "",
            )
        )
    return tuple(used)


def precision_changes(verdict: Verdict, held: Sequence[KeyedPrecision]) -> tuple[str, ...]:
    """Say where another own precision would be in force today than the verdict was judged with.

    Parameters
    ----------
    verdict : Verdict
        As kept.
    held : sequence of KeyedPrecision
        What is kept today.

    Returns
    -------
    tuple of str
        A sentence each; empty where nothing changed.
    """
    told = []
    for one in verdict.own_precision:
        found = own_precision_in_force(held, one.quantity, one.condition, one.value, one.tested).held
        now = found.key if found else ""
        if now != one.key:
            at = "" if one.temperature_c is None else f" at {temperature_words(one.temperature_c)}"
            told.append(
                f"{property_words(one.quantity)}{at}, tested {one.tested or 'on a day not known'}, "
                f"was judged with {_word(one.key)}; today it would be {_word(now)}"
            )
    return tuple(told)


def verdict_changes(reading: Reading, result: Kept[StoredResult]) -> tuple[str, ...]:
    """Tell what the newest verdict on a sample was judged with and would not be today.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    result : Kept of Result
        A result of the sample; it is told with the first of them alone, so that it is told once.
    """
    sample = result.value.sample
    held = own_precisions(reading) if sample else ()
    verdict = reading.find(Verdict, sample=sample, order="seq", falling=True, limit=1) if held else []
    if not verdict or not verdict[0].value.own_precision:
        return ()
    if reading.find(StoredResult, sample=sample, limit=1)[0].key != result.key:
        return ()
    return tuple(f"verdict {verdict[0].key}: {one}" for one in precision_changes(verdict[0].value, held))


def _word(key: str) -> str:
    return f"own precision {key}" if key else "no own precision"
