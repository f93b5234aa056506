"""What a site asks of a binder: climate, pavement model, reliability and traffic to a grade, with "
"the reasons.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.compute.site.demand import pavement_of_years
from resile.compute.site.models import MODELS
from resile.errors import InputError, MeasurementError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.records.climate import ENOUGH_DAYS, Climate
from resile.records.site import EndDemand, LayerDemand, Site, SiteDemand
from resile.records.specification import Specification
from resile.records.traffic_rule import RoundedQuantile, TrafficRule
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.load import load_specification
from resile.specifications.search import VARIABLE
from resile.specifications.traffic import load_rounded_quantiles, traffic_rule_of
from resile.version import __version__
from resile.workflows.sites.demand_doubts import demand_measures
from resile.workflows.sites.demand_grade import Answer, ModelAnswer, Question, answer_question
from resile.workflows.sites.demand_reasons import reasons_for
from resile.workflows.sites.demand_sensitivity import sensitivities_of
from resile.workflows.sites.site_climate import check_place, read_climate

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

DEFAULT_MODEL = "ltpp"
"""The only pair of equations published with its own standard error: a reliability then covers model and
weather, where the older pair covers the weather alone (and its low end is judged conservative)."""
DEFAULT_SPECIFICATION = "m332-2014"
NO_RULE = "none"


@dataclass(frozen=True, slots=True)
class DemandReport:
    """The demand of one site, that can show itself.

    Attributes
    ----------
    demand : SiteDemand
        Grade, reasons, what would change it, doubts.
    """

    demand: SiteDemand

    def to_json(self) -> dict[str, Any]:
        """Give the demand for machines."""
        from resile.report.machine.demand import demand_to_json

        return demand_to_json(self.demand)

    def to_terminal(self) -> Any:
        """Give the demand as a readable sheet."""
        from resile.report.terminal.demand import render_demand

        return render_demand(self.demand)

    def page(self, *, date: str) -> Page:
        """Give the demand sheet as texts and pictures ready to be set.

        Parameters
        ----------
        date : str
            Date of issue, YYYY-MM-DD.

        Returns
        -------
        Page
            For screen and paper.
        """
        from resile.report.paper.choosing.demand import demand_page
        from resile.workflows.sites.in_words import demand_in_words

        return demand_page(demand_in_words(self.demand), date=date, package_version=__version__)

    def write(self, targets: Iterable[str | Path], *, date: str) -> list[Path]:
        """Write the demand sheet to .html, .pdf or .xlsx files; the ending decides.

        Parameters
        ----------
        targets : iterable of str or Path
            Files.
        date : str
            Date of issue, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.
        """
        from resile.workflows.sites.demand_pages import write_demand

        return write_demand(self.demand, [Path(target) for target in targets], date=date)


def site_demand(
    site: Site,
    *,
    climate: Climate | None = None,
    specification: str | Path = DEFAULT_SPECIFICATION,
    model: str = DEFAULT_MODEL,
    low_model: str = "",
    traffic_rule: str | Path = "",
    layers: Sequence[tuple[str, float]] = (),
    life_years: float = 20.0,
    station: str = "",
    layout: Layout | None = None,
    temperature_unit: str = "",
    date_order: str = "",
    enough_days: int = ENOUGH_DAYS,
    what_if: bool = True,
) -> DemandReport:
    """Give the grade that a site needs under a specification, with the reasons.

    Parameters
    ----------
    site : Site
        Place, depth, reliability, traffic; `Site.weather` is read where no `climate` is given.
    climate : Climate, optional
        From `resile.workflows.sites.site_climate`; the record is then not read.
    specification : str or Path
        Name, or a file of one's own.
    model, low_model : str
        Pavement model; another one for the low end. Where a model has no such end, the default takes it.
    traffic_rule : str or Path
        Rule by which traffic enters; the one that belongs to the specification where empty, ``none`` for
        none. A rule that belongs to another specification is refused.
    layers : sequence of (str, float)
        Layers below: name and depth of the top [mm]; each gets a demand of its own.
    life_years : float
        Life of the road, over which a drift of the climate is carried [a].
    station, layout, temperature_unit, date_order, enough_days
        How the weather record is read, as in `resile.workflows.sites.site_climate.read_climate`.
    what_if : bool
        Whether it is worked out what would change the grade; without it thousands of sites go faster.

    Returns
    -------
    DemandReport
        The demand; its ``to_json`` holds all of it.

    Raises
    ------
    InputError, RecordNotFoundError, SpecificationError
        Says where, what was found and what is needed.
    """
    check_place(site.latitude_deg, site.longitude_deg)
    named = not any(str(one).endswith(".toml") for one in (specification, traffic_rule))
    # A file of one's own may be edited between two calls: it is read each time.
    load = _rules if named else _rules.__wrapped__
    rules, rule, rounded = load(str(specification), str(traffic_rule), os.environ.get(VARIABLE, ""))
    air = climate
    if air is None and site.weather is not None:
        air = read_climate(
            site.weather,
            latitude_deg=site.latitude_deg,
            longitude_deg=site.longitude_deg,
            name=site.name,
            station=station,
            layout=layout,
            temperature_unit=temperature_unit,
            date_order=date_order,
            enough_days=enough_days,
        )
    if air is None:
        raise InputError(
            f"{site.name}: needed is a daily weather record, or the mean and standard deviation of both "
            "yearly extremes of the air"
        )
    _refuse_missing(air)
    high_model, low_model = _models(model, low_model)
    question = Question(site, air, rules, rule, high_model, low_model, rounded)
    return DemandReport(_demand(question, layers, life_years, what_if))


@lru_cache(maxsize=8)
def _rules(
    specification: str, traffic_rule: str, search_path: str
) -> tuple[Specification, TrafficRule | None, tuple[RoundedQuantile, ...]]:
    """Load what is asked for once for each search path: thousands of sites are held against the same."""
    rules = load_specification(specification)
    rule = None if traffic_rule == NO_RULE else traffic_rule_of(rules.identifier, traffic_rule)
    return rules, rule, load_rounded_quantiles()


def _refuse_missing(air: Climate) -> None:
    """Refuse a climate that lacks an end, with what the record has of it."""
    for end, extreme, words in (
        ("high", air.high, "hottest week"),
        ("low", air.low, "coldest day"),
    ):
        if extreme is not None:
            continue
        needed = f"mean and standard deviation of the {words} (--air-{end}-mean-c, --air-{end}-sd-c)"
        if not air.years:
            raise InputError(f"{air.site}: the {end} end is not known; needed are {needed}")
        days = [y.days_with_maximum if end == "high" else y.days_with_minimum for y in air.years]
        fullest = air.years[days.index(max(days))].label
        raise InputError(
            f"{air.site}: no year has days enough for the {words}; the fullest, {fullest}, has {max(days)}. "
            f"Needed is a longer record, or {needed}, or fewer days a year (--enough-days)"
        )


def _models(model: str, low_model: str) -> tuple[str, str]:
    for name in (model, low_model or model):
        if name not in MODELS:
            raise MeasurementError(f"pavement model '{name}' is not known; known: {', '.join(MODELS)}")
    high = model if "high" in MODELS[model].ends else DEFAULT_MODEL
    low = low_model or (model if "low" in MODELS[model].ends else DEFAULT_MODEL)
    return high, low


def _demand(
    question: Question, layers: Sequence[tuple[str, float]], life_years: float, what_if: bool
) -> SiteDemand:
    site, climate, rules = question.site, question.climate, question.specification
    answer = answer_question(question)
    others = _others(question)
    measures = demand_measures(question, answer, others)
    findings = (*climate.findings, *judge_measures(measures, load_finding_rules("climate")))
    traffic = answer.traffic
    return SiteDemand(
        site=site,
        climate=climate,
        specification=rules.identifier,
        high=answer.high,
        low=answer.low,
        service_class=traffic.service_class if traffic else "",
        raised_by=traffic.steps if traffic else 0,
        grade=answer.grade,
        others=tuple(end for other in others for end in other.ends),
        reasons=reasons_for(question, answer),
        sensitivities=sensitivities_of(question, answer, life_years) if what_if else (),
        findings=findings,
        high_steps_c=rules.high_temperatures_c,
        low_steps_c=answer.low_steps_c,
        layers=tuple(_layer(question, name, depth) for name, depth in layers),
        traffic_rule=question.rule.identifier if question.rule and traffic else "",
        specification_sha256=rules.sha256,
        grade_high_c=answer.high_step_c,
        grade_low_c=answer.low.step_c,
        pavement_years=pavement_of_years(climate, answer.high, answer.low),
        also_covering=tuple(one.grade for one in answer.also_covering),
    )


def _others(question: Question) -> list[ModelAnswer]:
    """Give the ends by every other model that can be used here; one that lacks its input is left out."""
    found = []
    for name, model in MODELS.items():
        ends: list[EndDemand] = []
        asked = replace(
            question,
            with_chances=False,
            high_model=name if "high" in model.ends else question.high_model,
            low_model=name if "low" in model.ends else question.low_model,
        )
        try:
            answer = answer_question(asked)
        except MeasurementError:
            continue
        if "high" in model.ends and name != question.high_model:
            ends.append(answer.high)
        if "low" in model.ends and name != question.low_model:
            ends.append(answer.low)
        if ends:
            found.append(ModelAnswer(name, tuple(ends), answer.grade))
    return found


def _layer(question: Question, name: str, depth_mm: float) -> LayerDemand:
    site = replace(question.site, depth_mm=depth_mm, layer=name)
    answer: Answer = answer_question(replace(question, site=site))
    return LayerDemand(name, depth_mm, answer.high, answer.low, answer.grade)
