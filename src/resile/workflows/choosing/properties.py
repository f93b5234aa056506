"""One requirement of one binder at one temperature: measured, expected from a line, or not known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from resile.compute.rheology.temperature.temperature_line import (
    fit_temperature_line,
    line_from_prior,
    meeting_probability,
    predict_value,
)
from resile.judge.grades.grade_lines import counts_as_good, judge_lines
from resile.judge.grades.selection import asked_temperature
from resile.judge.results.conformity import meets, probability_of_conformity
from resile.judge.results.results import results_from_determinations
from resile.judge.summaries.impossible import mark_impossible
from resile.records.determination import Result
from resile.records.finding import Severity, worst_severity
from resile.records.prediction import Standing
from resile.records.quantity import QUANTITIES
from resile.records.range import Binder, TemperatureHabit
from resile.records.specification import Requirement, ServiceClass
from resile.records.standing import AskedGrade, PropertyStanding
from resile.records.temperature_line import PredictedValue, TemperatureLine
from resile.records.verdict import Outcome, Verdict
from resile.specifications.slopes import load_binder_kind
from resile.workflows.judging.agreement import Yardstick

EVEN = 0.5
UNKNOWN_KIND = "unknown"
TEMPERATURE_STANDARD_C = 0.1
"""Standard uncertainty of the temperature of a test to come [°C]: common practice, no source."""

_ENDS = {"high": "high", "low + 10": "low", "intermediate": "low"}


class BinderProperties:
    """What is known of one binder, requirement by requirement; each is worked out once.

    Parameters
    ----------
    binder : Binder
        With its determinations.
    yardstick : Yardstick
        What was agreed.
    habits : mapping of str to TemperatureHabit
        How properties change with temperature.
    measured_with_uncertainty : bool
        Count measured results with their uncertainty; as they were judged where False.
    """

    def __init__(
        self,
        binder: Binder,
        yardstick: Yardstick,
        habits: Mapping[str, TemperatureHabit],
        *,
        measured_with_uncertainty: bool = False,
    ) -> None:
        self.binder = binder
        self._with_uncertainty = measured_with_uncertainty
        self._yardstick = yardstick
        self._habits = habits
        self._known: dict[tuple[str, float | None, str], PropertyStanding | None] = {}
        self._lines: dict[str, TemperatureLine | str] = {}

    @cached_property
    def results(self) -> tuple[Result, ...]:
        """Results of the binder, by the rules agreed."""
        agreed = self._yardstick
        return results_from_determinations(
            mark_impossible(self.binder.determinations, agreed.checks),
            agreed.precision,
            agreed.retest_rule,
            basis=agreed.basis,
            budgets=agreed.budgets,
            own=agreed.own,
            tested=agreed.tested,
        )

    def standing(
        self, requirement: Requirement, grade: AskedGrade, service: ServiceClass
    ) -> PropertyStanding | None:
        """Give how one requirement of a grade stands; None where the class has no such requirement."""
        asked = asked_temperature(requirement, grade.high_temperature_c, grade.low_temperature_c)
        key = requirement.name, asked, service.name
        if key not in self._known:
            found = self._work_out(requirement, grade, service)
            self._known[key] = None if found is None else self._counted(found)
        return self._known[key]

    def _work_out(
        self, requirement: Requirement, grade: AskedGrade, service: ServiceClass
    ) -> PropertyStanding | None:
        verdicts = judge_lines(
            self.results,
            (requirement,),
            high_temperature_c=grade.high_temperature_c,
            service_class=service,
            specification=self._yardstick.specification,
            rule=self._yardstick.decision_rule,
            low_temperature_c=grade.low_temperature_c,
        )
        if not verdicts:
            return None
        verdict = verdicts[0]
        if verdict.outcome is not Outcome.NOT_TESTED:
            return self._measured(verdict)
        return self._elsewhere(verdict)

    def _counted(self, one: PropertyStanding) -> PropertyStanding:
        judged = {Standing.MEASURED_PASS: 1.0, Standing.MEASURED_FAIL: 0.0}.get(one.standing)
        if judged is None or self._with_uncertainty:
            return replace(one, counted_probability=one.probability)
        return replace(one, counted_probability=judged)

    def _measured(self, verdict: Verdict) -> PropertyStanding:
        good = counts_as_good(verdict, self._yardstick.decision_rule)
        sure = verdict.probability_of_conformity
        return _standing(
            verdict,
            Standing.MEASURED_PASS if good else Standing.MEASURED_FAIL,
            1.0 if verdict.outcome is Outcome.WAIVED else _or_certain(sure, good),
            value=verdict.value,
            reason=verdict.reason,
        )

    def _elsewhere(self, verdict: Verdict) -> PropertyStanding:
        """Use tests at other temperatures: on the harder or easier side, and along a line."""
        requirement, asked = verdict.requirement, verdict.test_temperature_c
        habit, tested = self._habits.get(requirement.quantity), self._tested(requirement)
        if habit is None or asked is None or not tested or requirement.absolute:
            return _standing(verdict, Standing.UNKNOWN, None, reason=verdict.reason or "not tested")
        nearest = min(tested, key=lambda r: abs((r.temperature_c or 0.0) - asked))
        predicted = self._predicted(requirement, habit, tested, asked)
        expected = None
        if isinstance(predicted, PredictedValue):
            limit = math.exp(verdict.limit) if habit.scale == "value" else verdict.limit
            expected = meeting_probability(predicted, limit, bound=requirement.bound)
        harder = [r for r in tested if _is_harder(r, asked, habit) and _good(r, verdict)]
        easier = [r for r in tested if _is_easier(r, asked, habit) and not _good(r, verdict)]
        told = {
            "value": _value_of(predicted, habit),
            "tested_at_c": nearest.temperature_c,
        }
        if harder and not easier:
            best = max(_sure(r, verdict) for r in harder)
            return _standing(
                verdict,
                Standing.MEASURED_PASS,
                max(best, expected or 0.0),
                reason=f"tested at {_degrees(harder)}, where it is harder to meet, and met there",
                **told,
            )
        if easier and not harder:
            worst = min(_sure(r, verdict) for r in easier)
            return _standing(
                verdict,
                Standing.MEASURED_FAIL,
                min(worst, 1.0 if expected is None else expected),
                reason=f"tested at {_degrees(easier)}, where it is easier to meet, and missed there",
                **told,
            )
        if expected is None:
            return _standing(verdict, Standing.UNKNOWN, None, reason=str(predicted), **told)
        state = Standing.PREDICTED_PASS if expected >= EVEN else Standing.PREDICTED_FAIL
        return _standing(verdict, state, expected, reason=_how(predicted, tested), **told)

    def _tested(self, requirement: Requirement) -> list[Result]:
        for condition in (requirement.condition, *requirement.also_accepts):
            found = [
                r
                for r in self.results
                if r.quantity == requirement.quantity
                and r.condition is condition
                and r.temperature_c is not None
                and r.value is not None
                and worst_severity(r.findings) is not Severity.INVALID
            ]
            if found:
                return found
        return []

    def _predicted(
        self, requirement: Requirement, habit: TemperatureHabit, tested: Sequence[Result], asked_c: float
    ) -> PredictedValue | str:
        """Give the value expected there, or why there is none."""
        if requirement.name not in self._lines:
            self._lines[requirement.name] = line_through(tested, habit, self.binder.kind)
        line = self._lines[requirement.name]
        if isinstance(line, str):
            return line
        predicted = predict_value(line, asked_c, temperature_standard_c=TEMPERATURE_STANDARD_C)
        if predicted.extrapolated_c > habit.reach_c:
            return (
                f"{asked_c:g} °C lies {predicted.extrapolated_c:g} °C beyond what was tested; "
                f"a line is drawn {habit.reach_c:g} °C at most"
            )
        return predicted


def end_of(requirement: Requirement) -> str:
    """Give the end of the grade that a requirement belongs to: high, low, or any."""
    return _ENDS.get(str(requirement.temperature), "any")


def line_through(tested: Sequence[Result], habit: TemperatureHabit, kind: str) -> TemperatureLine | str:
    """Draw the line of a property through results, or say why there is none.

    Parameters
    ----------
    tested : sequence of Result
        Of one quantity and residue, each with temperature and value.
    habit : TemperatureHabit
        Its scale, scatter, and the slope that stands in for a second temperature.
    kind : str
        Kind of binder; empty where not stated.

    Returns
    -------
    TemperatureLine or str
        A sentence where no line can be drawn.
    """
    usable = [r for r in tested if habit.scale == "value" or (r.value or 0.0) > 0.0]
    if not usable:
        return "no result above zero, so no line of its logarithm"
    temperatures = [float(r.temperature_c or 0.0) for r in usable]
    values = [float(r.value or 0.0) for r in usable]
    spread = _spread(usable, habit)
    if habit.scale == "value":  # the line is one of logarithms: of exp(m), so that m itself is straight
        values = [math.exp(value) for value in values]
    if max(temperatures) - min(temperatures) > 1.0:
        line = fit_temperature_line(temperatures, values, standard_log=spread)
        return line if _is_sensible(line, tested[0].quantity, habit) else _BACKWARDS
    prior = load_binder_kind(kind or UNKNOWN_KIND).prior_for(tested[0].quantity, tested[0].condition)
    if prior is None:
        prior = habit.slope
    return line_from_prior(temperatures[0], values, prior, standard_log=spread)


_BACKWARDS = "the tests run against what temperature does to the property; nothing is expected from them"


def _is_sensible(line: TemperatureLine, quantity: str, habit: TemperatureHabit) -> bool:
    """Refuse a line that runs the wrong way: the slope known beforehand has the right sign."""
    return not habit.worse_when or habit.slope.slope_per_c * line.slope_per_c > 0.0


def _spread(results: Sequence[Result], habit: TemperatureHabit) -> float:
    """Give the standard deviation of one result on the scale of the line, from those stated."""
    stated = [
        r.uncertainty.standard / (1.0 if habit.scale == "value" else (r.value or 1.0))
        for r in results
        if r.uncertainty is not None and r.uncertainty.standard > 0.0
    ]
    if len(stated) < len(results):
        return habit.spread
    return math.sqrt(sum(one**2 for one in stated) / len(stated))


def _is_harder(result: Result, asked_c: float, habit: TemperatureHabit) -> bool:
    away = (result.temperature_c or 0.0) - asked_c
    return {"hotter": away > 0.0, "colder": away < 0.0}.get(habit.worse_when, False)


def _is_easier(result: Result, asked_c: float, habit: TemperatureHabit) -> bool:
    away = (result.temperature_c or 0.0) - asked_c
    return {"hotter": away < 0.0, "colder": away > 0.0}.get(habit.worse_when, False)


def _good(result: Result, verdict: Verdict) -> bool:
    return meets(result.value or 0.0, verdict.limit, verdict.requirement.bound)


def _sure(result: Result, verdict: Verdict) -> float:
    sure = None
    if result.uncertainty is not None:
        sure = probability_of_conformity(
            result.value or 0.0, verdict.limit, result.uncertainty, bound=verdict.requirement.bound
        )
    return _or_certain(sure, _good(result, verdict))


def _or_certain(sure: float | None, good: bool) -> float:
    """Take a result without a known uncertainty at its word."""
    return sure if sure is not None else float(good)


def _value_of(predicted: PredictedValue | str, habit: TemperatureHabit) -> float | None:
    if isinstance(predicted, str):
        return None
    return math.log(predicted.value) if habit.scale == "value" else predicted.value


def _how(predicted: PredictedValue | str, tested: Sequence[Result]) -> str:
    if isinstance(predicted, str):
        return predicted
    beyond = f", {predicted.extrapolated_c:g} °C beyond them" if predicted.extrapolated_c else ""
    return f"expected from tests at {_degrees(tested)}{beyond}; always test, do not scale"


def _degrees(results: Sequence[Result]) -> str:
    return " and ".join(f"{r.temperature_c:g}" for r in results if r.temperature_c is not None) + " °C"


def _standing(
    verdict: Verdict,
    standing: Standing,
    probability: float | None,
    *,
    value: float | None = None,
    tested_at_c: float | None = None,
    reason: str = "",
) -> PropertyStanding:
    requirement = verdict.requirement
    return PropertyStanding(
        requirement=requirement.name,
        quantity=requirement.quantity,
        end=end_of(requirement),
        temperature_c=verdict.test_temperature_c,
        limit=verdict.limit,
        bound=requirement.bound,
        unit=QUANTITIES[requirement.quantity].unit,
        standing=standing,
        probability=probability,
        value=value,
        tested_at_c=tested_at_c,
        reason=reason,
    )
