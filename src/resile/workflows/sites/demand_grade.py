"""One question (site, climate, specification, models) to one grade; asked again for every what-if."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.compute.site.demand import end_demand
from resile.compute.site.reliability import STEP_TOLERANCE_C
from resile.judge.grades.grade_claim import full_grade_label
from resile.judge.rules.traffic import judge_traffic
from resile.records.climate import Climate
from resile.records.site import EndDemand, Site
from resile.records.specification import ServiceClass, Specification
from resile.records.traffic_rule import RoundedQuantile, TrafficAnswer, TrafficRule

_NO_CLASS = ServiceClass("", "", 0)


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of whom.

    Attributes
    ----------
    site, climate, specification, rule
        Road, air, rule set, and how traffic enters (None where it does not).
    high_model, low_model : str
        Pavement models.
    rounded : tuple of RoundedQuantile
        Quantiles as people round them.
    with_chances : bool
        Whether the probability of each step is asked for.
    """

    site: Site
    climate: Climate
    specification: Specification
    rule: TrafficRule | None
    high_model: str
    low_model: str
    rounded: tuple[RoundedQuantile, ...] = ()
    with_chances: bool = True


@dataclass(frozen=True, slots=True)
class Answer:
    """The grade and what it is made of.

    Attributes
    ----------
    high, low : EndDemand
        Both ends, before traffic.
    traffic : TrafficAnswer or None
        What traffic asks for; None where none was given or no rule applies.
    high_step_c : float or None
        High temperature of the grade, raised for traffic where that is the rule [°C].
    low_steps_c : tuple of float
        Low steps there are beside it [°C].
    grade : str
        As the specification writes it; empty where none reaches.
    also_covering : tuple of Covering
        Other grades that cover both ends, and of which neither end could be milder; narrowest first.
    """

    high: EndDemand
    low: EndDemand
    traffic: TrafficAnswer | None
    high_step_c: float | None
    low_steps_c: tuple[float, ...]
    grade: str
    also_covering: tuple[Covering, ...] = ()


@dataclass(frozen=True, slots=True)
class Covering:
    """A grade that covers both ends.

    Attributes
    ----------
    high_c, low_c : float
        Its temperatures [°C].
    grade : str
        As the specification writes it.
    """

    high_c: float
    low_c: float
    grade: str

    @property
    def span_c(self) -> float:
        """Temperatures between its ends [°C]."""
        return self.high_c - self.low_c


@dataclass(frozen=True, slots=True)
class ModelAnswer:
    """What another model comes to.

    Attributes
    ----------
    model : str
        Its name.
    ends : tuple of EndDemand
        The ends it gives.
    grade : str
        Grade with these ends, the others by the model that was chosen; empty where none reaches.
    """

    model: str
    ends: tuple[EndDemand, ...]
    grade: str


def answer_question(question: Question) -> Answer:
    """Find the grade.

    Parameters
    ----------
    question : Question
        What is asked.

    Returns
    -------
    Answer
        The grade, empty where no step reaches.

    Notes
    -----
    A specification pairs each high step with low steps of its own. Of the grades whose both ends cover, the
    one with the narrowest span from low to high is named: it asks least of the binder; of equal spans the
    one with the milder high end. No document gives a rule for this; own rule.
    """
    site, rules = question.site, question.specification
    high = _end(question, "high", rules.high_temperatures_c)
    traffic = None
    if site.traffic is not None and question.rule is not None:
        traffic = judge_traffic(site.traffic, question.rule)
    least = _raised(high.step_c, traffic.steps if traffic else 0, rules)
    service = _service_class(traffic, rules)
    covering = _covering(question, least, service)
    raised = covering[0].high_c if covering else least
    lows = rules.low_temperatures_c.get(raised, ()) if raised is not None else ()
    if raised is None:
        lows = tuple(sorted({low for own in rules.low_temperatures_c.values() for low in own}, reverse=True))
    low = _end(question, "low", lows)
    return Answer(
        high,
        low,
        traffic,
        raised,
        tuple(lows),
        _label(rules, raised, low.step_c, service),
        covering[1:],
    )


def _covering(question: Question, least_c: float | None, service: ServiceClass) -> tuple[Covering, ...]:
    """Give the grades that cover both ends, best first, without those another one undercuts at both ends."""
    rules = question.specification
    if least_c is None or not rules.low_temperatures_c:
        return ()
    design_c = _end(replace(question, with_chances=False), "low", ()).design_c
    found: list[Covering] = []
    for high_c in (step for step in sorted(rules.high_temperatures_c) if step >= least_c):
        enough = [
            low for low in rules.low_temperatures_c.get(high_c, ()) if low <= design_c + STEP_TOLERANCE_C
        ]
        low_c = max(enough, default=None)
        if low_c is not None and all(low_c > other.low_c for other in found):
            found.append(Covering(high_c, low_c, _label(rules, high_c, low_c, service)))
    return tuple(sorted(found, key=lambda one: (one.span_c, one.high_c)))


def _end(question: Question, end: str, steps_c: tuple[float, ...]) -> EndDemand:
    site = question.site
    reliability = site.reliability_of(end)
    return end_demand(
        question.climate,
        model=question.high_model if end == "high" else question.low_model,
        end=end,
        depth_mm=site.depth_mm,
        reliability_percent=reliability,
        steps_c=steps_c,
        with_chances=question.with_chances,
        rounded_quantiles=[q.z for q in question.rounded if q.reliability_percent == reliability],
    )


def _raised(step_c: float | None, by: int, rules: Specification) -> float | None:
    if step_c is None:
        return None
    steps = rules.high_temperatures_c
    place = steps.index(step_c) + by
    return steps[place] if place < len(steps) else None


def _service_class(traffic: TrafficAnswer | None, rules: Specification) -> ServiceClass:
    named = traffic.service_class if traffic else ""
    return next((one for one in rules.classes if one.name == named), _NO_CLASS)


def _label(rules: Specification, high: float | None, low: float | None, service: ServiceClass) -> str:
    if high is None or (low is None and rules.low_temperatures_c):
        return ""
    if not rules.full_label or low is None:
        return rules.label.format(temperature=f"{high:g}", service_class=service.name)
    return full_grade_label(rules, high, service, low)
