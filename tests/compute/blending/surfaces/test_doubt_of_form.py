"""The choice of a form may err: what left-out blends do not rule out widens the doubt of a surface."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.blending.surfaces.mixture_terms import mixture_terms, term_columns
from resile.compute.blending.surfaces.predicted_surface import predict_surface, surface_covariance
from resile.compute.blending.surfaces.surface_choice import choose_surface
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface
from resile.records.determination import Condition

RESPONSE = Response("rutting_parameter", Condition.ORIGINAL, 64.0)
NAMES = ("soft", "hard", "concentrate")
SHARES = np.random.default_rng(12).dirichlet([2.0, 2.0, 1.0], 12)
AT = np.random.default_rng(13).dirichlet([2.0, 2.0, 1.0], 40)
PLANE, BEND = np.array([1.0, 3.0, 5.0]), np.array([1.2, -0.8, 1.0])
FORMS = ("linear", "quadratic")


def chosen(bend: float, seed: int, scatter: float = 0.1) -> Surface:
    columns = term_columns(mixture_terms("quadratic", 3), SHARES)
    noise = scatter * np.random.default_rng(seed).standard_normal(len(SHARES))
    values = columns @ np.concatenate([PLANE, bend * BEND]) + noise
    return choose_surface(RESPONSE, NAMES, SHARES, values, scale="value", forms=FORMS)


@settings(max_examples=15, deadline=None)
@given(bend=st.floats(0.0, 3.0), seed=st.integers(0, 1000))
def test_the_doubt_is_that_of_the_chosen_form_and_the_distance_of_the_rivals_by_weight(
    bend: float, seed: int
) -> None:
    surface = chosen(bend, seed)
    found = predict_surface(surface, AT)
    alone = predict_surface(replace(surface, rivals=()), AT)
    apart = [one.weight * (predict_surface(one.surface, AT).mean - found.mean) ** 2 for one in surface.rivals]

    assert found.mean == pytest.approx(alone.mean)
    assert found.standard**2 == pytest.approx(alone.standard**2 + np.sum(apart, axis=0))
    assert np.diag(surface_covariance(surface, AT, AT)) == pytest.approx(found.standard**2)
    assert np.linalg.eigvalsh(surface_covariance(surface, AT, AT))[0] > -1e-9


def test_two_forms_the_trials_cannot_part_share_the_weight_and_a_form_ruled_out_has_none() -> None:
    tied = [chosen(0.0, seed) for seed in range(20)]
    assert sum(one.form == "linear" or bool(one.rivals) for one in tied) >= 15  # luck may rule a plane out
    assert 0.1 < np.mean([sum(rival.weight for rival in one.rivals) for one in tied]) < 0.6
    clear = chosen(20.0, 1, scatter=0.01)
    assert (clear.form, clear.rivals) == ("quadratic", ())


def test_a_rival_has_no_rivals_of_its_own_and_less_weight_than_all() -> None:
    for seed in range(5):
        for rival in chosen(0.5, seed).rivals:
            assert rival.surface.rivals == () and 0.0 < rival.weight < 1.0
            assert rival.surface.components == NAMES
