import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.uncertainty import budget, proof, repeatability
from resile.errors import MeasurementError


def test_the_budget_near_60_degrees_has_the_printed_lines() -> None:
    """creep-recovery trade notes, section 7, error budget [derived]: 1.3, 1.6, 1, 4, 1 %."""
    found = budget.jnr_budget(
        temperature_uncertainty_c=0.1,
        diameter_uncertainty_mm=0.1,
        gap_uncertainty_mm=0.01,
        radius_uncertainty_percent=1.0,
        torque_uncertainty_percent=1.0,
    )
    assert [line.contribution_percent for line in found.components] == pytest.approx(
        [1.3, 1.6, 1.0, 4.0, 1.0], abs=0.05
    )
    assert found.quantities == ("jnr_0.1", "jnr_3.2")


@given(st.lists(st.floats(0.0, 100.0), min_size=1, max_size=8), st.floats(0.0, 100.0))
def test_a_further_doubt_never_makes_the_result_surer(parts: list[float], more: float) -> None:
    # Another order of summation may cost the last digit.
    assert budget.combined_standard([*parts, more]) >= budget.combined_standard(parts) * (1.0 - 1e-12)


def test_impossible_budgets_are_refused() -> None:
    with pytest.raises(MeasurementError, match="zero or above"):
        budget.jnr_budget(gap_uncertainty_mm=-0.01)
    with pytest.raises(MeasurementError, match="above zero"):
        budget.jnr_budget(plate_diameter_mm=0.0)
    with pytest.raises(MeasurementError, match="finite"):
        budget.combined_standard([np.nan])
    with pytest.raises(MeasurementError, match="triangular"):
        budget.standard_from_half_width(1.0, shape="round")


def test_a_triangular_shape_is_surer_than_a_rectangular_one() -> None:
    """JCGM 100:2008, 4.3.9: the square root of 6 against that of 3."""
    ratio = budget.standard_from_half_width(1.0) / budget.standard_from_half_width(1.0, shape="triangular")
    assert ratio == pytest.approx(2.0**0.5)


@settings(deadline=None)  # the first call imports scipy
@given(st.lists(st.floats(0.0, 10.0), min_size=2, max_size=6), st.floats(0.01, 5.0))
def test_agreement_does_not_depend_on_the_order_of_replicates(values: list[float], sd: float) -> None:
    assert repeatability.ranges_agree(values, sd) == repeatability.ranges_agree(values[::-1], sd)


def test_fewer_results_than_two_have_no_range() -> None:
    with pytest.raises(MeasurementError, match="two results"):
        repeatability.range_factor(1)
    with pytest.raises(MeasurementError, match="two results"):
        repeatability.replicate_spread([1.0])
    with pytest.raises(MeasurementError, match="finite"):
        repeatability.replicate_spread([1.0, np.nan])
    with pytest.raises(MeasurementError, match="between 0 and 1"):
        repeatability.range_factor(3, probability=1.0)


def test_impossible_laboratories_are_refused() -> None:
    with pytest.raises(MeasurementError, match="at least one result"):
        repeatability.laboratory_critical_difference(1.0, 0.5, 0, 1)
    with pytest.raises(MeasurementError, match="reproducibility"):
        repeatability.laboratory_critical_difference(1.0, 2.0)
    with pytest.raises(MeasurementError, match="laboratory"):
        proof.proof_distance(1.0, laboratories=0)
    with pytest.raises(MeasurementError, match="confidence"):
        proof.proof_distance(1.0, confidence=0.2)
    with pytest.raises(MeasurementError, match="mean above zero"):
        repeatability.two_results_agree(-1.0, 0.5, 10.0)


def test_spread_works_along_the_last_axis() -> None:
    mean, sd, width = repeatability.replicate_spread([[1.0, 3.0], [2.0, 2.0]])
    np.testing.assert_allclose(mean, [2.0, 2.0])
    np.testing.assert_allclose(sd, [2.0**0.5, 0.0])
    np.testing.assert_allclose(width, [2.0, 0.0])
