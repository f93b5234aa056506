"""The answer of a demand in plain words, for a person who knows roads and not the laboratory."""

from __future__ import annotations

from resile.records.finding import Severity
from resile.records.site import EndDemand, SiteDemand
from resile.report.numbers import fixed, shown_step
from resile.report.paper.choosing.demand_tables import one_year_in


def demand_answer(demand: SiteDemand) -> tuple[str, tuple[str, ...]]:
    """Give the answer in one sentence, and what it means.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.

    Returns
    -------
    tuple of (str, tuple of str)
        First sentence; further ones.
    """
    site = demand.site
    layer = f", {site.layer}" if site.layer else ""
    if demand.grade:
        first = f"{site.name}{layer} needs {demand.grade} ({demand.specification})."
    else:
        first = f"{site.name}{layer}: no grade of {demand.specification} is enough."
    more = [_hot(demand), _cold(demand), _also(demand), _traffic(demand), _risk(demand)]
    heavy = [f.message for f in demand.findings if f.severity is not Severity.NOTE][:2]
    return first, (*(words for words in more if words), *heavy)


def _end_words(end: EndDemand, word: str, bound: str, reliability: float) -> str:
    where = f", {fixed(end.depth_mm, 0)} mm deep" if end.depth_mm else " at its surface"
    return (
        f"in the mean year the road reaches {fixed(end.mean_c, 0)} °C{where}; in {reliability:g} "
        "of 100 years "
        f"it stays {bound} {fixed(end.design_c, 1)} °C; {shown_step(end.step_c or 0.0)} is the "
        f"mildest {word} step "
        "that covers this."
    )


def _hot(demand: SiteDemand) -> str:
    if demand.grade_high_c is None or demand.high.step_c is None:
        return ""
    words = _end_words(demand.high, "hot", "at or below", demand.site.reliability_of("high"))
    raised = ""
    if demand.raised_by:
        steps = "one step" if demand.raised_by == 1 else f"{demand.raised_by} steps"
        raised = f" Traffic raises it by {steps} to {shown_step(demand.grade_high_c)}."
    paired = (
        f" No low end that the specification pairs with {shown_step(demand.high.step_c)} fits as closely, "
        f"so {shown_step(demand.grade_high_c)} is taken."
        if not demand.raised_by and demand.grade_high_c != demand.high.step_c
        else ""
    )
    return (
        f"{shown_step(demand.grade_high_c)} is the heat of the road, not of the air: {words}{raised}{paired}"
    )


def _cold(demand: SiteDemand) -> str:
    if demand.grade_low_c is None:
        return ""
    words = _end_words(demand.low, "cold", "at or above", demand.site.reliability_of("low"))
    return f"{shown_step(demand.grade_low_c)} is the cold of the road: {words}"


def _also(demand: SiteDemand) -> str:
    if not demand.also_covering:
        return ""
    return f"{' or '.join(demand.also_covering)} would cover this road too: ask for whichever is offered."


def _traffic(demand: SiteDemand) -> str:
    found = [words for words in demand.reasons if words.startswith("Traffic:")]
    return found[0] if found and demand.site.traffic is not None else ""


def _risk(demand: SiteDemand) -> str:
    told = []
    # Raised for traffic, the grade covers no hotter climate than its step before: the rest is for the loads.
    hot = demand.high.step_c if demand.raised_by else demand.grade_high_c
    for end, step, word in ((demand.high, hot, "hotter"), (demand.low, demand.low.step_c, "colder")):
        chance = next((one for one in end.chances if one.step_c == step), None)
        if chance is not None:
            told.append(f"{_years_in_words(1.0 - chance.probability)} is {word} than it covers")
    return f"With this grade {' and '.join(told)}." if told else ""


def _years_in_words(probability: float) -> str:
    if probability < 0.001:
        return "less than one year in 1000"
    return f"one year in {one_year_in(probability)}"


def change_words(before: SiteDemand, then: SiteDemand) -> tuple[str, ...]:
    """Say whether a grade stays or changes when something is supposed, and by what.

    Parameters
    ----------
    before, then : SiteDemand
        As it is, and as supposed; of one site under one specification.

    Returns
    -------
    tuple of str
        First whether the grade stays; then the temperatures to be covered, and the traffic.
    """
    if not then.grade:
        first = (
            f"No grade of {then.specification} would be enough; now it is {before.grade or 'none either'}."
        )
    elif then.grade == before.grade:
        first = f"The grade stays {then.grade}."
    else:
        first = f"The grade changes from {before.grade or 'none'} to {then.grade}."
    ends = tuple(
        f"The {word} to be covered is {_celsius(new.design_c)}"
        + (
            ", as now."
            if _celsius(new.design_c) == _celsius(old.design_c)
            else f"; now {_celsius(old.design_c)}."
        )
        for word, old, new in (("heat", before.high, then.high), ("cold", before.low, then.low))
    )
    classes = (before.service_class, then.service_class)
    traffic: tuple[str, ...] = ()
    if classes[0] != classes[1]:
        traffic = (f"The traffic class would be {classes[1] or 'none'} in place of {classes[0] or 'none'}.",)
    elif before.raised_by != then.raised_by:
        traffic = (
            f"Traffic would raise the high end by {then.raised_by} steps in place of {before.raised_by}.",
        )
    return first, *ends, *traffic


def _celsius(value: float) -> str:
    return f"{fixed(value, 1)} °C"
