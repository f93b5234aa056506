"""The form of a surface chosen by the errors of blends that were left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.blending.surfaces.mixture_surface import fit_mixture_surface
from resile.compute.blending.surfaces.mixture_terms import mixture_terms
from resile.compute.blending.surfaces.residual_kernel import FEWEST_BLENDS
from resile.compute.blending.surfaces.smooth_residual import fit_smooth_residual
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.surface import FormRival, Surface

TIE = 1.10
"""Fewer terms win unless their left-out error is above the smallest by more than this ratio (own choice)."""
WEIGHT_POWER = 0.5
"""Power of the number of left-out blends in the weight of a form (own choice, held by a calibration)."""
LEAST_WEIGHT = 0.02
"""Forms that weigh less are taken as ruled out (own choice)."""
SPARE_BLENDS = 2
"""Blends a form must leave over beside its terms (own choice)."""


def choose_surface(
    response: Response,
    components: Sequence[str],
    shares: ArrayLike,
    values: ArrayLike,
    *,
    scale: str = "logarithm",
    forms: Sequence[str] = ("rule", "linear", "quadratic", "special", "smooth residual"),
    rule: str = "",
    component_values: ArrayLike | None = None,
    batches: Sequence[str] | None = None,
    test_standard: float | None = None,
    batch_standard: float | None = None,
    others: Sequence[Surface] = (),
) -> Surface:
    """Fit the forms that the trials support and give the one that predicts left-out blends best.

    Parameters
    ----------
    response : Response
        What was tested.
    components : sequence of str, length q
        Names, in the order of the shares.
    shares : array_like of float, shape (n, q)
        Shares by mass behind each result, as ratios.
    values : array_like of float, shape (n,)
        Results, in the unit of the glossary.
    scale : str
        ``"logarithm"`` (natural) or ``"value"``.
    forms : sequence of str
        Forms to compare, fewest terms first; ``"rule"`` counts only where a rule is named.
    rule : str
        Mixing rule the surfaces start from; empty for none.
    component_values : array_like of float, shape (q,), or None
        Property of each component alone, in the unit of the glossary; needed with a rule.
    batches : sequence of str, length n, or None
        Which batch each result was tested on; None where every recipe was made once.
    test_standard : float or None
        Scatter of one test on the scale of the fit; None to take it from repeats.
    batch_standard : float or None
        Scatter of a batch about the surface on the scale of the fit; None to estimate it.
    others : sequence of Surface, optional
        Surfaces of another kind, fitted to the same trials on the same scale, to compare (a recovery curve).

    Returns
    -------
    Surface
        The chosen one; its quality lists every form compared with its left-out error.

    Raises
    ------
    MeasurementError
        Where the trials support no form: says how many blends are needed.

    Notes
    -----
    A form is compared where it leaves two blends over beside its terms (a smooth residual: five blends, and
    two beside those of its linear part), and can tell every blend that the simplest form can; errors are
    compared over these. Among them the one with fewest terms wins whose left-out error is within 10 % of
    the smallest.

    The choice itself may err. The other forms stay beside the chosen one as its rivals, weighted by
    ``(smallest error/own error)^(n/2)`` over n left-out blends, and `predict_surface` adds how far they lie
    from it to its doubt. With the power n it would be the likelihood of the left-out errors (as in Geisser
    and Eddy, J. Am. Stat. Assoc. 74 (1979) 153, from memory (high)); left-out errors share blends and tell
    less than as many new ones, hence half of it.
    """
    recipes = np.unique(np.round(np.atleast_2d(np.asarray(shares, dtype=float)), 9), axis=0)
    fitted: list[Surface] = []
    for form in forms:
        if not _supported(form, rule, len(components), len(recipes)):
            continue
        if form == "smooth residual":
            surface = fit_smooth_residual(
                response,
                components,
                shares,
                values,
                scale=scale,
                rule=rule,
                component_values=component_values,
                batches=batches,
                test_standard=test_standard,
                batch_standard=batch_standard,
            )
        else:
            surface = fit_mixture_surface(
                response,
                components,
                shares,
                values,
                scale=scale,
                form=form,
                rule=rule,
                component_values=component_values,
                batches=batches,
                test_standard=test_standard,
                batch_standard=batch_standard,
            )
        fitted.append(surface)
    fitted = sorted([*others, *fitted], key=_terms_of)
    if not fitted:
        raise MeasurementError(
            f"{len(recipes)} different trial blends found for {len(components)} components; "
            f"needed are at least {len(components) + SPARE_BLENDS}"
        )
    return _best(fitted)


def _supported(form: str, rule: str, components: int, recipes: int) -> bool:
    if form == "rule":
        return bool(rule) and recipes >= SPARE_BLENDS
    if form == "smooth residual":
        terms = 0 if rule else components
        return recipes >= max(FEWEST_BLENDS, terms + SPARE_BLENDS)
    return recipes >= len(mixture_terms(form, components)) + SPARE_BLENDS


def _terms_of(surface: Surface) -> float:
    """Count coefficients; a smooth residual has more of them than any."""
    return len(surface.coefficients) if surface.form != "smooth residual" else float("inf")


def _best(fitted: list[Surface]) -> Surface:
    """Fewest terms within a tie of the smallest left-out error, over the blends that all of them can tell."""
    told = [_told(surface) for surface in fitted]
    fair = [place for place in range(len(fitted)) if told[place] >= told[0]]
    errors = {place: _left_out(fitted[place], told[0]) for place in fair}
    smallest = min(errors.values())
    chosen = next(place for place in fair if errors[place] <= TIE * smallest)
    quality = fitted[chosen].quality
    if quality is None:
        return fitted[chosen]
    candidates = tuple((fitted[place].form, errors[place]) for place in fair)
    weights = _weights(errors, WEIGHT_POWER * len(told[0]))
    rivals = tuple(
        FormRival(weights[place], fitted[place])
        for place in fair
        if place != chosen and weights[place] >= LEAST_WEIGHT
    )
    return replace(fitted[chosen], quality=replace(quality, candidates=candidates), rivals=rivals)


def _weights(errors: dict[int, float], power: float) -> dict[int, float]:
    """Give how far the left-out errors speak for each form; they add up to 1."""
    smallest = min(errors.values())
    parts = {
        place: 1.0 if error <= smallest else (smallest / error) ** power for place, error in errors.items()
    }
    total = sum(parts.values())
    return {place: part / total for place, part in parts.items()}


def _told(surface: Surface) -> set[int]:
    errors = () if surface.quality is None else surface.quality.left_out
    return {place for place, error in enumerate(errors) if np.isfinite(error)}


def _left_out(surface: Surface, blends: set[int]) -> float:
    if surface.quality is None or not blends:
        return float("inf")
    return float(np.sqrt(np.mean([surface.quality.left_out[place] ** 2 for place in blends])))
