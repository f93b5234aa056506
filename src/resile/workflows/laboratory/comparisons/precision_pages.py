"""A proposal and a kept own precision as their pages show them."""

from __future__ import annotations

from dataclasses import dataclass

from resile.errors import InputError, MeasurementError
from resile.records.laboratories import VarianceComponents
from resile.records.laboratories.beside import PrecisionBeside
from resile.records.register import Actor, Kept, OwnPrecision
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratories.components import components_of
from resile.workflows.laboratories.own_precision import precision_to_keep
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.comparisons.beside import beside_published
from resile.workflows.laboratory.comparisons.collecting import DuplicateValue
from resile.workflows.laboratory.comparisons.proposing import Proposal, Question, propose
from resile.workflows.laboratory.samples.named import person_name

_FACTORS = ("operator", "instrument", "day")


@dataclass(frozen=True, slots=True)
class ProposalPage:
    """A proposal with what its page shows beside it.

    Attributes
    ----------
    proposal : Proposal
        What the record says.
    beside : PrecisionBeside or None
        Beside what is published, at the middle of its values.
    components : VarianceComponents or None
        Where the scatter comes from.
    untold : str
        Why the record cannot tell; empty where it can.
    """

    proposal: Proposal
    beside: PrecisionBeside | None
    components: VarianceComponents | None
    untold: str


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
    components, untold = components_in(
        proposal.collected.values, question.quantity, relative=question.relative
    )
    beside = beside_published(precision_to_keep(proposal.found))
    return ProposalPage(proposal, beside, components, untold)


def components_in(
    values: tuple[DuplicateValue, ...], quantity: str, *, relative: bool
) -> tuple[VarianceComponents | None, str]:
    """Share out the scatter of duplicates among operators, instruments and days, as far as they vary.

    Parameters
    ----------
    values : tuple of DuplicateValue
        Of samples that were tested twice or more.
    quantity : str
        Name from the glossary.
    relative : bool
        Take each value over the mean of its sample, as a percentage; else less that mean.

    Returns
    -------
    VarianceComponents or None, str
        None, with the reason, where the record cannot tell the factors apart.
    """
    means: dict[tuple[str, str, float | None], list[float]] = {}
    for one in values:
        means.setdefault((one.sample, one.condition, _rounded(one.temperature_c)), []).append(one.value)
    scaled = []
    for one in values:
        own = means[one.sample, one.condition, _rounded(one.temperature_c)]
        mean = sum(own) / len(own)
        if relative and mean == 0.0:
            return None, "a mean of zero has no percentage"
        scaled.append(100.0 * one.value / mean if relative else one.value - mean)
    varying = [name for name in _FACTORS if len({getattr(one, name) for one in values}) > 1]
    if not varying:
        return None, "all duplicates are of one operator, one instrument and one day"
    factors = [(name, [getattr(one, name) or "not named" for one in values]) for name in varying]
    try:
        unit = "%" if relative else ""
        return components_of(scaled, factors, design="nested", quantity=quantity, unit=unit), ""
    except (InputError, MeasurementError) as error:
        return None, str(error)


def _rounded(temperature_c: float | None) -> float | None:
    return None if temperature_c is None else float(round(temperature_c))


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
