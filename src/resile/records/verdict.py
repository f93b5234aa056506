"""Value against limit, with the reason; and what a sample's verdicts add up to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from resile.records.correlation import ErrorCorrelation
from resile.records.critical_temperature import CriticalTemperature, CriticalTemperatureDifference
from resile.records.derived import DerivedNumber
from resile.records.determination import Result
from resile.records.finding import Finding
from resile.records.price import PriceView
from resile.records.published_limit import LimitStanding
from resile.records.specification import DecisionRule, Requirement, RetestRule, ServiceClass, Specification
from resile.records.whole_grade import WholeGradeProbability


class Outcome(StrEnum):
    """What a comparison gave. ``not tested`` is never a pass."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"
    NOT_TESTED = "not tested"
    WAIVED = "waived"


@dataclass(frozen=True, slots=True)
class Verdict:
    """One requirement, one value.

    Attributes
    ----------
    requirement : Requirement
        The line of the specification.
    limit : float
        The limit that applied, in the requirement's unit.
    test_temperature_c : float or None
        Temperature the requirement asks for [°C].
    result : Result or None
        What was compared; None where not tested.
    value : float or None
        The compared value.
    outcome : Outcome
        Under the decision rule.
    margin : float or None
        Distance to the limit, positive on the good side, in the requirement's unit.
    margin_repeatabilities : float or None
        The same in multiples of the repeatability limit (d2s) of the method.
    probability_of_conformity : float or None
        Probability that the true value satisfies the limit; None where no uncertainty can be stated.
    reason : str
        One sentence.
    """

    requirement: Requirement
    limit: float
    test_temperature_c: float | None
    result: Result | None
    value: float | None
    outcome: Outcome
    margin: float | None = None
    margin_repeatabilities: float | None = None
    probability_of_conformity: float | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class ClassVerdict:
    """All requirements of one class at one climatic high temperature.

    Attributes
    ----------
    label : str
        Name of the class, for example ``64V``.
    temperature_c : float
        Climatic high temperature [°C].
    service_class : ServiceClass
        Class of the specification.
    satisfied : bool
        The deciding requirements pass and nothing fails.
    complete : bool
        Satisfied and nothing is left untested.
    limiting : str
        Name of the requirement with the smallest margin in repeatabilities, or that fails; empty if none.
    """

    label: str
    temperature_c: float
    service_class: ServiceClass
    verdicts: tuple[Verdict, ...]
    satisfied: bool
    complete: bool
    limiting: str = ""

    @property
    def not_tested(self) -> tuple[Verdict, ...]:
        """The requirements without a result."""
        return tuple(v for v in self.verdicts if v.outcome is Outcome.NOT_TESTED)


@dataclass(frozen=True, slots=True)
class FullGradeVerdict:
    """All requirements of one whole grade: high temperature, traffic class and low temperature.

    Attributes
    ----------
    label : str
        Name of the grade, for example ``PG 64V-22``.
    high_temperature_c, low_temperature_c : float
        The two ends [°C].
    service_class : ServiceClass
        Class of the specification.
    verdicts : tuple of Verdict
        Every requirement that applies, in the order of the document.
    satisfied : bool
        Nothing fails and nothing is left untested.
    limiting : str
        Name of the requirement that fails or has the smallest margin in repeatabilities; empty if none.
    probability : WholeGradeProbability or None
        How sure one can be that all of it holds; None where uncertainties are missing.
    """

    label: str
    high_temperature_c: float
    low_temperature_c: float
    service_class: ServiceClass
    verdicts: tuple[Verdict, ...]
    satisfied: bool
    limiting: str = ""
    probability: WholeGradeProbability | None = None

    @property
    def not_tested(self) -> tuple[Verdict, ...]:
        """The requirements without a result."""
        return tuple(v for v in self.verdicts if v.outcome is Outcome.NOT_TESTED)


@dataclass(frozen=True, slots=True)
class ContinuousTemperature:
    """Where one property of a sample meets its limit.

    Attributes
    ----------
    requirement : Requirement
        Gives property, residue and limit.
    service_class : str
        Class whose limit was taken; empty where the limit is the same for all.
    critical : CriticalTemperature
        Test temperature at which the limit is met, with rule, points and uncertainty.
    grade_temperature_c : float or None
        The same on the scale of the grade: 10 °C below the test temperature at the low end [°C].
    end : str
        ``"high"``, ``"intermediate"`` or ``"low"``: the end of the grade it limits.
    """

    requirement: Requirement
    service_class: str
    critical: CriticalTemperature
    grade_temperature_c: float | None
    end: str


@dataclass(frozen=True, slots=True)
class ContinuousEnd:
    """The continuous grade at one end: the property that gives way first.

    Attributes
    ----------
    end : str
        ``"high"`` or ``"low"``.
    service_class : str
        Class it holds for; empty where all classes have the same limits.
    temperature_c : float or None
        Lowest of the high, highest of the low temperatures, on the scale of the grade [°C]; None where a
        property has none, because it might govern.
    governed_by : str
        Name of the requirement that governs; empty where there is no temperature.
    missing : tuple of str
        Names of the requirements of that end without a temperature.
    """

    end: str
    service_class: str
    temperature_c: float | None
    governed_by: str = ""
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GradeStatement:
    """What can be said of one sample under one specification and one decision rule.

    Attributes
    ----------
    classes : tuple of ClassVerdict
        Every tested temperature and every class, hottest and most severe first.
    grades : tuple of str
        Labels of the satisfied classes, most severe first at each temperature.
    reported_class : str
        Traffic class as the laboratory reported it; empty where none.
    next_tests : tuple of str
        The tests that would settle an open question, in order.
    full_grades : tuple of FullGradeVerdict
        Whole grades that the data prove or could still prove, best first, and a claimed one in any case;
        where every tested grade fails, the mildest of them. Empty where the specification has no low end or
        nothing was tested there.
    continuous : tuple of ContinuousTemperature
        Where each property meets its limit, in the order of the document.
    delta_tc : CriticalTemperatureDifference or None
        Difference of the two low critical temperatures, with the ageing it came from in `delta_tc_note`.
    delta_tc_note : str
        The conditioning that the difference belongs to.
    claimed_grade : str
        The grade that was to be verified; empty where the task was to classify.
    continuous_ends : tuple of ContinuousEnd
        The continuous grade by end and class; empty where no property was tested at two temperatures there.
    derived : tuple of DerivedNumber
        What follows from the results, not judged: penetration index, mixing and compaction temperatures.
    correlation : ErrorCorrelation or None
        What was declared about errors that results share; None where nothing was computed from it.
    price_views : tuple of PriceView
        What price rules of the contract make of the results; empty where that was not asked.
    delta_tc_ageing_h, delta_tc_ageing_temperature_c : float or None
        Hours and temperature of the pressure ageing that the difference belongs to [h], [°C]; None where no
        record says.
    delta_tc_limits : tuple of LimitStanding
        How the difference stands to published limits: information, not a verdict.
    """

    sample: str
    specification: Specification
    decision_rule: DecisionRule
    retest_rule: RetestRule
    results: tuple[Result, ...]
    classes: tuple[ClassVerdict, ...]
    grades: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    next_tests: tuple[str, ...] = ()
    reported_class: str = ""
    full_grades: tuple[FullGradeVerdict, ...] = ()
    continuous: tuple[ContinuousTemperature, ...] = ()
    delta_tc: CriticalTemperatureDifference | None = None
    delta_tc_note: str = ""
    claimed_grade: str = ""
    continuous_ends: tuple[ContinuousEnd, ...] = ()
    correlation: ErrorCorrelation | None = None
    price_views: tuple[PriceView, ...] = ()
    derived: tuple[DerivedNumber, ...] = ()
    delta_tc_ageing_h: float | None = None
    delta_tc_ageing_temperature_c: float | None = None
    delta_tc_limits: tuple[LimitStanding, ...] = ()
