"""What is worth watching of a product: what is tested on most lots, with the limit of its grade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import ResileError
from resile.judge.grades.grade_claim import parse_grade_claim
from resile.records.blending.limit import BlendLimit
from resile.records.register import Actor, ControlWatch, Product, Sample
from resile.specifications.load import load_specification
from resile.specifications.watching import usual_scale
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.production import ProducedValue, produced_values, products_with_results
from resile.storage.reading import Reading
from resile.workflows.blending.designing.limits import grade_limits
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.control.produced import (
    PropertyName,
    properties_in,
    results_of,
    unit_of,
)
from resile.workflows.laboratory.control.settled import settled
from resile.workflows.laboratory.control.watches import TypedWatch
from resile.workflows.sites.site_demand import DEFAULT_SPECIFICATION


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchProposal:
    """A chart that could be begun.

    Attributes
    ----------
    name : PropertyName
        The property.
    lots : int
        Lots with a result.
    typed : TypedWatch
        The form as it is proposed.
    why : tuple of str
        Why it is proposed so, a sentence each.
    watched : bool
        True where the property is on a chart already.
    """

    name: PropertyName
    lots: int
    typed: TypedWatch
    why: tuple[str, ...]
    watched: bool

    @property
    def unit(self) -> str:
        """Unit of the property."""
        return unit_of(self.name.quantity)


@dataclass(frozen=True, slots=True)
class ProductInUse:
    """A product that something was measured of.

    Attributes
    ----------
    key, name, grade : str
        Key, name, and grade under which it is sold.
    lots : int
        Samples tested.
    """

    key: str
    name: str
    grade: str
    lots: int


def products_in_use(record: LaboratoryRecord, actor: Actor) -> list[ProductInUse]:
    """Give the products that something was measured of, by name."""
    require(actor, "runs.see")
    with record.reading() as reading:
        return [ProductInUse(*row) for row in products_with_results(reading)]


def propose_watches(record: LaboratoryRecord, actor: Actor, product: str) -> list[WatchProposal]:
    """Say what is worth watching of a product.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    product : str
        Key of the product.

    Returns
    -------
    list of WatchProposal
        What has a limit in the grade first; properties of too few lots are left out.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        kept = reading.get(Product, product).value
        values = produced_values(reading, product)
        limits, of = limits_of_product(reading, product, kept)
        watches = [one.value for one in reading.find(ControlWatch, product=product) if not one.value.ended]
    found = [
        _proposal(product, name, values, limits, of, watches)
        for name, lots in properties_in(values).items()
        if lots >= settled()["fewest_lots"]
    ]
    return sorted(found, key=_order)


def limits_of_product(reading: Reading, product: str, kept: Product) -> tuple[tuple[BlendLimit, ...], str]:
    """Give the limits of the grade under which a product is sold, and the specification they are from.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product.
    kept : Product
        As kept.

    Returns
    -------
    tuple of (tuple of BlendLimit, str)
        Empty where no grade is said, or it is none of the specification.
    """
    newest = reading.find(Sample, product=product, order="received", falling=True, limit=1)
    asked = newest[0].value.asked.specification if newest else ""
    grade = kept.grade or (newest[0].value.claimed_grade if newest else "")
    if not grade:
        return (), ""
    try:
        specification = load_specification(asked or DEFAULT_SPECIFICATION)
        claim = parse_grade_claim(grade, specification)
        return grade_limits(specification, claim)[0], f"{claim.label}, {specification.identifier}"
    except ResileError:  # a name of the product's own, or a specification that is not here any more
        return (), ""


def _proposal(
    product: str,
    name: PropertyName,
    values: Sequence[ProducedValue],
    limits: Sequence[BlendLimit],
    of: str,
    watches: Sequence[ControlWatch],
) -> WatchProposal:
    results = results_of(values, name).results
    by_lot: dict[str, str] = {}
    for one in results:
        by_lot.setdefault(one.lot, one.taken[:10])
    days = list(by_lot.values())
    limit = next((one for one in limits if _limits(one, name)), None)
    log = usual_scale(name.quantity) == "log" and all(one.value > 0.0 for one in results)
    several = len(results) - len(by_lot) >= settled()["replicated_share"] * len(by_lot)
    set_up: int = settled()["set_up_lots"]
    ready = len(days) > set_up and days[set_up] > days[set_up - 1]
    why = [
        f"the limit is that of {of}" if limit else "the grade sets no limit for it at this temperature",
        "on a log scale: its scatter is a share of the value" if log else "on a linear scale",
        "most lots have replicates" if several else "one result a lot",
        f"the first {set_up} lots set the chart up"
        if ready
        else f"every lot so far sets the chart up; {set_up} lots make a set-up",
    ]
    return WatchProposal(
        name=name,
        lots=len(days),
        typed=TypedWatch(
            product=product,
            quantity=name.quantity,
            condition=name.condition.value,
            temperature_c="" if name.temperature_c is None else f"{name.temperature_c:g}",
            chart="mean-and-range" if several else "individuals",
            scale="log" if log else "linear",
            limit=f"{limit.value:.12g}" if limit else "",
            limit_is={"maximum": "at_most", "minimum": "at_least"}[limit.bound] if limit else "",
            baseline_since=days[0],
            baseline_until=days[set_up - 1] if ready else "",
        ),
        why=tuple(why),
        watched=any(_same(one, name) for one in watches),
    )


def _limits(limit: BlendLimit, name: PropertyName) -> bool:
    response = limit.response
    if (response.quantity, response.condition) != (name.quantity, name.condition) or limit.absolute:
        return False
    return _near(response.temperature_c, name.temperature_c)


def _same(watch: ControlWatch, name: PropertyName) -> bool:
    named = (watch.quantity, watch.condition) == (name.quantity, name.condition)
    return named and _near(watch.temperature_c, name.temperature_c)


def _near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    tolerance: float = settled()["temperature_tolerance_c"]
    return abs(one - other) <= tolerance


def _order(proposal: WatchProposal) -> tuple[int, int, str]:
    first: list[str] = settled()["first"]
    quantity = proposal.name.quantity
    place = first.index(quantity) if quantity in first else len(first)
    return (not proposal.typed.limit, place, proposal.name.title)
