"""The law of judging anew: arrays give what the judge gives to one sample after the other."""

import math
import random
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from invented_archive import Line, awkward_samples, write_archive
from resile.compute.statistics.verdicts.deciding import OUTCOMES
from resile.judge.grades.full_grade import judge_full_grade
from resile.judge.grades.sample import judge_class, without_badly_aged
from resile.judge.results.results import results_from_determinations
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.archive_answers import ResultsWanted
from resile.records.determination import Result
from resile.records.finding import Finding, Severity
from resile.records.quantity import AGEING_QUANTITIES
from resile.records.verdict import Verdict
from resile.specifications.load import load_ageing_method
from resile.storage.archive.asking import asked
from resile.storage.archive.asking_samples import results_in_order
from resile.workflows.archive.block_doubts import needs_spread
from resile.workflows.archive.block_verdicts import BlockJudge, GradeVerdicts, LineVerdicts
from resile.workflows.archive.result_blocks import Joining, ResultBlock, result_blocks
from resile.workflows.judging.agreement import Yardstick, agree

# A document that rounds, waives by another property, stands in another residue, and grades at 0 °C.
AWKWARD = """
identifier = "awkward"
title = "Awkward lines, invented for tests"
document = "none"
edition = "test"
label = "{temperature}{service_class}"
full_label = "{temperature}{service_class}{low}"
high_temperatures_c = [52, 58, 64, 70]
rounding = "ROUNDING"
transcribed = "for tests"
checked = ""
notes = []
[low_temperatures_c]
52 = [-10, -16, -22, -28]
58 = [-10, -16, -22, -28]
64 = [-10, -22]
[[class]]
name = "one"
title = "one"
rank = 1
[[class]]
name = "two"
title = "two"
rank = 2
[[requirement]]
name = "jnr"
title = "compliance"
clause = "1"
condition = "short_term_aged"
also_accepts = ["recovered"]
quantity = "jnr_3.2"
bound = "maximum"
unit = "1/kPa"
limits = { one = 2.0, two = 0.5 }
decimals = 2
temperature = "high"
decides_class = true
evidence = "own"
[[requirement]]
name = "difference"
title = "difference"
clause = "2"
condition = "short_term_aged"
also_accepts = ["recovered"]
quantity = "jnr_difference_percent"
bound = "maximum"
unit = "%"
limits = { "*" = 75 }
decimals = 1
temperature = "high"
waived_when = { quantity = "jnr_3.2", below = 0.5 }
evidence = "own"
[[requirement]]
name = "mass"
title = "mass change"
clause = "3"
condition = "short_term_aged"
quantity = "mass_change_percent"
bound = "maximum"
unit = "%"
limits = { two = 1.0 }
absolute = true
decimals = 3
evidence = "own"
[[requirement]]
name = "stiffness"
title = "stiffness"
clause = "4"
condition = "long_term_aged"
quantity = "creep_stiffness"
bound = "maximum"
unit = "MPa"
limits = { "*" = 300 }
decimals = 0
temperature = "low + 10"
waived_when = { quantity = "failure_strain_percent", at_least = 1.0, own_up_to = 600 }
evidence = "own"
[[requirement]]
name = "stiffness_after_40_h"
title = "stiffness_after_40_h"
clause = "5"
condition = "long_term_aged"
quantity = "creep_stiffness"
bound = "maximum"
unit = "MPa"
limits = { two = 500 }
temperature = "low + 10"
ageing_h = 40
evidence = "own"
"""


OWN_PRECISION = """
[[precision]]
key = "OP-1"
quantity = "jnr_3.2"
repeatability = 0.02
standard = 0.05
degrees_of_freedom = 9
until = 2019-06-30
[[precision]]
key = "OP-2"
quantity = "jnr_3.2"
condition = "short_term_aged"
repeatability = 0.03
standard = 0.04
highest = 1.0
until = 2020-01-31
valid_until = 2023-12-31
[[precision]]
key = "OP-3"
quantity = "mass_change_percent"
relative = false
repeatability = 0.02
standard = 0.03
until = 2018-01-31
[[precision]]
key = "OP-4"
quantity = "creep_stiffness"
condition = "long_term_aged"
repeatability = 0.03
standard = 0.06
until = 2017-12-31
"""


def yardstick_of(tmp_path: Path, name: str, rule: str, basis: str, retest: str = "mean-of-all") -> Yardstick:
    own = tmp_path / "own-precision.toml"
    own.write_text(OWN_PRECISION, encoding="utf-8")
    by = {"decision_rule": rule, "uncertainty_basis": basis, "retest_rule": retest, "precision": own}
    if name.startswith("half"):
        awkward = tmp_path / "awkward.toml"
        awkward.write_text(AWKWARD.replace("ROUNDING", name), encoding="utf-8")
        return agree(awkward, **by)  # type: ignore[arg-type]
    return agree(name, **by)  # type: ignore[arg-type]


def blocks_of(archive: Path, yardstick: Yardstick, *, rows: int = 700) -> list[ResultBlock]:
    rule = yardstick.retest_rule
    with asked(archive) as asking:
        batches = results_in_order(asking, ResultsWanted(), rows=rows, as_made=rule.first > 0)
        joining = Joining(yardstick.precision, rule, needs_spread(yardstick))
        return list(result_blocks(batches, joining))


def judged_one_by_one(lines: list[Line], yardstick: Yardstick) -> dict[str, tuple[Result, ...]]:
    by_sample: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        if not line.aged:
            by_sample[line.sample].append(line)
    if yardstick.retest_rule.first:  # in the order of the days, as far as an archive knows
        for own in by_sample.values():
            own.sort(key=lambda one: (one.tested, one.part, one.condition, one.quantity, one.value))
    return {
        name: results_from_determinations(
            [line.determination() for line in own],
            yardstick.precision,
            yardstick.retest_rule,
            basis=yardstick.basis,
            budgets=yardstick.budgets,
            own=yardstick.own,
        )
        for name, own in by_sample.items()
    }


Aged = tuple[AgeingRecord | None, LongTermAgeingRecord | None]


def with_ageing(lines: list[Line], seed: int) -> tuple[list[Line], dict[str, Aged]]:
    """Set ageing records, days and another laboratory beside invented results; give the records as well."""
    draw = random.Random(seed)
    made = [
        replace(
            line,
            tested=f"20{draw.randrange(16, 26)}-0{draw.randrange(1, 10)}-11" if draw.random() < 0.8 else "",
            laboratory="Another" if draw.random() < 0.1 else "",
        )
        for line in lines
    ]
    ageing: dict[str, Aged] = {}
    for sample, lot in sorted({(line.sample, line.lot) for line in lines}):
        short, long = None, None
        for day in ("2016-01-01", "2016-02-02")[: draw.choice((0, 1, 1, 2))]:  # the newest one counts
            worst = draw.choice(("", "", "", "caution", "invalid"))
            short = AgeingRecord(sample, "t240", 163.0, 85.0, findings=weighed(worst))
            made += marks((sample, lot), day, "short_term_aged", "t240", (163.0, 85.0 / 60.0), worst)
        for day in ("2016-03-03", "2016-04-04")[: draw.choice((0, 1, 1, 2))]:
            worst = draw.choice(("", "", "", "", "invalid"))
            method, chamber = draw.choice(("r28", "r28-40h")), draw.choice((90.0, 99.8, 100.0, 110.0, None))
            hours = draw.choice((20.0, 39.9, 40.0, 41.5, None))
            long = LongTermAgeingRecord(
                sample,
                method,
                temperature_c=chamber,
                duration_h=hours,
                findings=weighed(worst),
                grade_temperature=next(
                    one
                    for one in load_ageing_method(method).tolerances
                    if one.measure == "temperature_from_grade_c"
                ),
            )
            made += marks((sample, lot), day, "long_term_aged", method, (chamber, hours), worst)
        ageing[sample] = (short, long)
    draw.shuffle(made)
    return made, ageing


def weighed(worst: str) -> tuple[Finding, ...]:
    return (Finding("x", Severity(worst), "x"),) if worst else ()


def marks(
    of: tuple[str, str],
    day: str,
    condition: str,
    method: str,
    values: tuple[float | None, float | None],
    worst: str,
) -> list[Line]:
    return [
        Line(
            sample=of[0],
            lot=of[1],
            quantity=quantity,
            value=value,
            condition=condition,
            temperature_c=None,
            part=method,
            tested=day,
            worst=worst,
        )
        for quantity, value in zip(AGEING_QUANTITIES, values, strict=True)
    ]


def none_is_nan(number: float | None) -> float:
    return math.nan if number is None else number


def assert_same_line(line: LineVerdicts, place: int, verdict: Verdict, where: str) -> None:
    assert line.requirement == verdict.requirement, where
    assert line.limit == verdict.limit, where
    assert line.asked_c == verdict.test_temperature_c, where
    assert OUTCOMES[line.outcome[place]] is verdict.outcome, where
    np.testing.assert_equal(line.value[place], none_is_nan(verdict.value), where)  # to the last bit
    np.testing.assert_equal(line.margin[place], none_is_nan(verdict.margin), where)
    np.testing.assert_allclose(  # logarithms, squares and the error function of two libraries
        line.probability[place], none_is_nan(verdict.probability_of_conformity), rtol=1e-9, atol=2e-9
    )
    if verdict.result is not None and verdict.result.uncertainty is not None and verdict.margin is not None:
        np.testing.assert_allclose(line.standard[place], verdict.result.uncertainty.standard, rtol=1e-12)


def assert_same_grade(
    grade: GradeVerdicts,
    place: int,
    results: tuple[Result, ...],
    yardstick: Yardstick,
    long: LongTermAgeingRecord | None = None,
) -> int:
    specification = yardstick.specification
    for service in specification.classes:
        given = {"service_class": service, "specification": specification, "rule": yardstick.decision_rule}
        found = (
            judge_class(results, temperature_c=grade.high_temperature_c, **given)
            if grade.low_temperature_c is None
            else judge_full_grade(
                results,
                high_temperature_c=grade.high_temperature_c,
                low_temperature_c=grade.low_temperature_c,
                long_term_record=long,
                **given,
            )
        )
        assert found.satisfied == grade.satisfied[service.name][place], found.label
        lines = grade.lines[service.name]
        assert len(lines) == len(found.verdicts)
        for line, verdict in zip(lines, found.verdicts, strict=True):
            assert_same_line(
                line, place, verdict, f"{results[0].sample} {found.label} {verdict.requirement.name}"
            )
    return len(specification.classes)


CASES = [
    ("m332-2014", "simple", "reproducibility"),
    ("m332-2020", "four-state", "reproducibility"),
    ("m332-2020", "four-state-conditional", "replicates,repeatability"),
    ("m320", "guard-band", "repeatability"),
    ("mp19-2010", "guard-band-5-percent", "combined,replicates,reproducibility"),
    ("template-agency", "four-state", "budget"),
    ("half-even", "simple", "reproducibility"),
    ("half-up", "four-state", "replicates,reproducibility"),
]


@pytest.mark.parametrize(("name", "rule", "basis"), CASES, ids=[" ".join(case) for case in CASES])
def test_every_outcome_margin_and_probability_is_that_of_the_judge(
    tmp_path: Path, name: str, rule: str, basis: str
) -> None:
    yardstick = yardstick_of(tmp_path, name, rule, basis)
    lines = awkward_samples(60, seed=len(name) + len(rule))
    blocks = blocks_of(write_archive(tmp_path / "archive", lines), yardstick)
    by_sample = judged_one_by_one(lines, yardstick)
    assert sorted(name for block in blocks for name in block.samples) == sorted(by_sample)
    assert compared_as_by_the_judge(blocks, by_sample, yardstick, {}) > 100


@pytest.mark.parametrize(
    ("name", "rule", "basis", "retest"),
    [
        ("m332-2014", "four-state", "own,reproducibility", "first-two-then-median"),
        ("m332-2020", "guard-band", "own", "first"),
        ("half-even", "four-state", "own,replicates", "first-two-then-third"),
        ("m320", "simple", "reproducibility", "first-two-then-third"),
    ],
)
def test_retest_rules_ageing_records_and_own_precision_count_as_by_the_judge(
    tmp_path: Path, name: str, rule: str, basis: str, retest: str
) -> None:
    yardstick = yardstick_of(tmp_path, name, rule, basis, retest)
    lines, ageing = with_ageing(awkward_samples(60, seed=len(basis)), seed=len(retest))
    blocks = blocks_of(write_archive(tmp_path / "archive", lines), yardstick)
    by_sample = {
        sample: without_badly_aged(results, *ageing[sample])
        for sample, results in judged_one_by_one(lines, yardstick).items()
    }
    assert compared_as_by_the_judge(blocks, by_sample, yardstick, ageing) > 50
    given = [one.uncertainty for own in by_sample.values() for one in own if one.uncertainty]
    if "own" in basis:
        assert {one.note.split(",")[0] for one in given if one.basis == "own"} > {"own precision OP-1"}
    counted = [one.counted for own in by_sample.values() for one in own if len(one.counted) > 2]
    assert any(not all(one) for one in counted)


def compared_as_by_the_judge(
    blocks: list[ResultBlock],
    by_sample: dict[str, tuple[Result, ...]],
    yardstick: Yardstick,
    ageing: dict[str, Aged],
) -> int:
    compared = 0
    for block in blocks:
        for grade in BlockJudge(block, yardstick).grades():
            for place in np.flatnonzero(grade.tested).tolist():
                sample = block.samples[place]
                _, long = ageing.get(sample, (None, None))
                compared += assert_same_grade(grade, place, by_sample[sample], yardstick, long)
    return compared
