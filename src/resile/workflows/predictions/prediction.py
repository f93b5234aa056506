"""What a sample would show at temperatures it was not tested at, and which classes it would carry there."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from resile.errors import InputError
from resile.judge.findings import judge_measures
from resile.judge.grades.expectation import answer_words, next_test
from resile.judge.grades.selection import near
from resile.judge.results.results import results_from_determinations
from resile.judge.summaries.impossible import mark_impossible
from resile.records.determination import Determination, Result
from resile.records.finding import Finding, FindingRule, Measure, Severity
from resile.records.prediction import (
    AskedTemperature,
    Basis,
    ClassChance,
    ExpectedValue,
    SamplePrediction,
    Standing,
)
from resile.records.slope_prior import BinderKind
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.judging.agreement import Yardstick
from resile.workflows.judging.property_lines import (
    LOGARITHMIC,
    RECOVERIES,
    LineBasis,
    name_of_line,
    property_lines,
)
from resile.workflows.predictions.class_chances import class_chances, held_class
from resile.workflows.predictions.expected_values import REACH_C, expected_value, with_limit_temperatures

REQUIRED_PROBABILITY = 0.95
"""What counts as sure where nothing else is asked. Common practice, no source."""
RULES = "prediction"


def predict_sample(
    sample: str,
    determinations: Iterable[Determination],
    agreed: Yardstick,
    *,
    at_c: Sequence[float],
    kind: BinderKind | None = None,
    scatter: str | float = "precision",
    required_probability: float = REQUIRED_PROBABILITY,
    reach_c: float = REACH_C,
) -> SamplePrediction:
    """Predict the high-temperature properties and classes of one sample at other temperatures.

    Parameters
    ----------
    sample : str
        Name of the sample.
    determinations : iterable of Determination
        Of this sample: Jnr3.2, recovery at 3.2 kPa, rutting parameter; others do not take part.
    agreed : Yardstick
        As made by `resile.workflows.judging.agreement.agree`.
    at_c : sequence of float
        Temperatures asked for [°C].
    kind : BinderKind or None
        Gives a slope where one temperature was tested; without it nothing is predicted from one temperature.
    scatter : str or float
        What the scatter of one determination rests on: ``"precision"`` (published, single operator),
        ``"replicates"`` (about the line), or a coefficient of variation of one's own [%].
    required_probability : float
        What counts as sure, above 0.5 and below 1.
    reach_c : float
        Furthest a line is extended outside the tests [°C].

    Returns
    -------
    SamplePrediction
        Values with band, classes with probability, temperatures at the limits, the next test. A value that
        was measured at an asked temperature stands as measured.

    Raises
    ------
    InputError
        Where a temperature, the required probability or the reach cannot be used.

    Notes
    -----
    The band is for one more test of the same laboratory: line, scatter of a test, and a test temperature
    anywhere within the tolerance of the specification (rectangular, tolerance/√3).
    """
    _check(at_c, required_probability, reach_c)
    specification = agreed.specification
    standard_c = specification.temperature_tolerance_c / math.sqrt(3.0)
    rules = load_finding_rules(RULES)
    own = mark_impossible(determinations, agreed.checks)
    results = results_from_determinations(
        own,
        agreed.precision,
        agreed.retest_rule,
        basis=agreed.basis,
        budgets=agreed.budgets,
        own=agreed.own,
        tested=agreed.tested,
    )
    lines, findings = property_lines(results, LineBasis(agreed.precision, rules, scatter, kind))
    lines = tuple(
        with_limit_temperatures(
            line, specification, agreed.correlation, temperature_standard_c=standard_c, reach_c=reach_c
        )
        for line in lines
    )
    plain = SamplePrediction(
        sample, specification, lines, (), required_probability, reach_c, standard_c, kind
    )
    asked = tuple(_asked(plain, results, agreed, at) for at in dict.fromkeys(at_c))
    told = tuple(dict.fromkeys((*_left_out(results), *findings, *_doubts(asked, rules))))
    return replace(plain, temperatures=asked, findings=told)


def _check(at_c: Sequence[float], required: float, reach_c: float) -> None:
    if not at_c:
        raise InputError("prediction: needed is at least one temperature (°C) to predict at")
    for at in at_c:
        if not -50.0 <= at <= 200.0:
            raise InputError(f"prediction at {at:g} °C: needed is a temperature of a binder test in °C")
    if not 0.5 < required < 1.0:
        raise InputError(f"required probability {required:g}: needed is a share above 0.5 and below 1")
    if not math.isfinite(reach_c) or reach_c < 0.0:
        raise InputError(f"reach {reach_c:g} °C: needed is a number of zero or more")


def _asked(
    plain: SamplePrediction, results: Sequence[Result], agreed: Yardstick, at: float
) -> AskedTemperature:
    values = tuple(
        expected_value(
            line,
            at,
            temperature_standard_c=plain.temperature_standard_c,
            tolerance_c=plain.specification.temperature_tolerance_c,
            reach_c=plain.reach_c,
        )
        for line in plain.properties
    )
    chances = class_chances(results, values, agreed, at, required_probability=plain.required_probability)
    tested = _nearest_tested(plain, at)
    held = None if tested is None else held_class(results, agreed, tested)
    asked = AskedTemperature(
        temperature_c=at,
        values=values,
        classes=chances,
        expected_class=_last([one for one in chances if one.passes]),
        sure_class=_last([one for one in chances if _is_sure(one, plain.required_probability)]),
        next_test=next_test(chances, at),
        tested_c=tested,
        held_class=held.name if held is not None else None,
    )
    return replace(asked, answer=answer_words(asked, plain))


def _last(chances: Sequence[ClassChance]) -> ClassChance | None:
    return chances[-1] if chances else None


def _is_sure(chance: ClassChance, required: float) -> bool:
    if chance.standing is Standing.MEASURED_PASS:
        return True
    return chance.passes and chance.probability is not None and chance.probability >= required


def _nearest_tested(plain: SamplePrediction, at: float) -> float | None:
    """Give the temperature tested nearest to the one asked for, of a property that decides a class [°C]."""
    deciding = {
        (requirement.quantity, condition)
        for requirement in plain.specification.requirements
        if requirement.decides_class and requirement.temperature == "high"
        for condition in (requirement.condition, *requirement.also_accepts)
    }
    tested = [
        point.temperature_c
        for line in plain.properties
        if (line.quantity, line.condition) in deciding
        for point in line.points
        if point.temperature_c is not None
    ]
    nearest = min(tested, key=lambda one: (abs(one - at), one), default=None)
    if nearest is None:
        return None
    rules = plain.specification
    # A log reads 69.9997 °C; what is told is the step, or the temperature asked for, that it answers.
    steps = (at, *rules.high_temperatures_c)
    return next((s for s in steps if near(nearest, s, rules.temperature_tolerance_c)), nearest)


def _doubts(asked: Sequence[AskedTemperature], rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    """Say what was extended outside the tests, and that a prediction is no test."""
    predicted = [v for one in asked for v in one.values if _is_predicted(v)]
    furthest: dict[str, float] = {}
    for value in predicted:
        outside = value.predicted.extrapolated_c if value.predicted is not None else 0.0
        name = name_of_line(value.quantity, value.condition)
        furthest[name] = max(furthest.get(name, 0.0), outside)
    found: list[Finding] = []
    for name, outside in furthest.items():
        found += judge_measures([Measure("extrapolated_c", outside, "°C", name)], rules)
    found += judge_measures([Measure("predictions", float(len(predicted)))], rules)
    return tuple(dict.fromkeys(found))


def _left_out(results: Sequence[Result]) -> list[Finding]:
    """Give what keeps a result, or a determination of it, from being used."""
    found: list[Finding] = []
    for result in results:
        if result.quantity in (*LOGARITHMIC, *RECOVERIES):
            found += [f for f in result.findings if f.severity is Severity.INVALID]
            found += [
                finding
                for one, counts in zip(result.determinations, result.counted, strict=True)
                if not counts
                for finding in one.findings
                if finding.severity is Severity.INVALID
            ]
    return found


def _is_predicted(value: ExpectedValue) -> bool:
    return value.value is not None and value.basis is not Basis.MEASURED
