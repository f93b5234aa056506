"""Roads and ranges of the record brought together: who serves whom, and what a binder does on a road."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from resile.errors import InputError, MeasurementError
from resile.records.choice import SiteNeed
from resile.records.finding import Finding
from resile.records.prediction import Standing
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.offer import SiteRow
from resile.workflows.choosing.needs import with_demands
from resile.workflows.choosing.task import Match, match_sites, weather_of
from resile.workflows.handed_in import from_outside
from resile.workflows.judging.agreement import agree
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.offer.ranges import range_of
from resile.workflows.laboratory.offer.sites_seen import KeptSite, list_sites, site_of, sites_of
from resile.workflows.predictions.predicting import predict_results
from resile.workflows.predictions.prediction import REQUIRED_PROBABILITY
from resile.workflows.predictions.shown import Prediction
from resile.workflows.sites.site_demand import DemandReport, site_demand
from resile.workflows.sites.site_demands import MOST_WITH_WHAT_IF, SiteDemands, Told

DECISION_RULE = "simple"
UNCERTAINTY_BASIS = "reproducibility"


@dataclass(frozen=True, slots=True)
class MatchQuestion:
    """What is asked of a range and of roads.

    Attributes
    ----------
    range_key : str
        Key of the range.
    sites : tuple of str or None
        Keys of the roads; None for all.
    specification : str
        By which grades are compared; that of most of the roads where empty.
    required_probability : float
        How sure a binder must be where it was not tested.
    without : tuple of str
        Binders that cannot be had.
    prices : mapping of str to float
        Other prices per tonne.
    with_uncertainty : bool
        Ask the probability of measured results too.
    """

    range_key: str
    sites: tuple[str, ...] | None = None
    specification: str = ""
    required_probability: float = REQUIRED_PROBABILITY
    without: tuple[str, ...] = ()
    prices: Mapping[str, float] | None = None
    with_uncertainty: bool = False


@dataclass(frozen=True, slots=True)
class ServedRoad:
    """One road and the cheapest binder that serves it.

    Attributes
    ----------
    row : SiteRow
        The road.
    grade : str
        Grade it needs by the specification that is matched.
    binder, under : str
        The binder, and the label under which it serves; empty where nobody does.
    tested : bool
        Whether all that the label asks was measured.
    probability : float or None
        That it holds, with the uncertainty of measured results; None where not known.
    cost : float or None
        For what the road takes, in the currency of the range.
    spare_heat_c, spare_cold_c : float or None
        How much hotter, and how much colder, the label reaches than is to be covered [°C].
    others : int
        How many further binders would serve.
    """

    row: SiteRow
    grade: str
    binder: str
    under: str
    tested: bool
    probability: float | None
    cost: float | None
    spare_heat_c: float | None
    spare_cold_c: float | None
    others: int


@dataclass(frozen=True, slots=True)
class KeptMatch:
    """A match of what the record holds.

    Attributes
    ----------
    match : Match
        The choice.
    rows : tuple of SiteRow
        The roads, in the same order.
    """

    match: Match
    rows: tuple[SiteRow, ...]

    @property
    def served(self) -> tuple[ServedRoad, ...]:
        """Road by road: the cheapest binder that serves, by how much, or what stands in the way."""
        offers = {one.grade: one for one in self.match.choice.grades}
        labels = {one.label: one for one in self.match.standings.grades}
        found = []
        for row, need, chosen in zip(
            self.rows, self.match.choice.sites, self.match.choice.chosen, strict=True
        ):
            asked = offers.get(need.grade)
            offer = next((one for one in asked.offers if one.binder == chosen), None) if asked else None
            under = labels.get(offer.under) if offer else None
            cost = None if offer is None or offer.price_per_tonne is None else offer.price_per_tonne
            found.append(
                ServedRoad(
                    row=row,
                    grade=need.grade,
                    binder=chosen,
                    under=offer.under if offer else "",
                    tested=offer is not None and offer.standing is Standing.MEASURED_PASS,
                    probability=offer.probability if offer else None,
                    cost=None if cost is None else cost * need.amount_t,
                    spare_heat_c=_spare(under.high_temperature_c if under else None, row.high_design_c, 1.0),
                    spare_cold_c=_spare(under.low_temperature_c if under else None, row.low_design_c, -1.0),
                    others=len(asked.serving) - 1 if asked and offer else 0,
                )
            )
        return tuple(found)


def match_kept(
    record: LaboratoryRecord, actor: Actor, question: MatchQuestion, *, told: Told | None = None
) -> KeptMatch:
    """Choose a binder of a range that is kept for roads that are kept.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    question : MatchQuestion
        Range, roads, rules, what is supposed.
    told : callable, optional
        Is told how many roads are gathered, and of how many; what it raises stops the work.

    Returns
    -------
    KeptMatch
        As `resile.workflows.choosing.task.match_sites`.

    Raises
    ------
    InputError
        Where there is no road, or a binder or number cannot be used.
    """
    require(actor, "offer.see")
    binders = range_of(record, actor, question.range_key).binders
    rows = list_sites(record, actor, question.sites)
    if not rows:
        raise InputError("there is no road to match; work out what a road needs first")
    specification = question.specification or _usual([row.specification for row in rows])
    with from_outside():
        needs, demands, findings = _needs(record, actor, rows, specification, told)
        match = match_sites(
            needs,
            binders,
            agree(specification, decision_rule=DECISION_RULE, uncertainty_basis=UNCERTAINTY_BASIS),
            required_probability=question.required_probability,
            without=question.without,
            prices=question.prices,
            measured_with_uncertainty=question.with_uncertainty,
        )
    choice = replace(match.choice, findings=(*findings, *match.choice.findings))
    sources = (*weather_of(demands), *match.sources) if demands else match.sources
    return KeptMatch(replace(match, choice=choice, sources=sources, demands=demands), tuple(rows))


@dataclass(frozen=True, slots=True)
class RoadPrediction:
    """What a binder would show on a road.

    Attributes
    ----------
    site, grade : str
        Name of the road, and the grade it needs.
    binder : str
        Name of the binder.
    step_c, design_c : float or None
        High temperature of the grade before traffic raises it, and the heat to be covered [°C].
    prediction : Prediction
        At both.
    """

    site: str
    grade: str
    binder: str
    step_c: float | None
    design_c: float
    prediction: Prediction


def predict_on_road(
    record: LaboratoryRecord, actor: Actor, range_key: str, binder: str, site_key: str, *, kind: str = ""
) -> RoadPrediction:
    """Say what a binder of a range would show in the heat of a road.

    Parameters
    ----------
    record, actor
        As in `match_kept`.
    range_key, binder, site_key : str
        Key of the range, name of the binder in it, key of the road.
    kind : str
        Kind of binder whose published slope stands in where one temperature was tested; that of the range
        where empty.

    Returns
    -------
    RoadPrediction
        As `resile.workflows.predictions.predicting.predict` gives it for these results.

    Raises
    ------
    InputError
        Where nothing can be said, with what is needed.
    """
    require(actor, "offer.see")
    binders = range_of(record, actor, range_key)
    found = binders.binder(binder)
    site = site_of(record, actor, site_key)
    demand = site.demand
    asked = dict.fromkeys(one for one in (demand.high.step_c, demand.high.design_c) if one is not None)
    try:
        with from_outside():
            prediction = predict_results(
                found.determinations,
                tuple(asked),
                specification=demand.specification,
                kind=kind or found.kind or None,
                where=found.name,
            )
    except InputError as error:
        heat = " or ".join(f"{one:.1f} °C" for one in asked)
        unanswered = MeasurementError if isinstance(error, MeasurementError) else InputError
        raise unanswered(
            f"{error}. {demand.site.name} asks for {heat}: test the binder nearer to it"
        ) from None
    invented = site.kept.value.invented or binders.kept.value.invented
    told = Prediction(prediction.samples, invented=invented)
    return RoadPrediction(
        demand.site.name, demand.grade, found.name, demand.high.step_c, demand.high.design_c, told
    )


def _spare(reached: float | None, wanted: float | None, sign: float) -> float | None:
    return None if reached is None or wanted is None else sign * (reached - wanted)


def _usual(names: Sequence[str]) -> str:
    return max(dict.fromkeys(names), key=list(names).count)


def _needs(
    record: LaboratoryRecord, actor: Actor, rows: Sequence[SiteRow], specification: str, told: Told | None
) -> tuple[Sequence[SiteNeed], SiteDemands | None, tuple[Finding, ...]]:
    """Give what the roads need: with their whole demands where they are few enough to be read by somebody."""
    plain = [_need(row) for row in rows]
    foreign = {row.key for row in rows if row.specification != specification}
    wanted = [row.key for row in rows] if len(rows) <= MOST_WITH_WHAT_IF else sorted(foreign)
    found = {}
    for done, site in enumerate(sites_of(record, actor, wanted)):
        if told is not None:
            told(done, len(rows))
        key = site.kept.key
        found[key] = _asked_by(site, specification) if key in foreign else site.report
    if len(found) == len(rows):
        demands = SiteDemands(tuple(found[row.key] for row in rows))
        needs, findings = with_demands([replace(need, grade="") for need in plain], demands)
        return needs, demands, findings
    named = zip(rows, plain, strict=True)
    return (
        [
            replace(need, grade=found[row.key].demand.grade) if row.key in found else need
            for row, need in named
        ],
        None,
        (),
    )


def _asked_by(site: KeptSite, specification: str) -> DemandReport:
    """Ask a road again by another specification, from the climate that is kept."""
    return site_demand(
        site.demand.site,
        climate=site.demand.climate,
        specification=specification,
        model=site.question.settings.model,
        low_model=site.question.settings.low_model,
    )


def _need(row: SiteRow) -> SiteNeed:
    return SiteNeed(
        name=row.name,
        grade=row.grade,
        latitude_deg=row.latitude_deg,
        longitude_deg=row.longitude_deg,
        amount_t=1.0 if row.amount_t is None else row.amount_t,
    )
