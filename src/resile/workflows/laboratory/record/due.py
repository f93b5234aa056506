"""What is due in the laboratory, without a browser."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from resile.errors import InputError
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.heatings import OpenHeating, open_heatings
from resile.storage.lists.retentions import RetentionRow
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.instruments_seen import DueVerification, due_verifications
from resile.workflows.laboratory.record.opening import now
from resile.workflows.laboratory.samples.retention import due_retentions


@dataclass(frozen=True, slots=True)
class Due:
    """What is due on a day.

    Attributes
    ----------
    day : str
        The day.
    verifications : tuple of DueVerification
        Failed, overdue, never done, or due within two weeks.
    oven : tuple of OpenHeating
        Cans in the oven, the longest there first.
    retentions : tuple of RetentionRow
        Kept samples that are due, or will be within the reminder of the rule.
    """

    day: str
    verifications: tuple[DueVerification, ...]
    oven: tuple[OpenHeating, ...]
    retentions: tuple[RetentionRow, ...]


def what_is_due(record: LaboratoryRecord, actor: Actor, day: str = "") -> Due:
    """Tell what is due on a day.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks.
    day : str
        ISO 8601; today where empty.

    Raises
    ------
    InputError
        Where the day is none.
    """
    require(actor, "samples.see")
    try:
        asked = date.fromisoformat(day or now()[:10]).isoformat()
    except ValueError:
        raise InputError(f"'{day}' is no day; needed: year-month-day, such as 2026-03-02") from None
    with record.reading() as reading:
        return Due(
            asked,
            tuple(due_verifications(reading, asked)),
            tuple(open_heatings(reading, limit=200)),
            tuple(due_retentions(reading, asked)[0]),
        )
