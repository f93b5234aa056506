"""The fixed JSON interface; expected numbers from creep-recovery.md, section 8.2 (exact Burgers case)."""

import json

import pytest
from example_records import SHA

from resile.records.creep_recovery import CreepRecoveryRun, StressLevel
from resile.records.verdict import GradeStatement
from resile.report.machine.records import run_to_json, statement_to_json

PROMISED = [
    "source",
    "method",
    "temperature_c",
    "conditioning_cycles",
    "levels",
    "jnr_difference_percent",
    "recovery_difference_percent",
    "jnr_slope_percent",
    "findings",
]


def test_a_run_has_the_promised_keys_first_and_in_order(burgers_run: CreepRecoveryRun) -> None:
    given = run_to_json(burgers_run)
    assert list(given)[: len(PROMISED)] == PROMISED
    assert given["source"] == {"path": "runs/linden-07.csv", "sha256": SHA}
    assert given["method"] == "creep_recovery"
    assert given["conditioning_cycles"] == 10
    assert list(given["levels"][0])[:4] == ["stress_kpa", "percent_recovery", "jnr", "cycles"]
    assert list(given["levels"][0]["cycles"][0]) == [
        "number",
        "initial_strain",
        "creep_strain",
        "recovered_strain",
        "percent_recovery",
        "jnr",
    ]
    assert [list(one)[:3] for one in given["findings"]] == [["code", "severity", "message"]] * 2


def test_strains_are_ratios_as_recorded_and_in_full_precision(burgers_run: CreepRecoveryRun) -> None:
    given = run_to_json(burgers_run)
    first, last = given["levels"][0]["cycles"][0], given["levels"][1]["cycles"][9]
    assert first["number"] == 11
    assert first["initial_strain"] == pytest.approx(2.000220, abs=5e-7)
    assert first["creep_strain"] == pytest.approx(2.221807, abs=5e-7)
    assert last["recovered_strain"] == pytest.approx(68.007041, abs=5e-7)
    assert given["levels"][1]["percent_recovery"] == pytest.approx(9.735775, abs=5e-7)
    assert given["levels"][1]["jnr"] == burgers_run.levels[1].jnr


def test_what_is_unknown_is_null() -> None:
    summary = CreepRecoveryRun(levels=(StressLevel(3.2, None, None, 3.222),))
    given = json.loads(json.dumps(run_to_json(summary), allow_nan=False))
    assert given["source"] is None
    assert given["temperature_c"] is None
    assert given["jnr_difference_percent"] is None
    assert given["levels"][0]["percent_recovery"] is None
    assert given["levels"][0]["cycles"] == []


def test_a_statement_names_specification_rule_and_grades(statement: GradeStatement) -> None:
    given = json.loads(json.dumps(statement_to_json(statement), allow_nan=False))
    assert given["sample"] == "Linden 50/70 M"
    assert given["specification"] == {"identifier": "m332-2014", "edition": "2014", "sha256": "9b1d" * 16}
    assert given["decision_rule"] == "guard-band"
    assert given["grades"] == ["64V", "64H", "64S"]
    assert given["reported_class"] == "V"


def test_every_verdict_of_every_class_is_listed(statement: GradeStatement) -> None:
    given = statement_to_json(statement)
    assert len(given["verdicts"]) == 16
    extreme = given["verdicts"][0]
    assert (extreme["class"], extreme["requirement"], extreme["limit"]) == ("64E", "jnr_3.2_maximum", 0.5)
    assert extreme["outcome"] == "fail"
    assert extreme["margin"] == pytest.approx(0.5 - 0.5324, abs=1e-12)
    assert given["classes"][1] == {
        "label": "64V",
        "satisfied": True,
        "complete": False,
        "limiting": "jnr_3.2_maximum",
        "not_tested": ["flash_point_minimum", "mass_change_maximum"],
    }
