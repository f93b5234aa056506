"""Slips of a day at the bench that give a plausible wrong number: each is told, or asked about.

Expected values are constructed from the definitions S = P L³/(4 b h³ d) and m = −d log S/d log t.
"""

from pathlib import Path

import pytest

import resile
from resile.errors import AmbiguousFileError
from resile.records.bending_beam import BeamRun
from resile.records.oscillation import OscillationRun

TIMES_S = (8.0, 15.0, 30.0, 60.0, 120.0, 240.0)
LOAD_N = 0.980


def deflection_mm(time_s: float, stiffness_mpa: float, m: float = 0.32) -> float:
    stiffness = stiffness_mpa * (time_s / 60.0) ** -m
    return LOAD_N * 101.6**3 / (4.0 * 12.70 * 6.35**3 * stiffness)


def write(folder: Path, *lines: str, above: tuple[str, ...] = ()) -> Path:
    path = folder / "record.csv"
    path.write_text("\n".join((*above, "", *lines)) + "\n", encoding="utf-8")
    return path


def beam_lines(span: str = "101.6", width: str = "12.70", thickness: str = "6.35") -> tuple[str, ...]:
    size = (f"span [mm],{span}", f"width [mm],{width}", f"thickness [mm],{thickness}")
    return ("residue,PAV", "test temperature,-18 °C", *size)


def beams(path: Path) -> list[BeamRun]:
    return [run for run in resile.reduce_record(path).runs if isinstance(run, BeamRun)]


def codes(run: BeamRun | OscillationRun) -> set[str]:
    return {finding.code for finding in run.findings}


def plain_beam(folder: Path, **size: str) -> BeamRun:
    rows = [f"{t:g},980,{deflection_mm(t, 220.0):.5f}" for t in TIMES_S]
    return beams(write(folder, "time [s],load [mN],deflection [mm]", *rows, above=beam_lines(**size)))[0]


def test_a_beam_of_the_usual_size_raises_no_doubt(tmp_path: Path) -> None:
    assert not codes(plain_beam(tmp_path))


@pytest.mark.parametrize(
    "size",
    [{"span": "10.16"}, {"span": "110"}, {"width": "6.35", "thickness": "12.70"}, {"thickness": "6.0"}],
)
def test_a_beam_of_another_size_than_that_of_the_method_is_told(tmp_path: Path, size: dict[str, str]) -> None:
    assert "beam-size-off-nominal" in codes(plain_beam(tmp_path, **size))


def test_a_load_in_grams_is_its_weight(tmp_path: Path) -> None:
    grams = 1000.0 * LOAD_N / 9.80665
    rows = [f"{t / 60.0:.6f},{grams:.4f},{deflection_mm(t, 220.0):.5f}" for t in TIMES_S]
    run = beams(write(tmp_path, "time [min],load [g],deflection [mm]", *rows, above=beam_lines()))[0]
    assert run.creep_stiffness == pytest.approx(220.0, rel=1e-4)
    assert run.m_value == pytest.approx(0.32, abs=1e-4)


@pytest.mark.parametrize(
    "headings",
    [
        ("time [s],load 1 [mN],deflection 1 [mm],load 2 [mN],deflection 2 [mm]",),
        ("time [s],Beam 1,,Beam 2,", ",load [mN],deflection [mm],load [mN],deflection [mm]"),
    ],
)
def test_two_beams_on_one_clock_are_two_specimens(tmp_path: Path, headings: tuple[str, ...]) -> None:
    rows = [
        f"{t:g},980,{deflection_mm(t, 220.0):.5f},980,{deflection_mm(t, 240.0, 0.30):.5f}" for t in TIMES_S
    ]
    first, second = beams(write(tmp_path, *headings, *rows, above=beam_lines()))
    assert (first.label, second.label) == ("specimen 1", "specimen 2")
    assert (first.creep_stiffness, second.creep_stiffness) == pytest.approx((220.0, 240.0), rel=1e-4)
    assert (first.m_value, second.m_value) == pytest.approx((0.32, 0.30), abs=1e-4)


def test_a_deflection_that_was_not_zeroed_is_told(tmp_path: Path) -> None:
    rows = ["-1,35,0.01", "-0.5,35,0.01"]
    rows += [f"{t:g},980,{0.01 + deflection_mm(t, 220.0):.5f}" for t in (0.5, 1.0, 4.0, *TIMES_S)]
    run = beams(write(tmp_path, "time [s],load [mN],deflection [mm]", *rows, above=beam_lines()))[0]
    assert "deflection-before-load" in codes(run)


def test_stiffness_typed_at_its_loading_times_is_a_beam(tmp_path: Path) -> None:
    rows = [f"{t:g},{220.0 * (t / 60.0) ** -0.32:.2f}" for t in TIMES_S]
    run = beams(write(tmp_path, "loading time [s],creep stiffness [MPa]", *rows))[0]
    assert run.creep_stiffness == pytest.approx(220.0, rel=1e-4)


def oscillation(folder: Path, *rows: str) -> OscillationRun:
    head = "temperature [°C],angular frequency [rad/s],strain [%],complex modulus [kPa],phase angle [°]"
    run = resile.reduce_record(write(folder, head, *rows)).runs[0]
    assert isinstance(run, OscillationRun)
    return run


@pytest.mark.parametrize(("modulus_kpa", "doubted"), [(1.45, False), (1450.0, True)])
def test_pascals_under_a_heading_in_kilopascals_are_told(
    tmp_path: Path, modulus_kpa: float, doubted: bool
) -> None:
    run = oscillation(tmp_path, f"64,10,12,{modulus_kpa},85.5", f"70,10,12,{modulus_kpa / 2},86.2")
    assert ("modulus-unit-suspected" in codes(run)) is doubted


def test_a_stiff_cold_binder_is_no_slip(tmp_path: Path) -> None:
    assert "modulus-unit-suspected" not in codes(oscillation(tmp_path, "10,10,1,60000,28", "25,10,1,5000,48"))


def test_equal_moduli_at_two_strains_are_no_repeated_point(tmp_path: Path) -> None:
    run = oscillation(tmp_path, "64,10,2,1.45,85.5", "64,10,4,1.45,85.5", "64,10,12,1.44,85.5")
    assert "repeated-points" not in codes(run)


def test_a_viscosity_without_a_unit_is_asked_about_in_units(tmp_path: Path) -> None:
    path = write(tmp_path, "temperature [°C],viscosity,torque [%]", "135,512,51", "165,123,31")
    with pytest.raises(AmbiguousFileError, match=r"rotational viscosity .* in Pa·s or mPa·s"):
        resile.reduce_record(path)


def test_m_values_that_disagree_are_told_in_a_clean_sentence(tmp_path: Path) -> None:
    path = tmp_path / "two.csv"
    head = "sample,condition,temperature_c,quantity,value,replicate"
    path.write_text(f"{head}\nA,PAV,-18,m_value,0.320,1\nA,PAV,-18,m_value,0.305,2\n", encoding="utf-8")
    grading = resile.grade_table(path, resile.agree("m320", decision_rule="four-state"))
    told = [finding for one in grading.statements for result in one.results for finding in result.findings]
    assert any("range over 0.015, more than" in finding.message for finding in told)
