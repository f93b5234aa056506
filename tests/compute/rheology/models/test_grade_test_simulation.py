"""The model binder keeps the relations its equations imply, and records of it give it back."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.rheology.beam.bending_beam import reduce_beam
from resile.compute.rheology.master_curve.forms.model_binder import (
    ModelBinder,
    bending_stiffness_mpa,
    modulus_and_phase,
)
from resile.compute.rheology.models.grade_test_simulation import (
    simulate_beam,
    simulate_oscillation,
    simulate_viscosity,
)
from resile.compute.rheology.oscillation.oscillation import reduce_oscillation
from resile.compute.rheology.oscillation.parallel_plates import complex_modulus_from_torque
from resile.compute.rheology.viscosity.viscosity_temperature import reduce_viscosity
from resile.errors import InputError
from resile.records.bending_beam import BeamGeometry
from resile.records.viscosity import ViscosityLine

CURVES = st.builds(
    ModelBinder,
    st.floats(1.0, 3.0),
    st.floats(1e-4, 1e2),
    st.just(-5.0),
    st.floats(-25.0, 5.0),
    st.floats(12.0, 22.0),
    st.floats(80.0, 130.0),
)
NOMINAL = BeamGeometry(102.0, 12.7, 6.35)


@given(CURVES, st.floats(-30.0, 90.0), st.floats(1e-2, 1e2))
def test_the_slope_of_the_modulus_is_the_phase_angle_over_90(
    curve: ModelBinder, temperature: float, frequency: float
) -> None:
    # Exact for the model: trade notes, section 4, after Christensen and Anderson.
    step = 1e-4
    low, high = (modulus_and_phase(curve, temperature, frequency * 10**s)[0] for s in (-step, step))
    _, phase = modulus_and_phase(curve, temperature, frequency)
    assert math.log10(high / low) / (2 * step) == pytest.approx(float(phase) / 90.0, abs=1e-5)


@given(CURVES, st.floats(-30.0, 80.0))
def test_modulus_falls_and_phase_angle_rises_with_temperature(curve: ModelBinder, temperature: float) -> None:
    modulus, phase = modulus_and_phase(curve, [temperature, temperature + 6.0], 10.0)
    assert modulus[0] > modulus[1]
    assert phase[0] < phase[1]


@given(CURVES, st.floats(-30.0, 0.0))
def test_a_beam_gives_the_index_of_its_binder_back(curve: ModelBinder, temperature: float) -> None:
    # R = log10(2) log10(S/3000)/log10(1 - m), S in MPa: NCHRP Report 982, from memory (high); exact here.
    stiffness = float(bending_stiffness_mpa(curve, temperature, 60.0))
    m = float(modulus_and_phase(curve, temperature, 1 / 60.0)[1]) / 90.0
    index = math.log10(2) * math.log10(stiffness / 3000.0) / math.log10(1.0 - m)
    assert index == pytest.approx(curve.rheological_index, rel=1e-9)


def test_exact_records_are_reduced_to_the_model_again() -> None:
    curve = ModelBinder(2.15, 10**-2.8, -4.0, -4.0, 18.0, 100.0)
    sweep = simulate_oscillation(curve, [22.0, 25.0], strain=0.01, plate_diameter_mm=8.0, gap_mm=2.0)
    modulus, phase = modulus_and_phase(curve, [22.0, 25.0], 10.0)
    run = reduce_oscillation(sweep["temperature_c"], sweep["complex_modulus"], sweep["phase_angle"])
    assert [p.fatigue_parameter for p in run.points] == pytest.approx(modulus * np.sin(np.radians(phase)))
    from_torque = complex_modulus_from_torque(
        sweep["torque_nm"], sweep["angle_rad"], plate_diameter_mm=8.0, gap_mm=2.0
    )
    assert from_torque / np.array(modulus) == pytest.approx(from_torque[0] / modulus[0])

    beam = simulate_beam(curve, -12.0, geometry=NOMINAL)
    reduced = reduce_beam(beam["time_s"], beam["load_mn"], beam["deflection_mm"], geometry=NOMINAL)
    # The step of the load is found to 4 ms; a curve of second degree follows the model to about 0.1 %.
    assert reduced.creep_stiffness == pytest.approx(
        float(bending_stiffness_mpa(curve, -12.0, 60.0)), rel=2e-3
    )
    assert reduced.m_value == pytest.approx(
        float(modulus_and_phase(curve, -12.0, 1 / 60.0)[1]) / 90.0, abs=1e-3
    )

    line = ViscosityLine(10.98, -3.68)
    record = simulate_viscosity(line, [135.0, 165.0], full_scale_pa_s=1.0)
    found = reduce_viscosity(record["temperature_c"], record["rotational_viscosity"]).line
    assert found is not None
    assert (found.intercept, found.slope) == pytest.approx((10.98, -3.68))


def test_noise_comes_from_the_generator_alone() -> None:
    curve = ModelBinder(2.0, 1.0, 0.0, 0.0)
    first, second = (
        simulate_beam(curve, -12.0, geometry=NOMINAL, generator=np.random.default_rng(5)) for _ in range(2)
    )
    exact = simulate_beam(curve, -12.0, geometry=NOMINAL)
    assert np.array_equal(first["deflection_mm"], second["deflection_mm"])
    assert not np.array_equal(first["deflection_mm"], exact["deflection_mm"])


def test_a_model_that_is_none_and_a_torque_beyond_full_scale_are_refused() -> None:
    with pytest.raises(InputError, match="rheological_index is 0"):
        ModelBinder(0.0, 1.0, 0.0, 0.0)
    with pytest.raises(InputError, match="at most 100 %"):
        simulate_viscosity(ViscosityLine(10.98, -3.68), 135.0, full_scale_pa_s=0.1)
