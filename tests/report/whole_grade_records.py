"""Whole grades and continuous temperatures built by hand; sample and numbers are invented.

Limits and temperature rules: AASHTO M 320, Table 1, as read in a summary of the table.
"""

from dataclasses import replace

from example_records import RETEST, RULE

from resile.records.critical_temperature import (
    CriticalTemperature,
    CriticalTemperatureDifference,
    LimitPoint,
)
from resile.records.determination import Condition, Result, Uncertainty
from resile.records.propagation import SimulatedPropagation
from resile.records.specification import Requirement, ServiceClass, Specification
from resile.records.verdict import (
    ContinuousTemperature,
    FullGradeVerdict,
    GradeStatement,
    Outcome,
    Verdict,
)
from resile.records.whole_grade import WholeGradeProbability

ORIGINAL, SHORT, LONG = Condition.ORIGINAL, Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED


def requirement(name, quantity, condition, bound, unit, limit, temperature):
    return Requirement(
        name, name.replace("_", " "), "Table 1", condition, quantity, bound, unit, {"*": limit},
        temperature=temperature,
    )  # fmt: skip


FLASH = requirement("flash_point_minimum", "flash_point", ORIGINAL, "minimum", "°C", 230.0, None)
ORIGINAL_DSR = requirement("original_rutting", "rutting_parameter", ORIGINAL, "minimum", "kPa", 1.0, "high")
AGED_DSR = requirement("aged_rutting", "rutting_parameter", SHORT, "minimum", "kPa", 2.2, "high")
FATIGUE = requirement("fatigue", "fatigue_parameter", LONG, "maximum", "kPa", 5000.0, "intermediate")
STIFFNESS = requirement("stiffness", "creep_stiffness", LONG, "maximum", "MPa", 300.0, "low + 10")
SLOPE = requirement("slope", "m_value", LONG, "minimum", "", 0.300, "low + 10")
REQUIREMENTS = (FLASH, ORIGINAL_DSR, AGED_DSR, FATIGUE, STIFFNESS, SLOPE)
CLASS = ServiceClass("", "performance grade", 1)
SPECIFICATION = Specification(
    "m320", "Performance-graded binder", "AASHTO M 320, Table 1", "as MP1", "PG {temperature}",
    (46.0, 52.0, 58.0, 64.0, 70.0, 76.0, 82.0), (CLASS,), REQUIREMENTS,
    low_temperatures_c={64.0: (-10.0, -16.0, -22.0, -28.0, -34.0, -40.0)}, full_label="PG {temperature}{low}",
)  # fmt: skip


def continuous(asked, at, end, *, standard=0.4, service="", shift=0.0, **more):
    more.setdefault("bracketed", True)
    points = (LimitPoint(at - 3.0 - shift, 1.5, 0.1), LimitPoint(at + 3.0 - shift, 0.8, 0.1))
    critical = CriticalTemperature(
        None if at is None else at - shift, asked.limits.get("*", 1.0),
        "linear" if asked.quantity == "m_value" else "log", points, standard=standard, **more,
    )  # fmt: skip
    return ContinuousTemperature(asked, service, critical, at, end)


BOTH_ENDS = (
    continuous(ORIGINAL_DSR, 66.31, "high", standard=0.35),
    continuous(AGED_DSR, 65.42, "high", standard=0.42, other_rule_c=65.61),
    continuous(FATIGUE, 21.7, "intermediate", standard=0.8),
    continuous(STIFFNESS, -24.9, "low", standard=0.5, shift=-10.0),
    continuous(SLOPE, -23.62, "low", standard=0.9, shift=-10.0, bracketed=False, extrapolated_c=1.1),
)


def result(asked, value, at, standard):
    return Result(
        "Erle 70/100", asked.condition, at, asked.quantity, asked.unit, value, (), (),
        uncertainty=Uncertainty(standard, "reproducibility", note="T 315"),
    )  # fmt: skip


def full_grade(*, satisfied=True, slope=0.312):
    judged = (
        (ORIGINAL_DSR, 1.31, 64.0, 0.06, 0.99),
        (AGED_DSR, 2.61, 64.0, 0.18, 0.95),
        (FATIGUE, 4210.0, 25.0, 480.0, 0.9),
        (STIFFNESS, 238.0, -12.0, 9.0, 0.999),
        (SLOPE, slope, -12.0, 0.006, 0.97),
    )
    verdicts = [Verdict(FLASH, 230.0, None, None, None, Outcome.NOT_TESTED, reason="no flash point")]
    for asked, value, at, standard, probability in judged:
        limit = asked.limits["*"]
        margin = limit - value if asked.bound == "maximum" else value - limit
        verdicts.append(
            Verdict(asked, limit, at, result(asked, value, at, standard), value,
                    Outcome.PASS if margin >= 0 else Outcome.FAIL, margin, margin / 0.2, probability)
        )  # fmt: skip
    if satisfied:
        verdicts = verdicts[1:]
    each = tuple(v.probability_of_conformity for v in verdicts if v.probability_of_conformity)
    probability = WholeGradeProbability(None, 0.809, 0.9, 0.82, each, 2, "bounds only")
    return FullGradeVerdict(
        "PG 64-22", 64.0, -22.0, CLASS, tuple(verdicts), satisfied, "fatigue", probability
    )


def whole_statement(**changes):
    statement = GradeStatement(
        "Erle 70/100", SPECIFICATION, RULE, RETEST, (), (), ("PG 64",),
        full_grades=(full_grade(),), continuous=BOTH_ENDS,
        delta_tc=CriticalTemperatureDifference(-1.28, 0.95, 0.1, True),
        delta_tc_note="one ageing of 20 h at 100 °C and 2.1 MPa",
    )  # fmt: skip
    return replace(statement, **changes)


def simulated(lower, upper):
    middle = (lower + upper) / 2.0
    return SimulatedPropagation(middle, (upper - lower) / 4, lower, upper, 0.95, "symmetric", 10_000, middle)
