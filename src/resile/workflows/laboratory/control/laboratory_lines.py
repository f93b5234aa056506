"""What a month tells of the laboratory itself: verifications due, checks, scores of rounds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.instruments_seen import due_verifications
from resile.workflows.laboratory.comparisons.check_materials import material_sheets, names_of_instruments
from resile.workflows.laboratory.comparisons.rounds_kept import scored_rounds

_LOOK_AHEAD_DAYS = 31
_VERIFY = {
    "failed": "{names} failed the last verification: out of use until it passes",
    "overdue": "verify {names}, overdue; then look at what was tested since",
    "unknown": "verify {names}: no verification is known, and results count only after one",
}
"""What to do, the most urgent first; several instruments in one sentence."""


@dataclass(frozen=True, slots=True)
class LaboratoryMonth:
    """What a month tells of the laboratory.

    Attributes
    ----------
    to_do, told : tuple of str
        What is to be done; what was found or will be due. A sentence each.
    """

    to_do: tuple[str, ...]
    told: tuple[str, ...]


def laboratory_lines(reading: Reading, first: str, day: str) -> LaboratoryMonth:
    """Say what is due in the laboratory, and what its checks and rounds of a month found.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    first, day : str
        First day of the month, and its last or today, ISO 8601.
    """
    found = [*_verifications(reading, day), *_checks(reading, first, day), *_rounds(reading, first, day)]
    to_do, told = (
        tuple(f"{words[:1].upper()}{words[1:]}" for urgent, words in found if urgent is wanted)
        for wanted in (True, False)
    )
    return LaboratoryMonth(to_do, told)


def _verifications(reading: Reading, day: str) -> Iterator[tuple[bool, str]]:
    due = due_verifications(reading, day, within_days=_LOOK_AHEAD_DAYS)
    for state, words in _VERIFY.items():
        named = [
            f"{one.name} ({one.what}, due {one.due})" if one.due and state == "overdue" else one.name
            for one in due
            if one.state == state
        ]
        if named:
            yield True, words.format(names=", ".join(dict.fromkeys(named))) + "."
    for one in due:
        if one.state not in _VERIFY:
            yield False, f"the verification of {one.name}, {one.what}, is due on {one.due}."


def _checks(reading: Reading, first: str, day: str) -> Iterator[tuple[bool, str]]:
    instruments = names_of_instruments(reading)
    for sheet in material_sheets(reading):
        verdicts = sheet.chart.verdicts if sheet.chart else ()
        done = [one for one in verdicts if first <= one.check.done[:10] <= day]
        for one in done:
            if one.judged != "inside":
                name = instruments.get(one.check.instrument, one.check.instrument)
                which = f"{name} with {sheet.material.value.name}"
                yield True, f"check of {which} on {one.check.done[:10]}: {one.sentence}"
        if done and all(one.judged == "inside" for one in done):
            many = "check" if len(done) == 1 else "checks"
            yield False, f"{len(done)} {many} with {sheet.material.value.name} lay inside the tolerance zone."


def _rounds(reading: Reading, first: str, day: str) -> Iterator[tuple[bool, str]]:
    for one in scored_rounds(reading).scores.scores:
        result = one.result
        if not one.judged or not first <= result.day[:10] <= day:
            continue
        score = {"z": one.z, "z-prime": one.z_prime, "zeta": one.zeta, "en": one.en}.get(one.kind)
        told = f" ({one.kind} = {score:.2g})" if score is not None else ""
        good = one.judged == "satisfactory"
        do = "" if good else ": find the cause before the next round"
        yield not good, f"{result.scheme}, round {result.round}, {result.material}: {one.judged}{told}{do}."
