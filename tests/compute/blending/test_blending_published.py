"""Cited cases of blends."""

import importlib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.blending.rules.hot_storage import storage_loss
from resile.compute.blending.rules.polymer_recovery import recovery_curve
from resile.compute.blending.surfaces.mixture_design import mixture_design
from resile.compute.blending.surfaces.mixture_surface import fit_mixture_surface
from resile.compute.blending.surfaces.predicted_surface import (
    predict_surface,
    surface_covariance,
    surface_gradient,
)
from resile.compute.blending.surfaces.recovery_surface import fit_recovery_surface
from resile.compute.blending.surfaces.residual_kernel import likeliest_residual
from resile.compute.blending.surfaces.smooth_residual import fit_smooth_residual
from resile.compute.blending.surfaces.surface_choice import choose_surface
from resile.compute.blending.surfaces.trial_blends import TrialBlends, gather_trials
from resile.compute.blending.surfaces.trial_hull import outside_trials
from resile.records.blending.limit import Response
from resile.records.blending.mixed import MixedProperty
from resile.records.blending.polymer import RecoveryPrior, StoragePoint
from resile.records.determination import Condition

PUBLISHED = Path(__file__).resolve().parents[2] / "published"
CASES = [
    case
    for topic in ("blend_surfaces", "mixing_rules", "blending_practice")
    for case in tomllib.loads((PUBLISHED / f"{topic}.toml").read_text(encoding="utf-8"))["case"]
]
RESPONSE = Response("softening_point", Condition.ORIGINAL)

# Elongation of yarn (Cornell), as NIST/SEMATECH 5.5.4.2 prints it: polyethylene, polystyrene, polypropylene.
YARN = {
    (1.0, 0.0, 0.0): (11.0, 12.4),
    (0.5, 0.5, 0.0): (15.0, 14.8, 16.1),
    (0.0, 1.0, 0.0): (8.8, 10.0),
    (0.0, 0.5, 0.5): (10.0, 9.7, 11.8),
    (0.0, 0.0, 1.0): (16.8, 16.0),
    (0.5, 0.0, 0.5): (17.7, 16.4, 16.6),
}


def of_yarn(inputs: dict[str, Any]) -> Any:
    shares = [blend for blend, results in YARN.items() for _ in results]
    values = [one for results in YARN.values() for one in results]
    batches = [str(place) for place in range(len(values))]  # every result from a batch of its own
    surface = fit_mixture_surface(
        RESPONSE, ("a", "b", "c"), shares, values, scale="value", form=inputs["form"], batches=batches
    )
    quality = surface.quality
    assert quality is not None
    at = np.atleast_2d(inputs.get("at", []))
    answers = {
        "coefficients": lambda: surface.coefficients,
        "standards": lambda: np.sqrt(np.diag(surface.covariance)),
        "quality": lambda: (quality.residual_standard, quality.degrees_of_freedom),
        "prediction": lambda: [float(part[0]) for part in predict_surface(surface, at)[:2]],
        "covariance": lambda: surface_covariance(surface, at, at),
        "gradient": lambda: surface_gradient(surface, at)[0],
        "outside": lambda: outside_trials(surface, at),
    }
    return answers[inputs["give"]]()


def of_design(inputs: dict[str, Any]) -> Any:
    trials = gather_trials(inputs["shares"], inputs["values"], scale="value")
    return mixture_design(trials, ("a", "b"), scale="value", form=inputs["form"])


def of_process(inputs: dict[str, Any]) -> Any:
    surface = fit_smooth_residual(RESPONSE, ("a", "b"), inputs["shares"], inputs["values"], scale="value")
    return predict_surface(surface, [inputs["at"]]).mean[0]


def of_choice(inputs: dict[str, Any]) -> Any:
    chosen = choose_surface(RESPONSE, ("a", "b"), inputs["shares"], inputs["values"], scale="value")
    return len(chosen.terms)


def of_storage(inputs: dict[str, Any]) -> Any:
    points = [StoragePoint(*point, said="as published") for point in inputs["points"]]
    return storage_loss(points, hours=inputs["hours"], temperature_c=inputs["temperature_c"])


def of_recovery(inputs: dict[str, Any]) -> Any:
    content = np.array(inputs["content"])
    surface = fit_recovery_surface(
        Response("percent_recovery_3.2", Condition.SHORT_TERM_AGED, 64.0),
        ("base", "polymer"),
        np.stack([1.0 - content / 100.0, content / 100.0], axis=1),
        recovery_curve(content, inputs["truth"]),
        polymer_percent=(0.0, 100.0),
        prior=RecoveryPrior(90.0, 8.0, 3.3, 0.8, 0.8, 0.3),
        batch_standard=inputs["scatter"],
    )
    return surface.coefficients


def of_residual(inputs: dict[str, Any]) -> Any:
    points, means = np.array(inputs["points"]), np.array(inputs["means"])
    trials = TrialBlends(points, means, np.ones(len(means), dtype=np.int64), np.arange(len(means)), 0.0)
    assert trials.spread == pytest.approx(2.0)
    nothing = np.zeros(len(means))
    return likeliest_residual(trials, nothing, np.zeros((5, 5)), np.ones(2), None, 2)[1:]


OWN_WAY = {
    "likeliest_residual": of_residual,
    "storage_loss": of_storage,
    "fit_recovery_surface": of_recovery,
    "mixture_design": of_design,
    "fit_smooth_residual": of_process,
    "choose_surface": of_choice,
}


def found_for(case: dict[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    inputs = dict(case["inputs"])
    if inputs.get("data") == "yarn":
        return of_yarn(inputs)
    if name in OWN_WAY:
        return OWN_WAY[name](inputs)
    for key in ("points", "shares", "values"):
        if key in inputs:
            inputs[key] = np.array(inputs[key])
    found = getattr(importlib.import_module(module), name)(**inputs)
    if name == "mixture_terms":
        return len(found)
    if name == "recovery_slopes":
        return found[0]
    if name == "rule_by_name":
        return found.factor
    return found.values if isinstance(found, MixedProperty) else found


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_cited_case_of_blends_comes_out_as_printed(case: dict[str, Any]) -> None:
    found = found_for(case)
    expected = case["expected"]
    pairs = (
        [(getattr(found, key), one) for key, one in expected.items()]
        if isinstance(expected, dict)
        else [(found, expected)]
    )
    for value, one in pairs:
        np.testing.assert_allclose(np.asarray(value, dtype=float), one, rtol=0, atol=case["tolerance"])
