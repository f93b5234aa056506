"""Check materials and checks as the pages list them."""

from __future__ import annotations

from dataclasses import dataclass

from resile.errors import RecordNotFoundError
from resile.records.register import Actor, Instrument, Kept
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.instruments_seen import DueVerification, due_verifications
from resile.workflows.laboratory.comparisons.check_materials import (
    MaterialSheet,
    material_sheets,
    names_of_instruments,
)


@dataclass(frozen=True, slots=True)
class ChecksSeen:
    """What stands on the page of checks.

    Attributes
    ----------
    sheets : tuple of MaterialSheet
        Every material with its newest checks.
    instruments : dict of str to str
        Names of all instruments, by key.
    offered : tuple of Kept of Instrument
        Instruments in use.
    due : tuple of DueVerification
        What is to be verified within two weeks.
    """

    sheets: tuple[MaterialSheet, ...]
    instruments: dict[str, str]
    offered: tuple[Kept[Instrument], ...]
    due: tuple[DueVerification, ...]

    @property
    def in_use(self) -> tuple[MaterialSheet, ...]:
        """Materials that are still used."""
        return tuple(one for one in self.sheets if not one.material.value.retired)


def checks_seen(record: LaboratoryRecord, actor: Actor, at: str) -> ChecksSeen:
    """Give check materials, their newest checks and what is due.

    Raises
    ------
    PermissionRefusedError
        For one who may not see results of the laboratory.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        return ChecksSeen(
            tuple(material_sheets(reading)),
            dict(names_of_instruments(reading)),
            tuple(reading.find(Instrument, retired=False, order="name")),
            tuple(due_verifications(reading, at)),
        )


def checks_of_material(
    record: LaboratoryRecord, actor: Actor, key: str
) -> tuple[MaterialSheet, dict[str, str]]:
    """Give one check material with its newest checks, and the names of the instruments.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for this person, or there is none.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        found = [one for one in material_sheets(reading) if one.material.key == key]
        if not found:
            raise RecordNotFoundError(f"the record holds no check material {key}")
        return found[0], dict(names_of_instruments(reading))
