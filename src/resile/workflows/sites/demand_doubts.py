"""What there is to doubt about a demand, as measures; thresholds and words are in "
"``findings/climate.toml``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from resile.compute.site.models import MODELS, PavementModel
from resile.judge.wording import number_words
from resile.records.finding import Measure
from resile.records.site import EndDemand
from resile.workflows.sites.demand_grade import Answer, ModelAnswer, Question


def demand_measures(question: Question, answer: Answer, others: Sequence[ModelAnswer]) -> tuple[Measure, ...]:
    """Measure what may be doubted of a demand.

    Parameters
    ----------
    question, answer
        What was asked and found.
    others : sequence of ModelAnswer
        What the other models come to.

    Returns
    -------
    tuple of Measure
        For `judge_measures` with the rules of ``findings/climate.toml``.
    """
    ends = (answer.high, answer.low)
    found = [
        *_without_step(answer),
        *_flips(question, answer),
        *_apart(question, answer, others),
        *_edge(question, answer),
        *_few_years(question, ends),
        *_traffic(question, answer),
    ]
    for end in ends:
        found += _model(question, end)
    return tuple(_worst_of_each(found))


def _without_step(answer: Answer) -> Iterable[Measure]:
    low_known = answer.low.step_c is not None or not answer.low_steps_c
    missing = []
    if answer.high_step_c is None:
        raised = (
            f", raised by {answer.traffic.steps} for traffic"
            if answer.traffic and answer.traffic.steps
            else ""
        )
        missing.append(f"the high end ({number_words(round(answer.high.design_c, 1))} °C{raised})")
    if not low_known:
        missing.append(
            f"the low end ({number_words(round(answer.low.design_c, 1))} °C) beside this high grade"
        )
    yield Measure("ends_without_step", float(len(missing)), "", " and ".join(missing))


def _flips(question: Question, answer: Answer) -> Iterable[Measure]:
    told = []
    for end, steps in (
        (answer.high, question.specification.high_temperatures_c),
        (answer.low, answer.low_steps_c),
    ):
        if end.textbook_step_c is None or not steps:
            continue
        sign = 1.0 if end.end == "high" else -1.0
        for rounded in question.rounded:
            design = end.mean_c + sign * rounded.z * end.sd_c
            if rounded.reliability_percent == question.site.reliability_of(end.end) and not _same_step(
                design, end, steps
            ):
                told.append(
                    f"With {rounded.words} the {end.end} end is {number_words(design, figures=4)} °C "
                    "and needs "
                    f"{number_words(end.textbook_step_c)}; with the exact "
                    f"{number_words(end.quantile, figures=5)} it is "
                    f"{number_words(end.design_c, figures=4)} °C and needs "
                    f"{number_words(end.step_c) if end.step_c is not None else 'a step that does not exist'}"
                )
                break
    yield Measure("quantile_flips", float(len(told)), "", "; ".join(told))


def _same_step(design: float, end: EndDemand, steps: Sequence[float]) -> bool:
    sign = 1.0 if end.end == "high" else -1.0
    covering = [step for step in steps if sign * step >= sign * design - 1e-9]
    mildest = min(covering, key=lambda step: sign * step, default=None)
    return mildest == end.step_c


def _apart(question: Question, answer: Answer, others: Sequence[ModelAnswer]) -> Iterable[Measure]:
    """Hold the verified models against the chosen one: an unverified one is shown, but proves no doubt.

    Only what makes another grade counts: a step that differs at one end may be covered all the same.
    """
    own = {end.end: end for end in (answer.high, answer.low)}
    told, widest = [], 0.0
    for other in others:
        if not MODELS[other.model].verified or other.grade == answer.grade:
            continue
        widest = max([widest, *(abs(end.design_c - own[end.end].design_c) for end in other.ends)])
        where = "" if len(other.ends) == 2 else f" at the {other.ends[0].end} end"
        told.append(f"{other.grade or 'more than there is'} by {other.model}{where}")
    chosen = " and ".join(dict.fromkeys((question.high_model, question.low_model)))
    words = f"{answer.grade or 'more than there is'} by {chosen}, as taken here; {'; '.join(told)}"
    yield Measure("models_apart_c", widest, "°C", words)


def _edge(question: Question, answer: Answer) -> Iterable[Measure]:
    """Give the distance of the design temperatures from the nearest step, on either side."""
    near: list[tuple[float, str]] = []
    for end, steps in (
        (answer.high, question.specification.high_temperatures_c),
        (answer.low, answer.low_steps_c),
    ):
        for step in steps:
            distance = abs(end.design_c - step)
            side = "covers it with" if step == end.step_c else "misses it by"
            near.append(
                (
                    distance,
                    f"The {end.end} end, {number_words(round(end.design_c, 2), figures=4)} °C, lies "
                    "on the edge of a step: "
                    f"{number_words(step)} {side} {number_words(round(distance, 2), figures=2)} °C"
                    f"{' to spare' if step == end.step_c else ''}.",
                )
            )
    if near:
        distance, words = min(near)
        yield Measure("edge_c", distance, "°C", words)


def _few_years(question: Question, ends: Sequence[EndDemand]) -> Iterable[Measure]:
    for end in ends:
        wanted = question.site.reliability_of(end.end)
        chance = next((one for one in end.chances if one.step_c == end.step_c), None)
        if chance is None or chance.probability_few_years is None:
            continue
        short = wanted - 100.0 * chance.probability_few_years
        years = question.climate.high if end.end == "high" else question.climate.low
        count = years.n_years if years else 0
        yield Measure(
            "few_years_short_percent",
            short,
            "%",
            f"With only {count} years behind it, {number_words(chance.step_c)} at the {end.end} end "
            "is enough with "
            f"{100.0 * chance.probability_few_years:.1f} %, not the {number_words(wanted)} % asked for.",
        )


def _traffic(question: Question, answer: Answer) -> Iterable[Measure]:
    site, rule = question.site, question.rule
    lowest = min(site.reliability_of("high"), site.reliability_of("low"))
    yield Measure("reliability_percent", lowest, "%")
    if site.traffic is None:
        if rule is not None:
            words = (
                "the grade stands without its traffic class, and only its temperatures count"
                if rule.gives == "class"
                else "the high end is that of the climate alone, not raised for heavy or slow traffic"
            )
            yield Measure("traffic_absent", 1.0, "", words)
        return
    yield Measure("million_axle_loads", site.traffic.axle_loads / 1e6)
    yield Measure("traffic_unused", float(rule is None), "", question.specification.identifier)
    if site.traffic.speed_assumed and rule is not None:
        yield Measure("speed_absent", rule.slow_up_to_kmh, "km/h")
    if answer.traffic is not None and answer.traffic.consider_more:
        yield Measure("raising_to_consider", 1.0)


def _model(question: Question, end: EndDemand) -> Iterable[Measure]:
    model = MODELS[end.model]
    yield Measure("model_unverified", float(not model.verified), "", model.name)
    yield Measure(
        "model_without_scatter", float(end.sd_c == 0.0 and model.name == "latitude-offset"), "", model.name
    )
    yield from _region(model, question.climate.latitude_deg)
    if model.deepest_mm is not None:
        yield Measure(
            "depth_outside_mm",
            max(0.0, end.depth_mm - model.deepest_mm),
            "mm",
            f"{number_words(end.depth_mm)} mm is deeper than the model '{model.name}' reaches, "
            f"some {number_words(model.deepest_mm)} mm.",
        )


def _region(model: PavementModel, latitude_deg: float) -> Iterable[Measure]:
    if model.latitude_deg is None:
        return
    south, north = model.latitude_deg
    yield Measure(
        "latitude_outside_deg",
        max(0.0, south - latitude_deg, latitude_deg - north),
        "°",
        f"Latitude {number_words(latitude_deg, figures=4)}° lies outside {number_words(south)}° to "
        f"{number_words(north)}°, where the model "
        f"'{model.name}' comes from: {model.validity}.",
    )


def _worst_of_each(measures: Sequence[Measure]) -> Iterable[Measure]:
    """Keep the greatest of measures that both ends have: one rule looks at one number."""
    kept: dict[str, Measure] = {}
    for measure in measures:
        if measure.name not in kept or measure.value > kept[measure.name].value:
            kept[measure.name] = measure
    return kept.values()
