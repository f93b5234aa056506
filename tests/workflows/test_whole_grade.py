"""Published continuous temperatures through the grading workflow, and the whole grade of a table."""

import csv
from pathlib import Path

import pytest

from resile.records.verdict import GradeStatement
from resile.workflows.judging.grading import agree, grade_table

DATA = Path(__file__).parents[3] / "shared" / "data"
HIGH = DATA / "fhwa_ptf_rutting_mit" / "htpg_dsr_points.csv"
BEAMS = DATA / "fhwa_pitC_recycling_mit" / "bbr_60s.csv"
CRITICAL = DATA / "fhwa_pitC_recycling_mit" / "bbr_reported_critical_temperatures.csv"
high_data = pytest.mark.skipif(not HIGH.is_file(), reason="the open data set is not at hand")
beam_data = pytest.mark.skipif(not BEAMS.is_file(), reason="the open data set is not at hand")

HEAD = "sample,condition,temperature_c,quantity,value,unit\n"
TANK = (
    HEAD
    + """A,original,,flash_point,290,°C
A,original,135,rotational_viscosity,0.42,Pa·s
A,original,64,rutting_parameter,1.162,kPa
A,original,70.01,rutting_parameter,0.550,kPa
A,RTFO,,mass_change_percent,-0.31,%
A,RTFO,64,rutting_parameter,2.791,kPa
A,RTFO,70,rutting_parameter,1.254,kPa
A,PAV,25,fatigue_parameter,3900,kPa
A,PAV,-12,creep_stiffness,201,MPa
A,PAV,-12,m_value,0.309,
A,PAV,-18,creep_stiffness,368,MPa
A,PAV,-18,m_value,0.263,
"""
)


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@high_data
def test_every_published_high_grade_is_the_logarithmic_one_within_0_05_degrees() -> None:
    """FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, sheet HTPG: 35 specimens [read]."""
    found = {s.sample: s for s in grade_table(HIGH, agree("m320"), each=True, both_rules=True).statements}
    names = {"Unaged": "original", "RTFO": "aged", "as recovered": "aged"}
    published = {
        (
            f"lane {row['lane']}, {row['binder']}, {row['sample_id']} [{row['replicate']}]",
            names[row["lab_ageing"]],
        ): float(row["reported_high_grade_C"])
        for row in rows_of(HIGH)
    }
    assert len(published) == 35
    for (sample, state), expected in published.items():
        one = next(c for c in found[sample].continuous if c.requirement.name.startswith(f"{state}_rutting"))
        # 0.05: half of the last printed digit
        assert one.grade_temperature_c == pytest.approx(expected, abs=0.0501), (sample, state)
        assert one.critical.other_rule_c is not None
        # specifications.md 6.3: none equals linear interpolation that closely [derived]
        assert abs(one.critical.other_rule_c - expected) > 0.05, (sample, state)


@high_data
def test_recovered_binder_is_graded_with_a_caution() -> None:
    for statement in grade_table(HIGH, agree("m320")).statements:
        codes = {f.code for f in statement.findings}
        assert ("continuous-temperature-of-another-residue" in codes) is ("0-Month" in statement.sample)


@beam_data
def test_the_published_low_critical_temperatures_are_found_to_a_millionth() -> None:
    """FHWA recycling data set, sheet of critical temperatures: Tc,S, Tc,m and delta-Tc [read]."""
    found = {s.sample: s for s in grade_table(BEAMS, agree("m320"), each=True).statements}
    for row in rows_of(CRITICAL):
        statement = found[f"{row['binder']} [{row['replicate']}]"]
        low = {c.requirement.quantity: c.critical.temperature_c for c in statement.continuous}
        assert low["creep_stiffness"] == pytest.approx(float(row["reported_Tc_S_C"]), abs=1e-6)
        assert low["m_value"] == pytest.approx(float(row["reported_Tc_m_C"]), abs=1e-6)
        assert statement.delta_tc is not None
        assert statement.delta_tc.difference_c == pytest.approx(float(row["reported_delta_Tc_C"]), abs=1e-6)
        (end,) = statement.continuous_ends
        # Low grade: the warmer of both, less 10 °C; all six are governed by the m-value (negative delta-Tc).
        assert (end.end, end.governed_by) == ("low", "m_value_minimum")
        assert end.temperature_c == pytest.approx(float(row["reported_Tc_m_C"]) - 10.0, abs=1e-6)


@beam_data
def test_the_published_pass_or_fail_of_each_beam_temperature_is_found() -> None:
    for low, test_c in ((-22, "-12"), (-28, "-18")):
        found = {
            s.sample: s for s in grade_table(BEAMS, agree("m320"), each=True, claim=f"PG 64{low}").statements
        }
        for row in rows_of(BEAMS):
            if row["temperature_C"] != test_c:
                continue
            statement = found[f"{row['binder']} [{row['replicate']}]"]
            grade = next(g for g in statement.full_grades if g.label == f"PG 64{low}")
            outcomes = {str(v.outcome) for v in grade.verdicts if v.requirement.temperature == "low + 10"}
            assert ("fail" if "fail" in outcomes else "pass") == row["reported_pass_fail"].lower(), row


def graded(tmp_path: Path, text: str = TANK, **more: object) -> GradeStatement:
    path = tmp_path / "tank.csv"
    path.write_text(text, encoding="utf-8")
    (statement,) = grade_table(path, agree("m320"), **more).statements  # type: ignore[arg-type]
    return statement


def test_the_high_continuous_grade_is_the_lower_of_original_and_aged(tmp_path: Path) -> None:
    """FHWA lane 3 tank replicate 1 [read]: published 65.2 (unaged) and 65.8 (RTFO)."""
    ends = {end.end: end for end in graded(tmp_path).continuous_ends}
    assert ends["high"].temperature_c == pytest.approx(65.2, abs=0.05)
    assert ends["high"].governed_by == "original_rutting_parameter_minimum"
    # FHWA 20RAP replicate 1 [read]: Tc,m -13.173913
    assert ends["low"].temperature_c == pytest.approx(-23.173913, abs=1e-6)


def test_an_end_with_a_property_that_might_govern_has_no_continuous_grade(tmp_path: Path) -> None:
    text = "".join(line for line in TANK.splitlines(keepends=True) if "A,RTFO,70" not in line)
    text = text.replace("2.791", "2.1")
    (high,) = [end for end in graded(tmp_path, text).continuous_ends if end.end == "high"]
    assert high.temperature_c is None
    assert high.missing == ("aged_rutting_parameter_minimum",)


def test_nothing_is_extrapolated_unless_asked_and_then_it_is_marked(tmp_path: Path) -> None:
    text = TANK.replace("0.550", "1.050")
    silent = graded(tmp_path, text).continuous[0].critical
    assert silent.temperature_c is None
    assert "do not bracket" in silent.reason
    asked = graded(tmp_path, text, allow_extrapolation=True)
    assert asked.continuous[0].critical.extrapolated
    assert "continuous-temperature-extrapolated" in {f.code for f in asked.findings}


def test_a_grade_is_verified_through_the_table(tmp_path: Path) -> None:
    path = tmp_path / "tank.csv"
    path.write_text(TANK, encoding="utf-8")
    for claim, holds in (("PG 64-22", True), ("PG 64-28", False), ("PG 64", True), ("PG 70", False)):
        assert grade_table(path, agree("m320"), claim=claim).satisfies(claim) is holds


def test_without_every_uncertainty_the_bounds_are_those_of_the_known_lines_and_the_others_are_named(
    tmp_path: Path,
) -> None:
    grade = graded(tmp_path, claim="PG 64-22").full_grades[0]
    assert grade.satisfied
    found = grade.probability
    assert found is not None
    # flash point and mass change have no published precision here
    assert found.missing == ("flash_point_minimum", "mass_change_maximum")
    assert (found.whole, found.probability, len(found.each)) == (False, None, 6)
    assert 0.0 < found.lowest <= found.if_independent <= found.highest < 1.0


def test_with_replicates_of_every_test_the_probability_is_bounded(tmp_path: Path) -> None:
    lines = TANK.splitlines()[1:]
    again = [
        ",".join((*cells[:4], f"{float(cells[4]) * 1.002:.6g}", cells[5]))
        for cells in (line.split(",") for line in lines)
    ]
    path = tmp_path / "twice.csv"
    path.write_text(HEAD + "\n".join([*lines, *again]) + "\n", encoding="utf-8")
    agreed = agree("m320", uncertainty_basis="replicates")
    (statement,) = grade_table(path, agreed, claim="PG 64-22").statements
    found = statement.full_grades[0].probability
    assert found is not None
    assert found.probability is None
    assert found.basis == "bounds only"
    assert found.lowest <= found.if_independent <= found.highest
