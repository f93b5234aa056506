"""Laws of quick tests."""

import numpy as np
import pytest
from numpy.typing import NDArray

from resile.compute.statistics.surrogates.left_out import (
    drift_of_errors,
    leave_one_lot_out,
    left_out_standard,
)
from resile.compute.statistics.surrogates.line import fit_surrogate, predict_surrogate
from resile.errors import InputError

Floats = NDArray[np.float64]


def lots_of(seed: int, *, count: int = 24, lot_scatter: float = 0.0) -> tuple[Floats, Floats, list[str]]:
    """Give quick and slow properties of lots with two samples each; the scatter about the line is 0.1."""
    random = np.random.default_rng(seed)
    names = [f"lot {place // 2}" for place in range(2 * count)]
    quick = random.normal(size=(2 * count, 2))
    between = np.repeat(random.normal(0.0, lot_scatter, count), 2)
    slow = 1.0 + quick @ np.array([0.5, -0.3]) + between + random.normal(0.0, 0.1, 2 * count)
    return quick, slow, names


def test_a_lot_left_out_never_enters_its_own_prediction() -> None:
    quick, slow, names = lots_of(1)
    spoilt = slow.copy()
    of_lot = [place for place, name in enumerate(names) if name == "lot 3"]
    spoilt[of_lot] += 1000.0
    clean, dirty = leave_one_lot_out(quick, slow, names), leave_one_lot_out(quick, spoilt, names)
    for place in of_lot:
        assert dirty[place].predicted == pytest.approx(clean[place].predicted, abs=1e-9)


def test_lots_that_differ_show_in_the_error_of_lots_left_out() -> None:
    quick, slow, names = lots_of(2, lot_scatter=0.4)
    together = left_out_standard(leave_one_lot_out(quick, slow, names))
    apart = left_out_standard(leave_one_lot_out(quick, slow, [str(place) for place in range(len(slow))]))
    assert together > apart


def test_the_error_of_lots_left_out_gives_the_scatter_that_was_put_in() -> None:
    found = [left_out_standard(leave_one_lot_out(*lots_of(seed))) for seed in range(12)]
    assert float(np.mean(found)) == pytest.approx(0.1, rel=0.08)


def test_intervals_of_prediction_hold_new_values_about_as_often_as_they_say() -> None:
    held = []
    for seed in range(25):
        quick, slow, _ = lots_of(seed, count=10)
        model = fit_surrogate(quick, slow)
        new_quick, new_slow, _ = lots_of(1000 + seed, count=10)
        for row, value in zip(new_quick, new_slow, strict=True):
            at = predict_surrogate(model, row.tolist(), confidence=0.9)
            held.append(at.low <= value <= at.high)
    assert float(np.mean(held)) == pytest.approx(0.9, abs=0.05)


def test_units_of_quick_properties_do_not_change_what_is_predicted() -> None:
    quick, slow, _ = lots_of(3)
    here = predict_surrogate(fit_surrogate(quick, slow), [0.2, 0.1])
    there = predict_surrogate(fit_surrogate(quick * [1000.0, 0.01], slow), [200.0, 0.001])
    assert there.value == pytest.approx(here.value, abs=1e-9)
    assert there.leverage == pytest.approx(here.leverage, abs=1e-9)
    assert there.place == here.place


def test_the_order_of_samples_does_not_matter() -> None:
    quick, slow, _ = lots_of(4)
    turned = fit_surrogate(quick[::-1], slow[::-1])
    assert turned.coefficients == pytest.approx(fit_surrogate(quick, slow).coefficients, abs=1e-12)


def test_places_inside_at_the_edge_and_outside_are_told_apart() -> None:
    corners = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [3.0, 3.0], [0.0, 0.4], [2.6, 3.0], [1.5, 1.6]]
    model = fit_surrogate(corners, [0.1, 1.0, 2.1, 2.9, 0.3, 2.8, 1.5])
    assert predict_surrogate(model, [1.5, 1.55]).place == "inside"
    assert predict_surrogate(model, [1.5, 1.45]).place == "edge"  # each in its range, the pair never seen
    assert predict_surrogate(model, [1.5, 3.5]).place == "outside"
    assert predict_surrogate(model, [3.0, 0.0]).place == "outside"  # in both ranges, far from every pair


def test_every_sample_of_the_fit_lies_inside() -> None:
    quick, slow, _ = lots_of(5)
    model = fit_surrogate(quick, slow)
    assert {predict_surrogate(model, row.tolist()).place for row in quick} == {"inside"}


def test_drift_is_that_of_the_newest_errors() -> None:
    assert drift_of_errors([], 1.0).count == 0
    old_and_new = drift_of_errors([-5.0, *[1.0] * 5], 1.0)
    assert old_and_new.mean_in_standard_errors == pytest.approx(5.0**0.5)
    assert old_and_new.largest_in_standards == 5.0


@pytest.mark.parametrize(
    ("quick", "slow", "words"),
    [
        ([[1.0], [2.0], [3.0]], [1.0, 2.0, 3.0], "at least 4 are needed"),
        ([[1.0]] * 6, [1.0, 2.0, 3.0, 4.0, 5.0, 6.0], "never changes"),
        ([[float(n), 2.0 * n] for n in range(8)], list(range(8)), "same thing"),
        ([[1.0], [float("nan")]], [1.0, 2.0], "finite"),
        ([[1.0], [2.0]], [1.0], "one row"),
    ],
)
def test_what_cannot_be_fitted_is_refused_in_words(
    quick: list[list[float]], slow: list[float], words: str
) -> None:
    with pytest.raises(InputError, match=words):
        fit_surrogate(quick, slow)
