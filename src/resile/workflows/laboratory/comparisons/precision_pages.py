"""A proposal and a kept own precision as their pages show them."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.laboratories.beside import PrecisionBeside
from resile.records.register import Actor, Kept, OwnPrecision
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratories.own_precision import precision_to_keep
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.comparisons.beside import beside_published
from resile.workflows.laboratory.comparisons.proposing import Proposal, Question, propose
from resile.workflows.laboratory.samples.named import person_name


@dataclass(frozen=True, slots=True)
class ProposalPage:
    """A proposal with what its page shows beside it.

    Attributes
    ----------
    proposal : Proposal
        What the record says.
    beside : PrecisionBeside or None
        Beside what is published, at the middle of its values.
    """

    proposal: Proposal
    beside: PrecisionBeside | None


@dataclass(frozen=True, slots=True)
class PrecisionSheet:
    """A kept own precision.

    Attributes
    ----------
    kept : Kept of OwnPrecision
        As it stands.
    history : tuple of (Kept of OwnPrecision, str)
        Every revision with the name of its author, the newest first.
    beside : PrecisionBeside or None
        Beside what is published.
    """

    kept: Kept[OwnPrecision]
    history: tuple[tuple[Kept[OwnPrecision], str], ...]
    beside: PrecisionBeside | None


def proposal_page(record: LaboratoryRecord, actor: Actor, question: Question) -> ProposalPage:
    """Give a proposal with its components and the published precision.

    Raises
    ------
    PermissionRefusedError, InputError
        As `propose`.
    """
    proposal = propose(record, actor, question)
    beside = beside_published(precision_to_keep(proposal.found))
    return ProposalPage(proposal, beside)


def precision_sheet(record: LaboratoryRecord, actor: Actor, key: str) -> PrecisionSheet:
    """Give one own precision with its history.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for this person, or there is none.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        kept = reading.get(OwnPrecision, key)
        history = reading.history(OwnPrecision, key)
        told = tuple((one, person_name(reading, one.by)) for one in reversed(history))
    return PrecisionSheet(kept, told, beside_published(kept.value))
