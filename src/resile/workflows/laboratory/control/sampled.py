"""How often lots of a product are sampled: the plan in force, where it stands, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.errors import InputError, ResileError
from resile.records.control.sampling import SEVERITIES, LotOutcome, SamplingDue, SamplingState
from resile.records.register import Actor, Kept, Product, SamplingInForce
from resile.specifications.sampling import list_sampling_plans, load_sampling_plan
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.deliveries import list_deliveries
from resile.storage.lists.lots import ProducedLot, ProducedSample, produced_lots
from resile.storage.reading import Reading
from resile.workflows.control.sampling import sampling_now
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.control.deliveries import moment


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedSampling:
    """A plan put in force, as it was typed.

    Attributes
    ----------
    product, plan, since, severity, note : str
        As in `SamplingInForce`.
    """

    product: str = ""
    plan: str = ""
    since: str = ""
    severity: str = "normal"
    note: str = ""


@dataclass(frozen=True, slots=True)
class SampledProduct:
    """Where sampling of a product stands.

    Attributes
    ----------
    kept : Kept of SamplingInForce
        The plan in force.
    product : str
        Name of the product.
    state : SamplingState or None
        None where the plan cannot be used any more.
    refusal : str
        Why not.
    """

    kept: Kept[SamplingInForce]
    product: str
    state: SamplingState | None
    refusal: str = ""


@dataclass(frozen=True, slots=True)
class DueSample:
    """Something to do for sampling of a product.

    Attributes
    ----------
    key, product : str
        Key and name of the product.
    due : SamplingDue
        What to do, and why.
    """

    key: str
    product: str
    due: SamplingDue


def plan_choices() -> list[tuple[str, str]]:
    """Give identifier and title of every sampling plan that can be used."""
    return [(one.identifier, one.title) for one in list_sampling_plans() if not one.problem]


def put_in_force(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    typed: TypedSampling,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
    ended: bool = False,
) -> Kept[SamplingInForce]:
    """Put a sampling plan in force for a product, or change one that is.

    Parameters
    ----------
    record, actor, at
        The record, who decides, and when.
    typed : TypedSampling
        As it was typed.
    key, seen, reason
        Of the plan in force that is changed, as in `resile.storage.book.Book.keep`.
    ended : bool
        True where sampling by it ends.

    Raises
    ------
    ResileError
        Where the plan, the day or the severity cannot be used, or the product has a plan already.
    """
    require(actor, "control.write")
    load_sampling_plan(typed.plan)
    if typed.severity not in SEVERITIES:
        raise InputError(f"severity: '{typed.severity}' is not one of {', '.join(SEVERITIES)}")
    since = moment(typed.since, "in force since")
    with record.writing(by=actor.key, at=at) as book:
        book.get(Product, typed.product)
        running = [one for one in book.find(SamplingInForce, product=typed.product) if not one.value.ended]
        if running and not key:
            raise InputError(f"the product is sampled by {running[0].value.plan} already; change that one")
        before = book.get(SamplingInForce, key).value if key else None
        kept = SamplingInForce(
            product=typed.product,
            plan=typed.plan,
            since=since,
            severity=typed.severity,
            consented=before.consented if before else (),
            ended=((before.ended if before else "") or at[:10]) if ended else "",
            note=typed.note,
        )
        return book.keep(kept, key=key, seen=seen, reason=reason)


def agree_to_change(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, lot: str, *, seen: int, reason: str
) -> Kept[SamplingInForce]:
    """Agree to a milder severity after a lot, which the plan does not change to by itself.

    Parameters
    ----------
    record, actor, at
        The record, who agrees, and when.
    key, seen, reason
        Of the plan in force, as in `resile.storage.book.Book.keep`.
    lot : str
        Lot after which it holds.
    """
    require(actor, "control.write")
    with record.writing(by=actor.key, at=at) as book:
        before = book.get(SamplingInForce, key).value
        told = replace(before, consented=(*before.consented, lot))
        return book.keep(told, key=key, seen=seen, reason=reason)


def sampling_of(reading: Reading, product: str, today: str) -> SampledProduct | None:
    """Say where sampling of a product stands, within a transaction.

    Parameters
    ----------
    reading : Reading
        The record.
    product : str
        Key of the product.
    today : str
        Day, ISO 8601.

    Returns
    -------
    SampledProduct or None
        None where no plan is in force.
    """
    found = [one for one in reading.find(SamplingInForce, product=product) if not one.value.ended]
    if not found:
        return None
    kept, name = found[-1], reading.get(Product, product).value.name
    held = kept.value
    try:
        state = sampling_now(
            held.plan,
            lot_outcomes(reading, product, since=held.since, until=today),
            begins_at=held.severity,
            since=held.since,
            today=today[:10],
            consented=held.consented,
        )
    except ResileError as error:
        return SampledProduct(kept, name, None, str(error))
    return SampledProduct(kept, name, state)


def due_samples(reading: Reading, today: str) -> list[DueSample]:
    """Give what is due for sampling of every product, what does not wait first.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    today : str
        Day, ISO 8601.
    """
    products = {one.value.product for one in reading.find(SamplingInForce) if not one.value.ended}
    found = []
    for key in sorted(products):
        sampled = sampling_of(reading, key, today)
        if sampled and sampled.state:
            found += [DueSample(key, sampled.product, one) for one in sampled.state.due]
    return sorted(found, key=lambda one: not one.due.at_once)


def lot_outcomes(reading: Reading, product: str, *, since: str, until: str) -> list[LotOutcome]:
    """Give what became of the lots of a product, in order, those that left without a sample among them.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product.
    since, until : str
        First and last day.
    """
    lots = [one for one in produced_lots(reading, product, since=since) if one.taken[:10] <= until[:10]]
    known = {one.lot for one in produced_lots(reading, product)}
    unsampled: dict[str, str] = {}
    for load in list_deliveries(reading, product=product, since=since, until=until):
        if load.lot and load.lot not in known:
            unsampled[load.lot] = min(load.sent, unsampled.get(load.lot, load.sent))
    found = [(one.taken, _outcomes(one)) for one in lots]
    found += [(sent, [LotOutcome(lot=lot, opened=sent[:10])]) for lot, sent in unsampled.items()]
    return [outcome for _, outcomes in sorted(found, key=lambda one: one[0]) for outcome in outcomes]


def _outcomes(lot: ProducedLot) -> list[LotOutcome]:
    """Give the lot, and every further sample of it as an extra one; halves of a sample count once."""
    own = [one for one in lot.samples if not one.parent] or list(lot.samples)
    return [
        LotOutcome(
            lot=lot.lot,
            outcome=_outcome(one, lot.samples),
            opened=lot.taken[:10],
            taken=one.taken[:10],
            tank=lot.tank,
            quantity_t=lot.represents_t,
            extra=place > 0,
        )
        for place, one in enumerate(own)
    ]


def _outcome(sample: ProducedSample, every: Sequence[ProducedSample]) -> str:
    """Say what a sample, or the half of it that was tested, came to."""
    halves = [one for one in every if one.parent == sample.key]
    judged = [one for one in (sample, *halves) if one.outcome and one.outcome != "not tested"]
    if not judged:
        return "open"
    return "accepted" if all(one.complies or one.outcome == "pass" for one in judged) else "not accepted"
