"""The law of judging anew: arrays give what the judge gives to one sample after the other."""

import math
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

from invented_archive import Line, awkward_samples, write_archive
from resile.compute.statistics.verdicts.deciding import OUTCOMES
from resile.judge.grades.full_grade import judge_full_grade
from resile.judge.grades.sample import judge_class
from resile.judge.results.results import results_from_determinations
from resile.records.archive_answers import ResultsWanted
from resile.records.determination import Result
from resile.records.verdict import Verdict
from resile.storage.archive.asking import asked
from resile.storage.archive.asking_samples import results_in_order
from resile.workflows.archive.block_doubts import needs_spread
from resile.workflows.archive.block_verdicts import BlockJudge, GradeVerdicts, LineVerdicts
from resile.workflows.archive.result_blocks import ResultBlock, result_blocks
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


def yardstick_of(tmp_path: Path, name: str, rule: str, basis: str) -> Yardstick:
    if name.startswith("half"):
        own = tmp_path / "awkward.toml"
        own.write_text(AWKWARD.replace("ROUNDING", name), encoding="utf-8")
        return agree(own, decision_rule=rule, uncertainty_basis=basis)
    return agree(name, decision_rule=rule, uncertainty_basis=basis)


def blocks_of(archive: Path, yardstick: Yardstick, *, rows: int = 700) -> list[ResultBlock]:
    with asked(archive) as asking:
        batches = results_in_order(asking, ResultsWanted(), rows=rows)
        return list(result_blocks(batches, yardstick.precision, with_spread=needs_spread(yardstick)))


def judged_one_by_one(lines: list[Line], yardstick: Yardstick) -> dict[str, tuple[Result, ...]]:
    by_sample: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        by_sample[line.sample].append(line)
    return {
        name: results_from_determinations(
            [line.determination() for line in own],
            yardstick.precision,
            yardstick.retest_rule,
            basis=yardstick.basis,
            budgets=yardstick.budgets,
        )
        for name, own in by_sample.items()
    }


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
    grade: GradeVerdicts, place: int, results: tuple[Result, ...], yardstick: Yardstick
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
    compared = 0
    for block in blocks:
        for grade in BlockJudge(block, yardstick).grades():
            for place in np.flatnonzero(grade.tested).tolist():
                compared += assert_same_grade(grade, place, by_sample[block.samples[place]], yardstick)
    assert compared > 100
