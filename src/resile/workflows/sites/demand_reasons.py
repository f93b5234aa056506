"""The reasoning of a demand in sentences with its numbers, in the order a person thinks."""

from __future__ import annotations

from resile.compute.site.models import MODELS
from resile.judge.rules.traffic import SPEED_WORDS
from resile.judge.wording import number_words
from resile.records.climate import Climate, YearlyExtreme
from resile.records.site import EndDemand
from resile.workflows.sites.demand_grade import Answer, Question


def reasons_for(question: Question, answer: Answer) -> tuple[str, ...]:
    """Give the reasoning in sentences.

    Parameters
    ----------
    question, answer
        What was asked and found.

    Returns
    -------
    tuple of str
        Air, road at both ends, traffic, grade.
    """
    rules = question.specification
    grade = (
        f"Together: {answer.grade} by {rules.document} ({rules.edition or 'edition not stated'})."
        f"{_alternatives(question, answer)}"
        if answer.grade
        else f"No grade of {rules.document} covers this site."
    )
    sentences = [
        *_air(question.climate),
        _road(question, answer.high),
        _road(question, answer.low),
        _traffic(question, answer),
        grade,
    ]
    return tuple(sentence for sentence in sentences if sentence)


def _alternatives(question: Question, answer: Answer) -> str:
    """Say why this one of several grades that cover: nothing where there is no other."""
    if not answer.also_covering or answer.high_step_c is None or answer.low.step_c is None:
        return ""
    span = number_words(answer.high_step_c - answer.low.step_c)
    others = "; ".join(f"{one.grade} (span {number_words(one.span_c)} °C)" for one in answer.also_covering)
    return (
        f" It is the grade with the narrowest span from low to high ({span} °C) of those that cover both "
        "ends, and of equal spans the one with the milder high end (own rule). These cover as well: "
        f"{others}."
    )


def degrees(value: float, decimals: int = 1) -> str:
    """Give a temperature for a sentence, with a true minus sign."""
    shown = f"{value:.{decimals}f}"
    return f"{shown.replace('-', '−') if float(shown) else shown.lstrip('-')} °C"


def _air(climate: Climate) -> list[str]:
    found = []
    for extreme, words in (
        (climate.high, "hottest week of a year (mean of the daily maxima over seven days)"),
        (climate.low, "coldest day of a year (lowest daily minimum)"),
    ):
        if extreme is not None:
            found.append(_extreme_words(climate, extreme, words))
    return found


def _extreme_words(climate: Climate, extreme: YearlyExtreme, words: str) -> str:
    counted = climate.years and extreme.n_years
    span = f"{climate.years[0].label} to {climate.years[-1].label}, " if climate.years else ""
    basis = (
        f"over {extreme.n_years} years ({span}a year begins on {climate.year_begins})"
        if counted
        else f"as typed{f', from {extreme.n_years} years' if extreme.n_years else ''}"
    )
    return (
        f"Air: the {words} is {degrees(extreme.mean_c)} in the mean {basis}, "
        f"with a standard deviation of {degrees(extreme.sd_c)} from year to year."
    )


def _road(question: Question, end: EndDemand) -> str:
    site = question.site
    high = end.end == "high"
    sign = "+" if high else "−"
    where = f"{number_words(end.depth_mm)} mm deep" if end.depth_mm else "at its surface"
    scatter = f"standard deviation {degrees(end.sd_c, 2)}"
    if end.sd_c > end.weather_sd_c + 1e-9:
        scatter += f", of which the weather alone gives {degrees(end.weather_sd_c, 2)}"
    step = (
        f"the mildest {end.end} step that covers it is {number_words(end.step_c)}"
        if end.step_c is not None
        else f"no {end.end} step of the specification covers it"
        if _has_steps(question, end)
        else "the specification has no steps at this end"
    )
    return (
        f"Road, {'hottest' if high else 'coldest'}: by the model {end.model} ({MODELS[end.model].source}) "
        f"{degrees(end.mean_c)} in the mean year, {where}, with a {scatter}. For a reliability of "
        f"{number_words(site.reliability_of(end.end), figures=4)} % (z = {end.quantile:.4f}): "
        f"{degrees(end.mean_c, 2)} {sign} "
        f"{end.quantile:.4f} × {degrees(end.sd_c, 2)} = {degrees(end.design_c, 2)}; {step}."
    )


def _has_steps(question: Question, end: EndDemand) -> bool:
    return end.end == "high" or bool(question.specification.low_temperatures_c)


def _traffic(question: Question, answer: Answer) -> str:
    rule, asked = question.rule, answer.traffic
    if question.site.traffic is None or rule is None or asked is None:
        return "" if rule is None else "Traffic: none was given."
    traffic = question.site.traffic
    speed = "speed not given" if traffic.speed_assumed else f"{number_words(traffic.speed_kmh)} km/h"
    start = (
        f"Traffic: {number_words(traffic.axle_loads / 1e6)} million equivalent axle loads ({asked.band}), "
        f"{SPEED_WORDS[asked.speed]} ({speed})"
    )
    if rule.gives == "class":
        title = next((c.title for c in question.specification.classes if c.name == asked.service_class), "")
        return (
            f"{start}: class {asked.service_class} ({title}) by {rule.document}. The class stands for "
            "the traffic; "
            "the temperature of the grade is not raised as well."
        )
    if not asked.steps:
        return f"{start}: the high end is not raised, by {rule.document}."
    steps = "one step" if asked.steps == 1 else f"{asked.steps} steps"
    before, after = answer.high.step_c, answer.high_step_c
    words = (
        f" from {number_words(before)} to {number_words(after)}"
        if before is not None and after is not None
        else ""
    )
    return f"{start}: the high end is raised by {steps}{words}, by {rule.document}."
