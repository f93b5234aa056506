"""Every conclusion published with the open data sets, against what follows from the published results.

To accept a wanted change of the page: RESILE_WRITE_PAGE=1 pytest tests/workflows/test_open_data.py, twice;
read the difference.
"""

import csv
import functools
import os
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from resile.compute.rheology.oscillation.oscillation import loss_modulus, rutting_parameter, storage_modulus
from resile.records.quantity import QUANTITIES
from resile.workflows.judging.grading import agree, grade_table
from resile.workflows.judging.reported import ReportedSheet, compare_tables
from resile.workflows.reducing.reduction import reduce_record

ROOT = Path(__file__).resolve().parents[2]
SHARED = ROOT / ".." / "shared" / "data"
PAGE = ROOT / "docs" / "methods" / "open_data.md"
MARKS = ("<!-- compared: re-derived by tests/workflows/test_open_data.py -->", "<!-- end of compared -->")
RUTTING, RECYCLING = "fhwa_ptf_rutting_mit", "fhwa_pitC_recycling_mit"
TABLES = {
    RUTTING: ("htpg_dsr_points.csv", "mscr_summary.csv"),
    RECYCLING: (
        "bbr_60s.csv",
        "bbr_reported_critical_temperatures.csv",
        "blend_dosage_grades.csv",
        "extended_bbr.csv",
        "glover_rowe_44p7C.csv",
    ),
}
# published, reproduced, differing, not checked: counted in the files (lines, blanks of the blend table)
EXPECTED = {
    (RUTTING, "reported_high_temperature"): (35, 35, 0, 0),
    (RUTTING, "rutting_parameter"): (75, 74, 1, 0),
    (RUTTING, "recovery_difference_percent"): (30, 30, 0, 0),
    (RUTTING, "jnr_difference_percent"): (30, 30, 0, 0),
    (RUTTING, "traffic_class"): (30, 30, 0, 0),
    (RECYCLING, "reported_outcome"): (12, 12, 0, 0),
    (RECYCLING, "reported_stiffness_temperature"): (6, 6, 0, 0),
    (RECYCLING, "reported_m_value_temperature"): (6, 6, 0, 0),
    (RECYCLING, "reported_delta_tc"): (6, 6, 0, 0),
    (RECYCLING, "reported_high_temperature"): (14, 4, 0, 10),
    (RECYCLING, "reported_low_temperature"): (6, 0, 0, 6),
    (RECYCLING, "glover_rowe_parameter"): (6, 6, 0, 0),
}
EXPLAINED = {
    ("lane 7, Tank binder, 7098", "1", "rutting_parameter"): "derived-value-does-not-follow",
}
RULE_WORDS = {"both": "either line", "log": "logarithm", "linear": "straight line"}
pytestmark = pytest.mark.skipif(not SHARED.exists(), reason="the open data are not here")


@functools.cache
def compared(name: str) -> ReportedSheet:
    return compare_tables([SHARED / name / file for file in TABLES[name]])


def counts_of(name: str) -> dict[tuple[str, str], tuple[int, int, int, int]]:
    return {
        (name, one.quantity): (one.published, one.reproduced, one.differing, one.unchecked)
        for one in compared(name).summaries
    }


@pytest.mark.parametrize("name", TABLES)
def test_every_published_conclusion_is_counted_and_follows_or_has_its_finding(name: str) -> None:
    assert counts_of(name) == {key: counts for key, counts in EXPECTED.items() if key[0] == name}


@pytest.mark.parametrize("name", TABLES)
def test_each_difference_has_exactly_one_explaining_finding(name: str) -> None:
    for one in compared(name).comparisons:
        codes = [finding.code for finding in one.findings]
        assert len(codes) == (0 if one.reproduced else 1), one
        key = (one.reported.sample, one.reported.replicate, one.reported.quantity)
        if one.checked and not one.reproduced:
            assert codes == [EXPLAINED[key]]
        if not one.checked:
            assert codes == ["reported-value-not-checked"]
            assert one.reported.source is not None
            assert one.reported.source.path.endswith("blend_dosage_grades.csv")


def test_the_published_high_grades_follow_by_the_logarithm_and_by_no_straight_line() -> None:
    high = [
        one for one in compared(RUTTING).comparisons if one.reported.quantity == "reported_high_temperature"
    ]
    assert {one.rule for one in high} == {"log"}
    # printed to 0.1 °C
    assert max(abs(one.deviation or 0.0) for one in high) <= 0.05


@pytest.mark.parametrize(
    "quantity", ["reported_stiffness_temperature", "reported_m_value_temperature", "reported_delta_tc"]
)
def test_the_published_critical_temperatures_come_out_in_full(quantity: str) -> None:
    found = [one for one in compared(RECYCLING).comparisons if one.reported.quantity == quantity]
    assert max(abs(one.deviation or 0.0) for one in found) < 1e-9
    assert {one.rule for one in found} <= {"log", "linear", "both"}


@pytest.mark.parametrize(("name", "file"), [(name, file) for name in TABLES for file in TABLES[name]])
def test_every_table_is_graded_as_it_stands_with_no_row_left_out(name: str, file: str) -> None:
    grading = grade_table(SHARED / name / file, agree("m320"))
    assert grading.statements
    assert grading.account.rows_refused_count == 0
    codes = {finding.code for statement in grading.statements for finding in statement.findings}
    assert not codes & {"reported-value-differs", "reported-value-by-another-rule"}


def test_a_note_says_that_the_limits_of_glover_rowe_belong_to_another_condition() -> None:
    grading = grade_table(SHARED / RECYCLING / "glover_rowe_44p7C.csv")
    for statement in grading.statements:
        assert "glover-rowe-at-another-condition" in {finding.code for finding in statement.findings}


def test_beams_kept_for_different_hours_or_aged_differently_are_no_replicates() -> None:
    grading = grade_table(SHARED / RECYCLING / "extended_bbr.csv")
    assert len(grading.statements) == 2 * 2 * 3 * 2  # binders, ageings, hours, baths
    results = [result for statement in grading.statements for result in statement.results]
    assert sum(len(result.determinations) for result in results) == 119 * 2
    assert max(len(result.determinations) for result in results) == 3


def test_the_grade_named_in_the_blend_table_is_that_of_its_continuous_temperatures() -> None:
    found = {
        one.reported.quantity: one.reported.value or 0.0
        for one in compared(RECYCLING).comparisons
        if one.reported.sample == "B6919 (PG64-22)"
    }
    # M 320: the highest step not above the one, the lowest not below the other
    assert 64.0 <= found["reported_high_temperature"] < 70.0
    assert -28.0 < found["reported_low_temperature"] <= -22.0


def test_both_sweep_files_are_reduced_whole() -> None:
    recovered = reduce_record(SHARED / RUTTING / "frequency_sweep_recovered.csv")
    assert sum(len(run.points) for run in recovered.runs) == 2015
    aged = reduce_record(SHARED / "tudelft_binder_mit" / "frequency_sweeps_three_ages.csv")
    points = [point for run in aged.runs for point in run.points]
    assert len(points) == 293
    assert len(set(points)) == 272  # one block stands twice


def sweep_lines() -> list[tuple[str, int, float]]:
    """Compare the components printed with the recovered sweeps: three figures each, δ to 0.1°."""
    with (SHARED / RUTTING / "frequency_sweep_recovered.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    columns = {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}
    modulus, angle = columns["Gstar_Pa"], columns["delta_deg"]
    told = []
    for symbol, name, function in (
        ("|G*|/sin δ", "Gstar_over_sin_Pa", rutting_parameter),
        ("G'", "Gprime_Pa", storage_modulus),
        ("G''", "Gdoubleprime_Pa", loss_modulus),
    ):
        stated = columns[name]
        corners = [function(modulus + a * half(modulus), angle + b * 0.05) for a in (-1, 1) for b in (-1, 1)]
        slack = half(stated) * (1.0 + 1e-9)
        assert np.all(np.min(corners, axis=0) <= stated + slack), symbol
        assert np.all(np.max(corners, axis=0) >= stated - slack), symbol
        told.append((symbol, len(stated), float(np.max(np.abs(stated / function(modulus, angle) - 1.0)))))
    return told


def half(values: np.ndarray) -> np.ndarray:
    return 0.5 * 10.0 ** (np.floor(np.log10(values)) - 2.0)


def test_the_components_of_the_sweeps_follow_from_modulus_and_phase_angle_within_their_digits() -> None:
    assert [(symbol, count) for symbol, count, _ in sweep_lines()] == [
        ("|G*|/sin δ", 2015),
        ("G'", 2015),
        ("G''", 2015),
    ]


def page_table() -> str:
    lines = [
        "| file | conclusion | published | follow | largest deviation | by | explained by |",
        "|---|---|---|---|---|---|---|",
    ]
    for name in TABLES:
        findings = Counter(
            (one.reported.quantity, finding.code)
            for one in compared(name).comparisons
            for finding in one.findings
        )
        for one in compared(name).summaries:
            known = QUANTITIES[one.quantity]
            rest = ", ".join(f"`{code}` × {findings[one.quantity, code]}" for code in one.codes)
            by = ", ".join(RULE_WORDS.get(rule, rule) for rule in one.rules if rule != "neither")
            deviation = one.largest_deviation
            # the last places of a binary number differ from machine to machine
            number = "–" if deviation is None else "< 1e-9" if deviation < 1e-9 else f"{deviation:.2g}"
            unit = f" {known.unit}" if deviation is not None else ""
            title = (known.symbol or known.title.partition(" as reported")[0]).replace("|", "\\|")
            lines.append(
                f"| `{one.file}` | {title} | {one.published} | {one.reproduced} "
                f"| {number}{unit} | {by or '–'} | {rest or '–'} |"
            )
    for symbol, count, deviation in sweep_lines():
        title = symbol.replace("|", "\\|")
        lines.append(
            f"| `frequency_sweep_recovered.csv` | {title} | {count} | {count} | {100 * deviation:.2g} % "
            "| definition, three figures | – |"
        )
    return "\n".join(lines)


def test_the_page_says_what_comes_out() -> None:
    page = PAGE.read_text(encoding="utf-8")
    before, _, rest = page.partition(MARKS[0])
    _, _, after = rest.partition(MARKS[1])
    made = f"{before}{MARKS[0]}\n\n{page_table()}\n\n{MARKS[1]}{after}"
    if os.environ.get("RESILE_WRITE_PAGE"):
        PAGE.write_text(made, encoding="utf-8")
    assert page == made
