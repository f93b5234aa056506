"""What a month tells of the laboratory itself: verifications due, checks, scores of rounds."""

from __future__ import annotations

from collections.abc import Iterator

from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.instruments_seen import due_verifications
from resile.workflows.laboratory.comparisons.check_materials import material_sheets, names_of_instruments
from resile.workflows.laboratory.comparisons.rounds_kept import scored_rounds

_LOOK_AHEAD_DAYS = 31
_VERIFICATION = {
    "overdue": "the verification of {name}, {what}, was due on {due}: verify it, "
    "and look at what was tested since",
    "failed": "{name} failed its verification, {what}: it stays out of use until it passes",
    "unknown": "{name} was never verified: verify it before its results count",
    "verified": "the verification of {name}, {what}, is due on {due}",
}


def laboratory_lines(reading: Reading, first: str, day: str) -> tuple[str, ...]:
    """Say what is due in the laboratory, and what its checks and rounds of a month found.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    first, day : str
        First day of the month, and its last or today, ISO 8601.
    """
    said = [*_verifications(reading, day), *_checks(reading, first, day), *_rounds(reading, first, day)]
    return tuple(f"{one[:1].upper()}{one[1:]}" for one in said)


def _verifications(reading: Reading, day: str) -> Iterator[str]:
    for one in due_verifications(reading, day, within_days=_LOOK_AHEAD_DAYS):
        yield _VERIFICATION[one.state].format(name=one.name, what=one.what, due=one.due) + "."


def _checks(reading: Reading, first: str, day: str) -> Iterator[str]:
    instruments = names_of_instruments(reading)
    for sheet in material_sheets(reading):
        verdicts = sheet.chart.verdicts if sheet.chart else ()
        done = [one for one in verdicts if first <= one.check.done[:10] <= day]
        for one in done:
            if one.judged != "inside":
                name = instruments.get(one.check.instrument, one.check.instrument)
                which = f"{name} with {sheet.material.value.name}"
                yield f"check of {which} on {one.check.done[:10]}: {one.sentence}"
        if done and all(one.judged == "inside" for one in done):
            many = "check" if len(done) == 1 else "checks"
            yield f"{len(done)} {many} with {sheet.material.value.name} lay inside the tolerance zone."


def _rounds(reading: Reading, first: str, day: str) -> Iterator[str]:
    for one in scored_rounds(reading).scores.scores:
        result = one.result
        if not one.judged or not first <= result.day[:10] <= day:
            continue
        score = {"z": one.z, "z-prime": one.z_prime, "zeta": one.zeta, "en": one.en}.get(one.kind)
        told = f" ({one.kind} = {score:.2g})" if score is not None else ""
        do = "" if one.judged == "satisfactory" else ": find the cause before the next round"
        yield f"{result.scheme}, round {result.round}, {result.material}: {one.judged}{told}{do}."
