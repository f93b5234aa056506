"""Surfaces fitted to invented trial blends of three components: laws, and direct formulas beside them."""

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.special import stdtrit

from resile.compute.blending.surfaces.mixture_surface import fit_mixture_surface
from resile.compute.blending.surfaces.mixture_terms import mixture_terms, term_columns
from resile.compute.blending.surfaces.predicted_surface import (
    predict_surface,
    surface_covariance,
    surface_gradient,
)
from resile.compute.blending.surfaces.smooth_residual import fit_smooth_residual
from resile.compute.blending.surfaces.surface_choice import choose_surface
from resile.compute.blending.surfaces.trial_hull import outside_trials
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface
from resile.records.determination import Condition

RESPONSE = Response("jnr_3.2", Condition.SHORT_TERM_AGED, 64.0)
NAMES = ("soft", "hard", "concentrate")
TRIALS = np.array(
    [
        [1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.5, 0.5, 0.0],
        [0.7, 0.0, 0.3],
        [0.4, 0.4, 0.2],
        [0.2, 0.6, 0.2],
        [0.6, 0.3, 0.1],
        [0.3, 0.5, 0.2],
        [0.55, 0.15, 0.3],
        [0.1, 0.9, 0.0],
        [0.35, 0.35, 0.3],
        [0.8, 0.1, 0.1],
    ]
)
TRUTH = np.array([1.5, -1.0, -4.0, 0.3, -2.0, 0.0])
OWN_VALUES = (4.5, 0.35, 0.02)


def truth(shares: np.ndarray) -> np.ndarray:
    return term_columns(mixture_terms("quadratic", 3), shares) @ TRUTH


def results(seed: int, scatter: float = 0.05, shares: np.ndarray = TRIALS) -> np.ndarray:
    return np.exp(truth(shares) + scatter * np.random.default_rng(seed).standard_normal(len(shares)))


def recipes(count: int, seed: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).dirichlet([2.0, 2.0, 1.0], count)


def surfaces() -> list[Surface]:
    return [
        fit_mixture_surface(RESPONSE, NAMES, TRIALS, results(1), form="special"),
        fit_mixture_surface(
            RESPONSE,
            NAMES,
            TRIALS,
            results(1),
            form="quadratic",
            rule="log-compliance",
            component_values=OWN_VALUES,
        ),
        fit_mixture_surface(
            RESPONSE,
            NAMES,
            TRIALS,
            1000.0 * results(1),
            form="linear",
            rule="log-log-viscosity-cp",
            component_values=(4500.0, 350.0, 20.0),
        ),
        fit_mixture_surface(RESPONSE, NAMES, TRIALS, results(1), scale="value", form="quadratic"),
        fit_smooth_residual(RESPONSE, NAMES, TRIALS, results(1)),
        fit_smooth_residual(
            RESPONSE, NAMES, TRIALS, results(1), rule="log-compliance", component_values=OWN_VALUES
        ),
    ]


def test_a_slope_is_the_difference_of_two_predictions() -> None:
    at, step = recipes(5), 1e-5
    for surface in surfaces():
        slopes = surface_gradient(surface, at)
        for place in range(3):
            aside = step * np.eye(3)[place]
            up, down = predict_surface(surface, at + aside).mean, predict_surface(surface, at - aside).mean
            np.testing.assert_allclose(slopes[:, place], (up - down) / (2 * step), rtol=1e-5, atol=1e-5)


def test_the_doubt_of_a_prediction_is_the_diagonal_of_the_covariance() -> None:
    at = recipes(6)
    for surface in surfaces():
        covariance = surface_covariance(surface, at, at)
        np.testing.assert_allclose(
            np.diag(covariance), predict_surface(surface, at).standard ** 2, rtol=1e-6, atol=1e-10
        )
        assert np.linalg.eigvalsh(covariance)[0] > -1e-9


def test_components_in_another_order_give_the_same_answer() -> None:
    order, at = [2, 0, 1], recipes(4)
    for fit in (fit_mixture_surface, fit_smooth_residual):
        one = predict_surface(fit(RESPONSE, NAMES, TRIALS, results(1)), at)
        names = tuple(NAMES[place] for place in order)
        other = predict_surface(fit(RESPONSE, names, TRIALS[:, order], results(1)), at[:, order])
        np.testing.assert_allclose(one.mean, other.mean, rtol=1e-7, atol=1e-9)
        np.testing.assert_allclose(one.standard, other.standard, rtol=1e-5)


def test_trials_in_another_order_and_in_another_unit_give_the_same_surface() -> None:
    order, at = np.random.default_rng(5).permutation(12), recipes(4)
    one = predict_surface(fit_mixture_surface(RESPONSE, NAMES, TRIALS, results(1)), at)
    other = predict_surface(
        fit_mixture_surface(RESPONSE, NAMES, TRIALS[order], 1000.0 * results(1)[order]), at
    )
    np.testing.assert_allclose(other.mean - np.log(1000.0), one.mean, atol=1e-9)
    np.testing.assert_allclose(other.standard, one.standard, rtol=1e-6)


def test_a_rule_with_all_linear_terms_changes_nothing_where_trials_tell() -> None:
    plain = fit_mixture_surface(RESPONSE, NAMES, TRIALS, results(1), form="quadratic")
    on_rule = surfaces()[1]
    at = recipes(5)
    np.testing.assert_allclose(
        predict_surface(plain, at).mean, predict_surface(on_rule, at).mean, rtol=0, atol=2e-3
    )


def test_left_out_errors_in_closed_form_are_those_of_new_fits() -> None:
    # With the scatter given, the two ways differ by centre and spread of the prior alone, and that is weak.
    values = np.append(
        results(1), results(2)[4]
    )  # a second batch of the fifth blend: both are left out together
    shares = np.vstack([TRIALS, TRIALS[4:5]])
    batches = [str(place) for place in range(13)]
    surface = fit_mixture_surface(
        RESPONSE, NAMES, shares, values, form="quadratic", batches=batches, batch_standard=0.05
    )
    assert surface.quality is not None
    for place in (2, 4, 8, 12):
        kept = ~np.all(shares == shares[place], axis=1)
        rest = [one for one, stays in zip(batches, kept, strict=True) if stays]
        without = fit_mixture_surface(
            RESPONSE, NAMES, shares[kept], values[kept], form="quadratic", batches=rest, batch_standard=0.05
        )
        error = np.log(values[place]) - predict_surface(without, shares[place]).mean[0]
        assert surface.quality.left_out[place] == pytest.approx(error, abs=3e-3)


def test_the_process_is_the_one_of_the_direct_formula() -> None:
    # Rasmussen and Williams 2006, equations 2.23 and 2.24, about a known mean: no polynomial, no search.
    surface = fit_smooth_residual(
        RESPONSE, NAMES, TRIALS, results(1), rule="log-compliance", component_values=OWN_VALUES
    )
    at, lengths = recipes(4), np.array(surface.kernel_lengths)

    def kernel(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        away = (a[:, None, :] - b[None, :, :]) / lengths
        return surface.kernel_variance * np.exp(-0.5 * (away**2).sum(axis=2))

    total = kernel(TRIALS, TRIALS) + surface.batch_standard**2 * np.eye(12)
    base = np.log(np.array(OWN_VALUES))
    mean = at @ base + kernel(at, TRIALS) @ np.linalg.solve(total, np.log(results(1)) - TRIALS @ base)
    variance = surface.kernel_variance - np.einsum(
        "mn,nm->m", kernel(at, TRIALS), np.linalg.solve(total, kernel(TRIALS, at))
    )
    found = predict_surface(surface, at)
    np.testing.assert_allclose(found.mean, mean, atol=1e-9)
    np.testing.assert_allclose(found.standard, np.sqrt(variance), rtol=1e-6)


def test_the_chosen_kernel_is_likelier_than_its_neighbours() -> None:
    surface = fit_smooth_residual(
        RESPONSE, NAMES, TRIALS, results(1), rule="log-compliance", component_values=OWN_VALUES
    )
    y = np.log(results(1)) - TRIALS @ np.log(np.array(OWN_VALUES))

    def likelihood(stretch: float, height: float, scatter: float) -> float:
        away = (TRIALS[:, None, :] - TRIALS[None, :, :]) / (np.array(surface.kernel_lengths) * stretch)
        total = height**2 * surface.kernel_variance * np.exp(-0.5 * (away**2).sum(axis=2))
        total += (scatter * surface.batch_standard) ** 2 * np.eye(12)
        return float(-0.5 * y @ np.linalg.solve(total, y) - 0.5 * np.linalg.slogdet(total)[1])

    best = likelihood(1.0, 1.0, 1.0)
    assert max(likelihood(*(1.3 ** np.array(way))) for way in ((0, 0, 1), (0, 0, -1))) < best
    assert min(likelihood(1.0, 3.0, 3.0), likelihood(0.3, 0.3, 1.0)) < best


def test_outside_is_what_linear_programming_says() -> None:
    surface, at = surfaces()[0], recipes(40)
    told = outside_trials(surface, at)
    system = np.vstack([TRIALS.T, np.ones(12)])
    asked = [linprog(np.zeros(12), A_eq=system, b_eq=np.append(one, 1.0)).status == 2 for one in at]
    np.testing.assert_array_equal(told, asked)
    assert 0 < told.sum() < 40


def test_eight_components_on_their_corners_hold_every_recipe_and_four_hold_none_of_the_rest() -> None:
    names = tuple("abcdefgh")
    whole = fit_mixture_surface(RESPONSE, names, np.eye(8), np.arange(1.0, 9.0), batch_standard=0.1)
    at = np.random.default_rng(1).dirichlet(np.ones(8), 5)
    assert not outside_trials(whole, at).any()
    few = fit_mixture_surface(RESPONSE, ("a", "b"), [[1.0, 0.0], [0.6, 0.4]], [1.0, 2.0], batch_standard=0.1)
    assert outside_trials(few, [[0.7, 0.3], [0.5, 0.5]]).tolist() == [False, True]


def test_few_trials_leave_the_doubt_wide_and_too_few_are_refused() -> None:
    three = fit_mixture_surface(
        RESPONSE, NAMES, TRIALS[3:6], results(1)[3:6], form="quadratic", batch_standard=0.05
    )
    twelve = fit_mixture_surface(RESPONSE, NAMES, TRIALS, results(1), form="quadratic", batch_standard=0.05)
    at = [[0.9, 0.05, 0.05]]
    assert predict_surface(three, at).standard[0] > 20.0 * predict_surface(twelve, at).standard[0]
    with pytest.raises(MeasurementError, match="cannot tell the scatter"):
        fit_mixture_surface(RESPONSE, NAMES, TRIALS[3:6], results(1)[3:6], form="linear")
    with pytest.raises(MeasurementError, match="no trial of this property contains concentrate"):
        fit_mixture_surface(RESPONSE, NAMES, TRIALS[[0, 1, 2, 9]], results(1)[[0, 1, 2, 9]])


def test_repeats_part_the_test_from_the_batch() -> None:
    rng = np.random.default_rng(8)
    shares = np.repeat(TRIALS, 4, axis=0)
    batch = np.repeat(0.1 * rng.standard_normal(12), 4)
    values = np.exp(truth(shares) + batch + 0.03 * rng.standard_normal(48))
    surface = fit_mixture_surface(RESPONSE, NAMES, shares, values, form="quadratic")
    assert surface.test_standard == pytest.approx(0.03, rel=0.4)
    assert surface.batch_standard == pytest.approx(0.1, rel=0.6)
    assert surface.degrees_of_freedom == pytest.approx(6.0, abs=0.1)
    assert surface.quality is not None
    assert surface.quality.trials == 48


def test_the_choice_takes_few_terms_for_a_plane_and_more_for_a_bend() -> None:
    bent = choose_surface(RESPONSE, NAMES, TRIALS, results(1, scatter=0.01))
    assert bent.form in ("quadratic", "special", "smooth residual")
    assert bent.quality is not None
    assert dict(bent.quality.candidates)[bent.form] < 0.5 * dict(bent.quality.candidates)["linear"]
    plane = np.exp(TRIALS @ TRUTH[:3] + 0.05 * np.random.default_rng(4).standard_normal(12))
    assert choose_surface(RESPONSE, NAMES, TRIALS, plane).form == "linear"
    few = choose_surface(RESPONSE, NAMES, TRIALS[:5], results(1)[:5])
    assert few.form in ("linear", "smooth residual")  # never six terms on five blends
    with pytest.raises(MeasurementError, match="needed are at least 5"):
        choose_surface(RESPONSE, NAMES, TRIALS[:4], results(1)[:4])


def test_the_rule_alone_wins_where_it_holds() -> None:
    values = np.exp(
        TRIALS @ np.log(np.array(OWN_VALUES)) + 0.03 * np.random.default_rng(6).standard_normal(12)
    )
    values[:2] = OWN_VALUES[:2]
    chosen = choose_surface(
        RESPONSE, NAMES, TRIALS, values, rule="log-compliance", component_values=OWN_VALUES
    )
    assert chosen.form == "rule"
    assert chosen.degrees_of_freedom == 10.0  # the two components alone meet the rule by construction
    assert chosen.batch_standard == pytest.approx(0.03, rel=0.6)


@pytest.mark.parametrize("scatter", [0.02, 0.2])
def test_a_surface_comes_back_within_its_own_intervals(scatter: float) -> None:
    at, inside = recipes(20), []
    for seed in range(30):
        surface = fit_mixture_surface(RESPONSE, NAMES, TRIALS, results(seed, scatter), form="quadratic")
        found = predict_surface(surface, at)
        inside.append(
            np.abs(found.mean - truth(at)) < stdtrit(surface.degrees_of_freedom, 0.975) * found.standard
        )
    assert 0.87 < np.mean(inside) <= 1.0


@pytest.mark.nightly
def test_intervals_of_every_form_hold_the_truth_as_often_as_they_say() -> None:
    at = recipes(20)
    counts: dict[str, list[np.ndarray]] = {"polynomial": [], "process": [], "repeats": []}
    rng = np.random.default_rng(77)
    for seed in range(400):
        values = results(seed, 0.1)
        twice = np.repeat(truth(TRIALS) + 0.1 * rng.standard_normal(12), 2) + 0.05 * rng.standard_normal(24)
        fits = {
            "polynomial": fit_mixture_surface(RESPONSE, NAMES, TRIALS, values, form="quadratic"),
            "process": fit_smooth_residual(RESPONSE, NAMES, TRIALS, values),
            "repeats": fit_mixture_surface(
                RESPONSE, NAMES, np.repeat(TRIALS, 2, axis=0), np.exp(twice), form="quadratic"
            ),
        }
        for name, surface in fits.items():
            found = predict_surface(surface, at)
            reach = stdtrit(surface.degrees_of_freedom, 0.975) * found.standard
            counts[name].append(np.abs(found.mean - truth(at)) < reach)
    coverage = {name: float(np.mean(inside)) for name, inside in counts.items()}
    assert 0.93 < coverage["polynomial"] < 0.97, coverage
    assert 0.93 < coverage["repeats"] < 0.985, (
        coverage
    )  # conservative: the scatter of a batch cannot be below none
    assert coverage["process"] > 0.92, coverage
