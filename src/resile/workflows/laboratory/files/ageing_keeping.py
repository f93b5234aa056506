"""An ageing record typed at the bench is kept: as a file, like one that was dropped, and tied to its can."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.readers.ageing.ageing_words import LONG
from resile.records.determination import Condition
from resile.records.reading import HeldFile
from resile.records.register import Actor, Can, Conditioning, Instrument, Kept, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.ageing_entry import (
    AgeingCheck,
    AgeingDraft,
    check_ageing,
    draft_to_toml,
)
from resile.workflows.laboratory.bench.bench_hub import sample_named
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record

_TEST = {"short-term": "short_term_ageing", "long-term": "long_term_ageing"}


@dataclass(frozen=True, slots=True)
class AgeingChoices:
    """What an ageing record of a sample may name.

    Attributes
    ----------
    sample : Kept of Sample
        The sample.
    cans : tuple of Kept of Can
        Its cans.
    instruments : tuple of Kept of Instrument
        Ovens or vessels of the laboratory in use.
    short_term_records : tuple of str
        Names of the short-term records kept with the sample, the newest first.
    """

    sample: Kept[Sample]
    cans: tuple[Kept[Can], ...]
    instruments: tuple[Kept[Instrument], ...]
    short_term_records: tuple[str, ...]


def ageing_choices(record: LaboratoryRecord, actor: Actor, sample: str, kind: str) -> AgeingChoices:
    """Give what an ageing record of a sample may name.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks.
    sample : str
        Number or key of the sample.
    kind : str
        ``short-term`` or ``long-term``.
    """
    require(actor, "bench.write")
    whole = sample_named(record, actor, sample)
    with record.reading() as reading:
        instruments = [
            one
            for one in reading.find(Instrument, retired=False, order="name")
            if not one.value.tests or _TEST[kind] in one.value.tests
        ]
        kept = reading.find(Conditioning, sample=whole.key, falling=True)
        short = [one.value.file_name for one in kept if one.value.condition is Condition.SHORT_TERM_AGED]
        cans = reading.find(Can, sample=whole.key, order="name")
    return AgeingChoices(whole, tuple(cans), tuple(instruments), tuple(dict.fromkeys(short)))


def check_with_kept(record: LaboratoryRecord, actor: Actor, draft: AgeingDraft, sample: str) -> AgeingCheck:
    """Check a draft, with the short-term record of the sample that it names.

    Parameters
    ----------
    record, actor
        As in `ageing_choices`.
    draft : AgeingDraft
        As typed.
    sample : str
        Key of the sample.
    """
    require(actor, "bench.write")
    with record.reading() as reading:
        held = {
            one.value.file_name: HeldFile(one.value.file_name, reading.file(one.value.file))
            for one in reading.find(Conditioning, sample=sample)
            if draft.kind == LONG and one.value.file
        }
    return check_ageing(draft, linked=held.get)


def keep_ageing(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    draft: AgeingDraft,
    *,
    sample: str,
    can: str = "",
    instrument: str = "",
) -> Kept[Conditioning]:
    """Keep an ageing record typed at the bench as the file it makes.

    Parameters
    ----------
    record, actor, draft
        As in `check_with_kept`.
    at : str
        When, ISO 8601 in UTC.
    sample, can, instrument : str
        Keys; the last two may be empty.

    Raises
    ------
    InputError
        Where an entry cannot be read, or there is no result yet.
    """
    check = check_with_kept(record, actor, draft, sample)
    if check.faults:
        raise InputError(next(iter(check.faults.values())))
    if check.record is None:
        raise InputError(f"the record is not whole: {check.waiting}")
    day = draft.values.get("aged_on", "") or at[:10]
    name = f"{draft.sample}-{draft.kind}-ageing-{day}-{at[11:19].replace(':', '')}.toml"
    name = "".join(sign if sign.isalnum() or sign in "-._" else "-" for sign in name)
    told = RecordTold(sample=sample, instrument=instrument, tested=day)
    kept = keep_record(record, actor, at, draft_to_toml(draft, {}).encode(), name, told)
    if not kept.ageings:
        raise InputError(str(kept.refusal or "the record was not understood"))
    return _with_can(record, actor, at, kept.ageings[0], can)


def _with_can(
    record: LaboratoryRecord, actor: Actor, at: str, ageing: Kept[Conditioning], can: str
) -> Kept[Conditioning]:
    if not can or ageing.value.can == can:
        return ageing
    with record.writing(by=actor.key, at=at) as book:
        if book.get(Can, can).value.sample != ageing.value.sample:
            raise InputError("the can named is of another sample")
        return book.keep(replace(ageing.value, can=can), key=ageing.key, reason="poured from this can")
