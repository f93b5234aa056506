"""The laboratory at a glance: own precision beside the published one, rounds, last checks, what is due."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.laboratories.beside import PrecisionBeside
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.instruments_seen import DueVerification, due_verifications
from resile.workflows.laboratory.comparisons.beside import beside_published
from resile.workflows.laboratory.comparisons.check_materials import (
    MaterialSheet,
    material_sheets,
    names_of_instruments,
)
from resile.workflows.laboratory.comparisons.proposing import PrecisionLine, precision_lines
from resile.workflows.laboratory.comparisons.rounds_kept import RoundsKept, scored_rounds


@dataclass(frozen=True, slots=True)
class LaboratoryOverview:
    """What the laboratory knows about its own doubt.

    Attributes
    ----------
    precisions : tuple of PrecisionLine
        In force on the day.
    beside : tuple of PrecisionBeside
        The same beside what is published, where a level is known.
    rounds : RoundsKept
        Newest rounds with their scores.
    materials : tuple of MaterialSheet
        Check materials in use with their newest checks.
    due : tuple of DueVerification
        Failed, overdue, never done, or due within two weeks.
    instruments : dict of str to str
        Names of instruments, by key.
    """

    precisions: tuple[PrecisionLine, ...]
    beside: tuple[PrecisionBeside, ...]
    rounds: RoundsKept
    materials: tuple[MaterialSheet, ...]
    due: tuple[DueVerification, ...]
    instruments: dict[str, str]


def laboratory_overview(record: LaboratoryRecord, actor: Actor, at: str) -> LaboratoryOverview:
    """Put together what the laboratory knows about its own doubt, on the day of the time.

    Raises
    ------
    PermissionRefusedError
        For one who may not see results of the laboratory.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        lines = [one for one in precision_lines(reading, at) if one.standing == "in force"]
        found = [beside_published(one.kept.value) for one in lines]
        return LaboratoryOverview(
            precisions=tuple(lines),
            beside=tuple(one for one in found if one is not None),
            rounds=scored_rounds(reading),
            materials=tuple(one for one in material_sheets(reading) if not one.material.value.retired),
            due=tuple(due_verifications(reading, at)),
            instruments=dict(names_of_instruments(reading)),
        )
