"""The bench at a glance: what is in the oven, and the cans of one sample."""

from __future__ import annotations

from dataclasses import dataclass

from resile.errors import InputError, RecordNotFoundError
from resile.records.register import Actor, Kept, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.heatings import OpenHeating, open_heatings
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.heat_history import CanSheet, cans_of_sample


@dataclass(frozen=True, slots=True)
class BenchHub:
    """What stands on the bench.

    Attributes
    ----------
    oven : tuple of OpenHeating
        Cans in the oven, the longest there first.
    sample : Kept of Sample or None
        The sample asked for; None where none was.
    cans : tuple of CanSheet
        Its cans with their heat histories.
    sought : str
        What was asked for and not found; empty otherwise.
    newest : tuple of Kept of Sample
        Samples received last, to choose from.
    """

    oven: tuple[OpenHeating, ...]
    sample: Kept[Sample] | None
    cans: tuple[CanSheet, ...]
    sought: str
    newest: tuple[Kept[Sample], ...]


def bench_hub(record: LaboratoryRecord, actor: Actor, sought: str = "") -> BenchHub:
    """Give what stands on the bench.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks.
    sought : str
        Number or key of a sample; empty for none.
    """
    require(actor, "bench.write")
    with record.reading() as reading:
        oven = tuple(open_heatings(reading, limit=50))
        newest = tuple(reading.find(Sample, order="received", falling=True, limit=12))
        sample = _sought(reading, sought)
    cans = tuple(cans_of_sample(record, actor, sample.key)) if sample else ()
    return BenchHub(oven, sample, cans, sought if sought and sample is None else "", newest)


def sample_named(record: LaboratoryRecord, actor: Actor, sought: str) -> Kept[Sample]:
    """Give a sample by its number or key, for a page of the bench.

    Parameters
    ----------
    record, actor
        As in `bench_hub`.
    sought : str
        Number or key.

    Raises
    ------
    InputError, RecordNotFoundError, PermissionRefusedError
        Where none is named, there is none, or it is another customer's.
    """
    require(actor, "runs.see")
    if not sought:
        raise InputError("no sample was named; open one on the page of the bench, then choose what to do")
    with record.reading() as reading:
        sample = _sought(reading, sought)
    if sample is None:
        raise RecordNotFoundError(f"no sample has the number or key '{sought}'")
    require_sight(actor, sample.value.customer)
    return sample


def _sought(reading: Reading, sought: str) -> Kept[Sample] | None:
    if not sought:
        return None
    found = reading.find(Sample, number=sought) or reading.find(Sample, key=sought)
    return found[0] if found else None
