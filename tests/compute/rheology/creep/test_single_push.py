"""One push: laws that hold for any binder, and the way back from the two numbers of a result."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.rheology.creep.single_push import model_of_result, push_once, softened_model
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.errors import InputError

COLD = BurgersModel(4.6, 20.0, (KelvinElement(1.2, 1.8),))


@given(jnr=st.floats(0.005, 30.0), recovery=st.floats(-5.0, 97.0), stress=st.sampled_from([0.1, 3.2, 12.8]))
def test_a_result_drawn_as_a_push_gives_the_two_numbers_back(
    jnr: float, recovery: float, stress: float
) -> None:
    model = model_of_result(jnr, recovery, retardation_time_s=1.5)
    push = push_once(model, stress_kpa=stress, temperature_c=64.0)
    assert push.jnr == pytest.approx(jnr, rel=1e-9)
    assert push.percent_recovery == pytest.approx(max(recovery, 0.0), abs=1e-7)


def test_the_path_starts_at_nothing_peaks_at_the_end_of_the_push_and_ends_at_what_stays() -> None:
    push = push_once(COLD, stress_kpa=3.2, temperature_c=64.0)
    assert push.strain[0] == 0.0
    assert max(push.strain) == pytest.approx(push.creep_strain, rel=1e-12)
    assert push.time_s[push.strain.index(max(push.strain))] == pytest.approx(1.0)
    assert push.strain[-1] == pytest.approx(push.recovered_strain, rel=1e-12)


@given(warmer=st.floats(-12.0, 12.0), stress=st.floats(0.1, 12.0))
def test_hotter_leaves_more_and_harder_gives_back_less(warmer: float, stress: float) -> None:
    def push(warmer_c: float, stress_kpa: float) -> tuple[float, float]:
        model = softened_model(
            COLD, warmer_c=warmer_c, slope_per_c=0.131, stress_kpa=stress_kpa, doubling_stress_kpa=8.0
        )
        done = push_once(model, stress_kpa=stress_kpa, temperature_c=64.0 + warmer_c)
        return done.jnr, done.percent_recovery

    assert push(warmer + 1.0, stress)[0] > push(warmer, stress)[0]
    assert push(warmer, stress + 0.5)[1] < push(warmer, stress)[1]


@pytest.mark.parametrize(
    ("jnr", "recovery", "time", "words"),
    [
        (0.0, 10.0, 1.0, "Jnr"),
        (0.5, 100.0, 1.0, "below 100"),
        (float("nan"), 1.0, 1.0, "Jnr"),
        (0.5, 99.0, 9.0, "shorter time"),
    ],
)
def test_numbers_no_push_can_have_are_refused(jnr: float, recovery: float, time: float, words: str) -> None:
    with pytest.raises(InputError, match=words):
        model_of_result(jnr, recovery, retardation_time_s=time)


def test_a_push_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="above 0"):
        push_once(COLD, stress_kpa=0.0, temperature_c=64.0)
    with pytest.raises(InputError, match="doubling"):
        softened_model(COLD, warmer_c=0, slope_per_c=0.1, stress_kpa=1.0, doubling_stress_kpa=0.0)
