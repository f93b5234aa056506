"""Recovery over the net polymer content, fitted to invented ladders of trial blends."""

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from resile.compute.blending.rules.polymer_recovery import recovery_curve, recovery_rise
from resile.compute.blending.surfaces.predicted_surface import (
    predict_surface,
    surface_covariance,
    surface_gradient,
)
from resile.compute.blending.surfaces.recovery_surface import fit_recovery_surface
from resile.compute.blending.surfaces.surface_choice import choose_surface
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.polymer import RecoveryPrior
from resile.records.blending.surface import Surface
from resile.records.determination import Condition

RESPONSE = Response("percent_recovery_3.2", Condition.SHORT_TERM_AGED, 64.0)
NAMES = ("soft", "hard", "concentrate")
PRIOR = RecoveryPrior(90.0, 8.0, 3.3, 0.8, 0.8, 0.3)  # that of SBS, as the package carries it
POLYMER = (0.0, 0.0, 12.0)
CONTENT = np.array([0.0, 0.0, 1.2, 2.4, 2.4, 3.6, 3.6, 4.8, 6.0, 1.8])
TRUTH = (84.0, 3.0, 0.7)


def shares_of(content: ArrayLike) -> NDArray[np.float64]:
    """Two bases in one proportion, and the concentrate."""
    polymer = np.atleast_1d(np.asarray(content, dtype=float)) / 12
    return np.stack([0.4 * (1 - polymer), 0.6 * (1 - polymer), polymer], axis=1)


def ladder(seed: int, rows: slice = slice(None), scatter: float = 1.5) -> Surface:
    seen = recovery_curve(CONTENT, TRUTH) + scatter * np.random.default_rng(seed).standard_normal(
        len(CONTENT)
    )
    batches = [str(place) for place in range(len(CONTENT))][rows]
    return fit_recovery_surface(
        RESPONSE,
        NAMES,
        SHARES[rows],
        seen[rows],
        polymer_percent=POLYMER,
        prior=PRIOR,
        batches=batches,
        batch_standard=None if rows == slice(None) else scatter,
    )


SHARES = shares_of(CONTENT)


def test_a_ladder_comes_back_within_its_own_intervals() -> None:
    content, inside = np.linspace(0.0, 6.0, 13), []
    for seed in range(12):
        surface = ladder(seed)
        value, standard, _ = predict_surface(surface, shares_of(content))
        reach = stdtrit(surface.degrees_of_freedom, 0.975) * standard
        inside.append(np.abs(value - recovery_curve(content, TRUTH)) < reach + 1e-6)
    assert 0.85 < np.mean(inside) <= 1.0


def test_few_trials_leave_the_published_range_and_more_outweigh_it() -> None:
    one = ladder(3, slice(5, 6))
    assert one.coefficients[0] == pytest.approx(PRIOR.plateau, abs=4.0)
    assert 6.0 < one.covariance[0][0] ** 0.5 < 8.0
    many = ladder(3)
    assert many.covariance[0][0] ** 0.5 < 4.0
    assert many.coefficients[0] == pytest.approx(TRUTH[0], abs=4.0)
    assert recovery_rise(many.coefficients).plateau_percent == pytest.approx(4.4, abs=0.5)


def test_what_cannot_be_fitted_is_refused() -> None:
    with pytest.raises(MeasurementError, match="cannot tell the scatter"):
        fit_recovery_surface(RESPONSE, NAMES, SHARES[:1], [3.0], polymer_percent=POLYMER, prior=PRIOR)
    with pytest.raises(MeasurementError, match="polymer in each component"):
        fit_recovery_surface(RESPONSE, NAMES, SHARES, CONTENT, polymer_percent=(0.0, 12.0), prior=PRIOR)


def test_as_a_surface_it_answers_like_any_other() -> None:
    surface, at, step = ladder(2), SHARES[3:6], 1e-5
    np.testing.assert_allclose(
        np.diag(surface_covariance(surface, at, at)), predict_surface(surface, at).standard ** 2, rtol=1e-9
    )
    slopes = surface_gradient(surface, at)
    for place in range(3):
        aside = step * np.eye(3)[place]
        change = predict_surface(surface, at + aside).mean - predict_surface(surface, at - aside).mean
        np.testing.assert_allclose(slopes[:, place], change / (2 * step), rtol=1e-5, atol=1e-6)


def test_the_curve_is_chosen_where_it_holds() -> None:
    seen = recovery_curve(CONTENT, TRUTH) + np.random.default_rng(4).standard_normal(len(CONTENT))
    batches = [str(place) for place in range(len(CONTENT))]
    curve = fit_recovery_surface(
        RESPONSE, NAMES, SHARES, seen, polymer_percent=POLYMER, prior=PRIOR, batches=batches
    )
    chosen = choose_surface(RESPONSE, NAMES, SHARES, seen, scale="value", batches=batches, others=[curve])
    assert chosen.form == "recovery curve"
    assert chosen.quality is not None
    assert {"linear", "recovery curve"} <= dict(chosen.quality.candidates).keys()


def test_binders_that_do_not_recover_at_all_are_no_fault() -> None:
    surface = fit_recovery_surface(
        RESPONSE, NAMES, SHARES[:5], np.zeros(5), polymer_percent=POLYMER, prior=PRIOR, batches=list("abcde")
    )
    value, standard, _ = predict_surface(surface, shares_of([1.0]))
    assert abs(value[0]) < 1.0
    assert 0.0 < standard[0] < 2.0


def test_a_base_that_takes_from_recovery_is_seen_and_the_doubt_covers_the_rest() -> None:
    # A curve of another shape (Hill, 3.3 %, power 3.2) of which the hard base takes up to a tenth.
    generator, inside, near = np.random.default_rng(8), [], []
    for _ in range(12):
        hard, polymer = generator.uniform(0.1, 0.9, 14), generator.uniform(0.0, 4.5, 14)

        def truth(hard: NDArray[np.float64], polymer: NDArray[np.float64]) -> NDArray[np.float64]:
            return np.asarray(85 * polymer**3.2 / (3.3**3.2 + polymer**3.2) * (1 - 0.1 * hard))

        def recipes(hard: NDArray[np.float64], polymer: NDArray[np.float64]) -> NDArray[np.float64]:
            base = 1 - polymer / 12
            return np.stack([(1 - hard) * base, hard * base, polymer / 12], axis=1)

        seen = truth(hard, polymer) + generator.standard_normal(14)
        surface = fit_recovery_surface(
            RESPONSE, NAMES, recipes(hard, polymer), seen, polymer_percent=POLYMER, prior=PRIOR
        )
        hard, polymer = generator.uniform(0.2, 0.8, 40), generator.uniform(0.5, 4.2, 40)
        value, standard, freedom = predict_surface(surface, recipes(hard, polymer))
        away = np.abs(value - truth(hard, polymer))
        inside.append(away < stdtrit(freedom, 0.975) * standard)
        near.append(away)
    assert np.mean(inside) > 0.75  # 0.60 without the residual, 0.8 to 0.97 with it
    assert np.mean(near) < 2.0
