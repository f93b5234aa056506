"""Everything that is watched of one product: charts together, margins, quick tests, sampling, loads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.surrogate import QuickTests
from resile.records.register import Actor, ControlWatch, Kept, Product
from resile.report.paper.models.model import Page
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.control.answers import ControlAnswer
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.control.margins import SeenMargin, margin_of
from resile.workflows.laboratory.control.moved import changes_of_charts, joint_chart, leads_back
from resile.workflows.laboratory.control.pictures import single_values
from resile.workflows.laboratory.control.quick import quick_tests_of
from resile.workflows.laboratory.control.reconciliation import Reconciled, reconciled
from resile.workflows.laboratory.control.remembered import remembered
from resile.workflows.laboratory.control.sampled import SampledProduct, sampling_of
from resile.workflows.laboratory.control.shown import LOOK, SeenChart, charts_of_product
from resile.workflows.laboratory.control.watches import watches_of


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductControl:
    """A product under control.

    Attributes
    ----------
    product : Kept of Product
        The product.
    seen : tuple of SeenChart
        Its charts that go on.
    margins : tuple of SeenMargin
        Capability and target, in the order of the charts.
    changes : dict of str to tuple of ChangePoint
        Changes of level by key of the chart, with what may have caused them.
    joint : ControlChart or None
        The properties together; None with the reason in `joint_refusal`.
    joint_refusal : str
        Why there is none.
    quick : QuickTests or None
        What quick tests say of the slow property; None with the reason in `quick_refusal`.
    quick_refusal : str
        Why there is none.
    sampling : SampledProduct or None
        None where no plan is in force.
    loads : Reconciled
        Its loads of the last year.
    """

    product: Kept[Product]
    seen: tuple[SeenChart, ...]
    margins: tuple[SeenMargin, ...]
    changes: dict[str, tuple[ChangePoint, ...]]
    joint: ControlChart | None
    joint_refusal: str
    quick: QuickTests | None
    quick_refusal: str
    sampling: SampledProduct | None
    loads: Reconciled

    @property
    def pages(self) -> dict[str, Page]:
        """Give the answers on paper: quick tests and sampling, where there are any."""
        found: dict[str, Page] = {}
        if self.quick:
            found["quick"] = ControlAnswer(self.quick).page(date="")
        if self.sampling and self.sampling.state:
            answer = ControlAnswer(self.sampling.state, product=self.sampling.product)
            found["sampling"] = answer.page(date="")
        return found

    @property
    def to_do(self) -> tuple[str, ...]:
        """What to do, a sentence each, the most urgent first."""
        return tuple(_to_do(self))


@dataclass(frozen=True, slots=True)
class ChartControl:
    """One chart with what follows from it.

    Attributes
    ----------
    seen : SeenChart
        The chart.
    margin : SeenMargin
        Capability and target.
    changes : tuple of ChangePoint
        Changes of level, with what may have caused them: the other charts of the product are looked at too.
    """

    seen: SeenChart
    margin: SeenMargin
    changes: tuple[ChangePoint, ...]


def product_control(record: LaboratoryRecord, actor: Actor, key: str, at: str) -> ProductControl:
    """Give everything that is watched of a product.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    key : str
        Key of the product.
    at : str
        The time, ISO 8601.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        return product_controlled(reading, key, at)


def product_controlled(
    reading: Reading, key: str, at: str, *, loads_since: str = "", until: str = ""
) -> ProductControl:
    """Give everything that is watched of a product, within a transaction.

    Parameters
    ----------
    reading, key, at
        As in `product_control`.
    loads_since : str
        First day of the loads; a year before where empty.
    until : str
        Last day that counts; empty for all.
    """
    product = reading.get(Product, key)
    kept = [one for one in watches_of(reading, key) if not one.value.ended]
    charts = charts_of_product(reading, key, kept, until=until)
    seen = charts.seen
    quick, refusal = remembered(
        ("quick tests", charts.state), lambda: quick_tests_of(charts.values, kept, charts.product)
    )
    joint, joint_refusal = remembered(("joint", charts.state), lambda: joint_chart(seen))
    since = loads_since or f"{int(at[:4]) - 1}{at[4:10]}"
    return ProductControl(
        product=product,
        seen=seen,
        margins=tuple(margin_of(reading, one, at) for one in seen),
        changes=remembered(("changes", charts.state), lambda: changes_of_charts(seen)),
        joint=joint,
        joint_refusal=joint_refusal,
        quick=quick,
        quick_refusal=refusal,
        sampling=sampling_of(reading, key, until or at[:10]),
        loads=reconciled(reading, product=key, since=since, until=until),
    )


def chart_controlled(record: LaboratoryRecord, actor: Actor, key: str, at: str) -> ChartControl:
    """Give one chart with capability, target and changes.

    Parameters
    ----------
    record, actor, at
        As in `product_control`.
    key : str
        Key of the chart.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        own = reading.get(ControlWatch, key)
        others = [one for one in watches_of(reading, own.value.product) if not one.value.ended]
        kept = [own, *(one for one in others if one.key != key)]
        charts = charts_of_product(reading, own.value.product, kept)
        changes = remembered(("changes", charts.state), lambda: changes_of_charts(charts.seen))
        return ChartControl(charts.seen[0], margin_of(reading, charts.seen[0], at), changes.get(key, ()))


def _to_do(found: ProductControl) -> list[str]:
    said = _looks(found)
    if found.sampling and found.sampling.state:
        urgent = [one.sentence for one in found.sampling.state.due if one.at_once]
        said = [*urgent, *said]
    wrong = [one for one in found.loads.misfits if one.weight == "wrong"]
    if wrong:
        more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
        said.append(f"Load {wrong[0].delivery.number}: {wrong[0].said}.{more} {wrong[0].action}")
    for one, margin in zip(found.seen, found.margins, strict=True):
        stated, target = margin.capability, margin.target
        if stated and target and _misses(stated.centre, target.target, target.watched.limit_is):
            said.append(
                f"{one.heading}: aim at {target.target:.3g} {target.watched.unit} "
                f"instead of {stated.centre:.3g}, "
                f"so that {100 * target.share:g} % of loads conform and pass."
            )
    return said


HOW_TO_LOOK = (
    "To look into a signal: test the retained sample again, then check the instrument and the residue, then "
    "tank, dose and base; write down what was found."
)
"""How signals are looked into; order of the trade notes on practice, from memory."""


def _looks(found: ProductControl) -> list[str]:
    """Say where to look; a cause that several charts suggest is told with the first of them."""
    said: list[str] = []
    told: set[str] = set()
    for one in found.seen:
        if one.state == LOOK:
            waits, cause, why = _look(one, found.changes.get(one.kept.key, ()))
            said.append(f"{waits}{f' The same cause fits: {cause}.' if cause and cause in told else why}")
            told.add(cause)
    return said


def _look(seen: SeenChart, changes: Sequence[ChangePoint]) -> tuple[str, str, str]:
    """Say which lots of a chart wait since when, and what the newest change of level suggests."""
    lots = seen.open_lots
    days = {one.label: one.when[:10] for one in seen.chart.points} if seen.chart else {}
    more = f" and {len(lots) - 1} before it" if len(lots) > 1 else ""
    since = f", waiting since {days[lots[0]]}" if len(lots) > 1 else f" of {days[lots[0]]}"
    told = f"{seen.heading}: look into lot {lots[-1]}{more}{since}."
    values = single_values(seen) or seen.chart
    back = [one for one in changes if values and leads_back(one, values)]
    newest = next((one for one in reversed(changes) if one.suggestions and one not in back), None)
    if newest is None or newest.latest[:10] < days[lots[0]]:  # the signals are younger than any change
        return told, "", ""
    unit = seen.chart.property.unit if seen.chart else ""
    since = next(
        (
            f" Back at the level of the set-up since {one.when[:10]}."
            for one in back
            if one.when > newest.when
        ),
        "",
    )
    verb = "drifted" if newest.kind == "drift" else "stepped"
    why = (
        f" It {verb} from {newest.before:.3g} to {newest.after:.3g}{f' {unit}' if unit else ''} about "
        f"{newest.when[:10]}, perhaps {newest.suggestions[0].kind}.{since} To confirm: "
        f"{_ended(newest.suggestions[0].test_to_confirm)}"
    )
    return told, newest.suggestions[0].kind, why


def _ended(words: str) -> str:
    return words if words.endswith(".") else f"{words}."


def _misses(centre: float, target: float, limit_is: str) -> bool:
    return centre > target if limit_is == "at_most" else centre < target
