"""What would become of the grade, were one thing different: each what-if is the same question asked again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from resile.compute.site.models import MODELS
from resile.errors import MeasurementError
from resile.judge.wording import number_words
from resile.records.climate import Climate, YearlyExtreme
from resile.records.site import Sensitivity, Traffic
from resile.workflows.sites.demand_grade import Answer, Question, answer_question

RELIABILITIES = (50.0, 90.0, 95.0, 98.0, 99.0)
DEPTHS_MM = (0.0, 50.0, 100.0)
"""Surface layer, and the tops of a binder and a base course as they are often built; no source."""


def sensitivities_of(question: Question, answer: Answer, life_years: float) -> tuple[Sensitivity, ...]:
    """Ask again with one thing different each time.

    Parameters
    ----------
    question, answer
        What was asked and found.
    life_years : float
        Life of the road, over which a drift of the climate is carried [a].

    Returns
    -------
    tuple of Sensitivity
        Reliability, depth, climate, traffic, model.
    """
    found = []
    for words, other in _changes(replace(question, with_chances=False), answer, life_years):
        try:
            grade = answer_question(other).grade
        except MeasurementError:
            continue
        found.append(Sensitivity(words, grade, grade != answer.grade))
    return tuple(found)


def _changes(question: Question, answer: Answer, life_years: float) -> Iterator[tuple[str, Question]]:
    site, climate = question.site, question.climate
    for percent in RELIABILITIES:
        if {percent} != {site.reliability_of("high"), site.reliability_of("low")}:
            at = " at both ends" if site.reliability_of("high") != site.reliability_of("low") else ""
            words = f"reliability {number_words(percent)} %{at} instead of {site.reliability_words}"
            both = replace(
                site,
                reliability_percent=percent,
                high_reliability_percent=None,
                low_reliability_percent=None,
            )
            yield words, replace(question, site=both)
    for depth in DEPTHS_MM:
        if depth != site.depth_mm and not (depth == 0.0 and site.depth_mm <= 20.0):
            where = (
                "the surface layer" if depth == 0.0 else f"a layer whose top is {number_words(depth)} mm deep"
            )
            yield where, replace(question, site=replace(site, depth_mm=depth))
    yield "air 1 °C warmer, summer and winter", replace(question, climate=shifted_climate(climate, 1.0, 1.0))
    yield (
        "air 1 °C colder, summer and winter",
        replace(question, climate=shifted_climate(climate, -1.0, -1.0)),
    )
    yield from _drift(question, life_years)
    yield from _traffic(question, answer)
    yield from _models(question)


def _drift(question: Question, life_years: float) -> Iterator[tuple[str, Question]]:
    climate = question.climate
    slopes = [e.trend_c_per_decade if e is not None else None for e in (climate.high, climate.low)]
    if slopes[0] is None and slopes[1] is None:
        return
    high, low = ((slope or 0.0) * life_years / 10.0 for slope in slopes)
    words = (
        f"drift of the record carried on for {number_words(life_years)} years "
        f"(summers {_signed(high)} °C, winters {_signed(low)} °C)"
    )
    yield words, replace(question, climate=shifted_climate(climate, high, low))


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−")


def _traffic(question: Question, answer: Answer) -> Iterator[tuple[str, Question]]:
    traffic, rule = question.site.traffic, question.rule
    if traffic is None or rule is None or answer.traffic is None:
        return
    site = question.site
    for factor, words in ((2.0, "twice the axle loads"), (0.5, "half the axle loads")):
        yield (
            words,
            replace(
                question, site=replace(site, traffic=replace(traffic, axle_loads=factor * traffic.axle_loads))
            ),
        )
    slower = {"free": (rule.slow_up_to_kmh, "slow"), "slow": (0.0, "standing")}.get(answer.traffic.speed)
    if slower is not None:
        speed, words = slower
        other = Traffic(traffic.axle_loads, speed)
        yield (
            f"{words} traffic instead of {answer.traffic.speed}",
            replace(question, site=replace(site, traffic=other)),
        )


def _models(question: Question) -> Iterator[tuple[str, Question]]:
    for name, model in MODELS.items():
        if not model.verified or name in (question.high_model, question.low_model):
            continue
        both = set(model.ends) == {"high", "low"}
        words = f"model {name}" if both else f"model {name} at the {model.ends[0]} end"
        yield (
            words,
            replace(
                question,
                high_model=name if "high" in model.ends else question.high_model,
                low_model=name if "low" in model.ends else question.low_model,
            ),
        )


def shifted_climate(climate: Climate, high_c: float, low_c: float) -> Climate:
    """Give the climate that is warmer at its ends by so much.

    Parameters
    ----------
    climate : Climate
        Of the site.
    high_c, low_c : float
        What is added to the mean of its hot and of its cold extreme [°C].

    Returns
    -------
    Climate
        Its years are left as they were.
    """
    decile = climate.monthly_decile_nine_c
    return replace(
        climate,
        high=_warmer(climate.high, high_c),
        low=_warmer(climate.low, low_c),
        monthly_decile_nine_c=None if decile is None else decile + high_c,
    )


def _warmer(extreme: YearlyExtreme | None, by_c: float) -> YearlyExtreme | None:
    return None if extreme is None else replace(extreme, mean_c=extreme.mean_c + by_c)
