"""The models against definitions, the exact tables, and an independent numerical integration."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from resile.compute.rheology.models.viscoelastic_models import (
    BurgersModel,
    KelvinElement,
    StressPulse,
    creep_compliance,
    creep_recovery_response,
    newtonian,
)
from resile.errors import InputError

TWO_KELVIN = BurgersModel(0.5, 50.0, (KelvinElement(2.0, 4.0), KelvinElement(8.0, 0.8)))
positive = st.floats(min_value=1e-2, max_value=1e3)
models = st.builds(
    BurgersModel,
    maxwell_dashpot_kpa_s=positive,
    maxwell_spring_kpa=positive,
    kelvin_elements=st.lists(st.builds(KelvinElement, positive, positive), max_size=3).map(tuple),
)


def integrate(model: BurgersModel, pulses: list[StressPulse], times: list[float]) -> np.ndarray:
    """Integrate the differential equations of the elements with scipy: the outside reference."""

    def stress(t: float) -> float:
        total = 0.0
        for p in pulses:
            if p.rise_s > 0:
                rising = min(max((t - p.start_s) / p.rise_s, 0.0), 1.0)
                falling = min(max((t - p.end_s) / p.rise_s, 0.0), 1.0)
                total += p.stress_kpa * (rising - falling)
            elif p.start_s <= t < p.end_s:
                total += p.stress_kpa
        return total

    def rates(t: float, state: np.ndarray) -> list[float]:
        s = stress(t)
        elements = zip(model.kelvin_elements, state[1:], strict=True)
        return [s / model.maxwell_dashpot_kpa_s] + [
            (s - e.spring_kpa * strain) / e.dashpot_kpa_s for e, strain in elements
        ]

    corners = {0.0, *times}
    for p in pulses:
        corners |= {p.start_s, p.start_s + p.rise_s, p.end_s, p.end_s + p.rise_s}
    corners_in_order = sorted(c for c in corners if c <= max(times))
    state = np.zeros(1 + len(model.kelvin_elements))
    found = {0.0: 0.0}
    for begin, end in itertools.pairwise(corners_in_order):
        inside = np.nextafter(end, begin)
        state = solve_ivp(rates, (begin, inside), state, method="LSODA", rtol=1e-11, atol=1e-14).y[:, -1]
        found[end] = stress(inside) / model.maxwell_spring_kpa + state.sum()
    return np.array([found[t] for t in times])


@pytest.mark.parametrize("rise_s", [0.0, 0.03])
def test_the_closed_form_agrees_with_a_numerical_integration_of_the_elements(rise_s: float) -> None:
    pulses = [StressPulse(10.0 * n, 10.0 * n + 1.0, 0.1 if n < 2 else 3.2, rise_s=rise_s) for n in range(4)]
    times = [0.01, 0.5, 1.0, 1.02, 1.5, 10.0, 11.0, 20.0, 20.02, 21.0, 30.0, 40.0]
    exact = creep_recovery_response(TWO_KELVIN, times, pulses=pulses)
    # Tolerance: that of the integration.
    np.testing.assert_allclose(exact, integrate(TWO_KELVIN, pulses, times), rtol=1e-8)


def test_a_newtonian_liquid_strains_by_stress_over_viscosity_and_keeps_it() -> None:
    # creep-recovery case: 0.25 kPa·s under 3.2 kPa for 1 s; strain 12.8, by definition.
    pulse = StressPulse(0.0, 1.0, 3.2)
    strain = creep_recovery_response(newtonian(0.25), [0.0, 0.5, 1.0, 10.0], pulses=[pulse])
    np.testing.assert_allclose(strain, [0.0, 6.4, 12.8, 12.8], rtol=1e-14)


@given(models)
def test_compliance_starts_at_the_spring_and_ends_on_the_dashpot_line(model: BurgersModel) -> None:
    late = 60 * max([e.retardation_time_s for e in model.kelvin_elements], default=1.0)
    start, end = creep_compliance(model, [0.0, late])
    springs = 1 / model.maxwell_spring_kpa + sum(1 / e.spring_kpa for e in model.kelvin_elements)
    assert math.isclose(start, 1 / model.maxwell_spring_kpa, rel_tol=1e-12)
    assert math.isclose(end, springs + late / model.maxwell_dashpot_kpa_s, rel_tol=1e-12)


@given(models, st.floats(min_value=0.05, max_value=20.0))
def test_strain_is_proportional_to_stress(model: BurgersModel, factor: float) -> None:
    times = np.linspace(0.1, 20.0, 40)
    one = creep_recovery_response(model, times, pulses=[StressPulse(0, 1, 1.0), StressPulse(10, 11, 2.0)])
    more = creep_recovery_response(
        model, times, pulses=[StressPulse(0, 1, factor), StressPulse(10, 11, 2 * factor)]
    )
    np.testing.assert_allclose(more, factor * one, rtol=1e-12, atol=1e-15)


@given(models)
def test_a_very_short_rise_is_the_sudden_stress(model: BurgersModel) -> None:
    times = np.array([0.5, 1.0, 3.0, 10.0])
    sudden = creep_compliance(model, times)
    np.testing.assert_allclose(creep_compliance(model, times, rise_s=1e-7), sudden, rtol=1e-4)


def test_a_point_at_the_end_of_a_step_belongs_to_that_step() -> None:
    spring = BurgersModel(maxwell_dashpot_kpa_s=1e9, maxwell_spring_kpa=2.0)
    pulses = [StressPulse(0.1 + 0.2, 1.3, 1.0)]  # 0.1 + 0.2 is not 0.3 in the last bit
    strain = creep_recovery_response(spring, [0.3, 1.3, 1.3 + 1e-6], pulses=pulses)
    np.testing.assert_allclose(strain, [0.0, 0.5, 0.0], atol=1e-8)


def test_each_level_answers_with_its_own_model() -> None:
    binder = {0.1: newtonian(1.0), 3.2: newtonian(0.5)}
    pulses = [StressPulse(0, 1, 0.1), StressPulse(10, 11, 3.2)]
    np.testing.assert_allclose(creep_recovery_response(binder, [10.0, 20.0], pulses=pulses), [0.1, 6.5])


def test_a_stress_without_a_model_is_refused_with_the_stresses_that_have_one() -> None:
    with pytest.raises(InputError, match=r"no model for 3\.2 kPa found, models are given for 0\.1 kPa"):
        creep_recovery_response({0.1: newtonian(1.0)}, [1.0], pulses=[StressPulse(0, 1, 3.2)])


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_an_impossible_viscosity_is_refused(value: float) -> None:
    with pytest.raises(InputError, match="Maxwell dashpot"):
        newtonian(value)


def test_a_time_that_is_no_number_is_refused() -> None:
    with pytest.raises(InputError, match="not-a-number"):
        creep_compliance(newtonian(1.0), [math.nan])
