import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.rheology.oscillation.oscillation import (
    glover_rowe_parameter,
    loss_modulus,
    reduce_oscillation,
    rutting_parameter,
    storage_modulus,
)
from resile.compute.rheology.oscillation.parallel_plates import (
    complex_modulus_from_torque,
    plate_strain,
    plate_stress_kpa,
)
from resile.errors import MeasurementError
from resile.records.oscillation import OscillationRun

SHARED = Path(__file__).resolve().parents[4] / ".." / "shared" / "data"
MODULUS = st.floats(1e-3, 1e7)
ANGLE = st.floats(0.5, 89.9)


def value(run: OscillationRun, name: str) -> float:
    return next(measure.value for measure in run.measures if measure.name == name)


def rows_of(*parts: str) -> list[dict[str, str]]:
    path = SHARED.joinpath(*parts)
    if not path.exists():
        pytest.skip("the folder of shared data is absent")
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@given(MODULUS, ANGLE)
def test_the_two_parts_of_the_modulus_make_it_up_again(modulus: float, angle: float) -> None:
    parts = np.hypot(storage_modulus(modulus, angle), loss_modulus(modulus, angle))
    assert float(parts) == pytest.approx(modulus, rel=1e-12)


@given(MODULUS, ANGLE)
def test_rutting_and_fatigue_parameters_enclose_the_modulus(modulus: float, angle: float) -> None:
    rutting, fatigue = float(rutting_parameter(modulus, angle)), float(loss_modulus(modulus, angle))
    assert fatigue <= modulus * (1 + 1e-12) <= rutting * (1 + 1e-9)
    assert rutting * fatigue == pytest.approx(modulus**2, rel=1e-9)


@given(MODULUS, ANGLE, st.floats(0.1, 10.0))
def test_every_parameter_goes_with_the_modulus(modulus: float, angle: float, factor: float) -> None:
    for function in (storage_modulus, loss_modulus, rutting_parameter, glover_rowe_parameter):
        assert float(function(factor * modulus, angle)) == pytest.approx(
            factor * float(function(modulus, angle)), rel=1e-9
        )


@given(MODULUS, ANGLE, st.floats(0.05, 1.0))
def test_a_less_elastic_binder_of_one_modulus_ruts_more(modulus: float, angle: float, rise: float) -> None:
    more_viscous = min(angle + rise, 90.0)
    assert float(rutting_parameter(modulus, more_viscous)) < float(rutting_parameter(modulus, angle))
    assert float(glover_rowe_parameter(modulus, more_viscous)) < float(glover_rowe_parameter(modulus, angle))


@given(st.floats(1e-6, 0.1), st.floats(1e-6, 0.5), st.floats(1.0, 1.02))
def test_one_per_cent_of_diameter_is_four_of_modulus(torque: float, angle: float, factor: float) -> None:
    one, other = (
        float(complex_modulus_from_torque(torque, angle, plate_diameter_mm=d, gap_mm=1.0))
        for d in (25.0, 25.0 * factor)
    )
    assert one / other == pytest.approx(factor**4, rel=1e-9)


@given(st.floats(1e-6, 0.1), st.floats(1e-6, 0.5))
def test_the_modulus_is_the_same_at_the_rim_and_at_two_thirds(torque: float, angle: float) -> None:
    for place in ("rim", "two-thirds"):
        stress = plate_stress_kpa(torque, plate_diameter_mm=8.0, place=place)
        strain = plate_strain(angle, plate_diameter_mm=8.0, gap_mm=2.0, place=place)
        whole = complex_modulus_from_torque(torque, angle, plate_diameter_mm=8.0, gap_mm=2.0)
        assert float(stress / strain) == pytest.approx(float(whole), rel=1e-9)


def test_a_solid_has_no_rutting_parameter_and_says_none() -> None:
    (point,) = reduce_oscillation(64.0, 2.0, 0.0).points
    assert point.rutting_parameter is None
    assert point.angular_frequency_rad_s is None


def test_an_impossible_phase_angle_is_refused_with_its_place() -> None:
    with pytest.raises(MeasurementError, match=r"point 2 at 70 °C: the phase angle.*found 95"):
        reduce_oscillation([64.0, 70.0], [2.0, 1.0], [85.0, 95.0])


def test_a_missing_modulus_is_refused() -> None:
    with pytest.raises(MeasurementError, match="point 1 at 64 °C: the modulus must be above zero"):
        reduce_oscillation([64.0], [float("nan")], [85.0])


def test_empty_cells_of_strain_stay_empty() -> None:
    run = reduce_oscillation(
        [64.0, 70.0], [2.0, 1.0], [85.0, 86.0], strain=[0.1, float("nan")], stress_kpa=[0.2, float("nan")]
    )
    assert [point.strain for point in run.points] == [0.1, None]
    assert value(run, "modulus_stress_misfit_percent") == pytest.approx(0.0, abs=1e-9)


def test_a_modulus_that_rises_with_temperature_is_measured() -> None:
    run = reduce_oscillation([64.0, 70.0, 76.0], [2.0, 2.2, 0.5], [80.0, 82.0, 84.0])
    assert value(run, "modulus_rise_with_temperature_percent") == pytest.approx(10.0)


def test_stress_at_two_thirds_shows_in_the_implied_diameter() -> None:
    stress = plate_stress_kpa(0.001, plate_diameter_mm=25.0, place="two-thirds")
    run = reduce_oscillation(64.0, 2.0, 85.0, torque_nm=0.001, stress_kpa=stress, plate_diameter_mm=25.0)
    assert value(run, "implied_diameter_ratio") == pytest.approx(1.5 ** (1 / 3))


def test_a_torque_in_the_wrong_unit_shows_in_the_implied_diameter() -> None:
    stress = plate_stress_kpa(0.001, plate_diameter_mm=25.0)
    run = reduce_oscillation(64.0, 2.0, 85.0, torque_nm=1.0, stress_kpa=stress, plate_diameter_mm=25.0)
    assert value(run, "implied_diameter_ratio") == pytest.approx(10.0)


def test_published_points_hang_together() -> None:
    # FHWA Turner-Fairbank, Data.xlsx sheet HTPG: bounds as stated for the 75 points in the trade notes.
    rows = rows_of("fhwa_ptf_rutting_mit", "htpg_dsr_points.csv")

    def column(name: str) -> list[float]:
        return [float(row[name] or "nan") for row in rows]

    run = reduce_oscillation(
        column("temperature_C"),
        column("Gstar_kPa"),
        column("delta_deg"),
        angular_frequency_rad_s=column("omega_rad_s"),
        strain=[percent / 100.0 for percent in column("strain_pct")],
        stress_kpa=column("stress_kPa"),
        torque_nm=column("torque_Nm"),
        reported_rutting_parameter=column("Gstar_over_sin_kPa"),
        plate_diameter_mm=25.0,
    )
    assert len(run.points) == 75
    assert value(run, "rutting_parameter_misfit_percent") < 0.14
    assert value(run, "modulus_stress_misfit_percent") < 0.08
    assert value(run, "torque_stress_misfit_percent") == pytest.approx(
        0.43, abs=0.01
    )  # lane 4, digits of torque
    assert value(run, "implied_diameter_ratio") == pytest.approx(1.0, abs=0.0005)


def test_published_glover_rowe_values_come_out_in_full() -> None:
    rows = rows_of("fhwa_pitC_recycling_mit", "glover_rowe_44p7C.csv")
    modulus = np.array([float(row["Gstar_Pa_44.7C_10rad_s"]) for row in rows]) / 1000.0
    found = glover_rowe_parameter(modulus, [float(row["delta_deg"]) for row in rows])
    np.testing.assert_allclose(found, [float(row["reported_GR_kPa"]) for row in rows], rtol=1e-12)


def test_published_sweeps_follow_the_slope_rule_within_their_scatter() -> None:
    rows = [
        row
        for row in rows_of("fhwa_ptf_rutting_mit", "frequency_sweep_recovered.csv")
        if (row["lane"], row["replicate"], row["temperature_C"]) == ("1", "1", "46")
    ]
    columns = [[float(row[name]) for row in rows] for name in ("temperature_C", "Gstar_Pa", "delta_deg")]
    run = reduce_oscillation(*columns, angular_frequency_rad_s=[float(row["omega_rad_s"]) for row in rows])
    assert value(run, "modulus_fall_with_frequency_percent") == 0.0
    assert value(run, "slope_phase_misfit_deg") < 3.0
