"""Columns, offset and weak prior of a fit to trial blends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.mixing_rules import rule_values
from resile.compute.blending.rules.rule_table import RULES
from resile.compute.blending.surfaces.mixture_terms import Terms, mixture_terms, term_columns
from resile.compute.blending.surfaces.trial_blends import TrialBlends
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

PRIOR_SPREADS = 10.0
"""Prior standard deviation of a term at its largest size tried, in spreads of the trials (own choice)."""
LARGEST_UNSEEN = {1: 1.0, 2: 0.25, 3: 1.0 / 27.0}
"""Largest size a term can have, by the number of components it multiplies, where no trial has it."""


@dataclass(frozen=True, slots=True)
class MixtureDesign:
    """Columns, offset and prior of a fit.

    Attributes
    ----------
    terms : tuple of tuple of int
        Terms of the polynomial.
    columns : ndarray of float, shape (b, p)
        Each at each batch.
    offset : ndarray of float, shape (b,)
        What the rule gives, on the scale of the fit; 0 without one.
    prior_mean, prior_standard : ndarray of float, shape (p,)
        Normal prior of the coefficients, one by one.
    """

    terms: Terms
    columns: Floats
    offset: Floats
    prior_mean: Floats
    prior_standard: Floats


def mixture_design(
    trials: TrialBlends,
    components: Sequence[str],
    *,
    scale: str,
    form: str,
    rule: str = "",
    component_values: ArrayLike | None = None,
    component_standard: float | None = None,
) -> MixtureDesign:
    """Set up columns and the weak prior of a fit.

    Parameters
    ----------
    trials : TrialBlends
        Batches, as `gather_trials` gives them.
    components : sequence of str, length q
        Names, for messages.
    scale, form, rule : str
        As in `fit_mixture_surface`.
    component_values : array_like of float, shape (q,), or None
        As in `fit_mixture_surface`.
    component_standard : float or None
        As in `fit_mixture_surface`.

    Returns
    -------
    MixtureDesign
        The prior is centred on the mean of the trials, or on the rule where one is named.

    Raises
    ------
    MeasurementError
        Where no trial holds a component, or a rule lacks the values of its components.
    """
    if len(components) != trials.points.shape[1]:
        raise MeasurementError(
            f"components: {len(components)} names found for {trials.points.shape[1]} shares; "
            "needed is one each"
        )
    terms = mixture_terms(form, len(components))
    columns = term_columns(terms, trials.points)
    largest = np.abs(columns).max(axis=0, initial=0.0)
    alone = np.array([len(term) == 1 for term in terms], dtype=bool)
    unseen = [
        components[term[0]] for term, most in zip(terms, largest, strict=True) if len(term) == 1 and not most
    ]
    if unseen and component_standard is None:
        raise MeasurementError(
            f"no trial of this property contains {', '.join(unseen)}: make one, or leave the component out"
        )
    unseen_size = np.array([LARGEST_UNSEEN[len(term)] for term in terms])
    standards = PRIOR_SPREADS * trials.spread / np.where(largest > 0.0, largest, unseen_size)
    if component_standard is not None:
        standards[alone] = component_standard
    centre = 0.0 if rule else float(trials.means.mean())
    return MixtureDesign(
        terms, columns, rule_offset(rule, trials.points, component_values, scale), centre * alone, standards
    )


def rule_offset(rule: str, points: Floats, component_values: ArrayLike | None, scale: str) -> Floats:
    """Give what a rule says at the recipes, on the scale of the fit.

    Parameters
    ----------
    rule : str
        A key of the mixing rules; empty for none.
    points : ndarray of float, shape (b, q)
        Recipes.
    component_values : array_like of float, shape (q,), or None
        Property of each component, in the unit of the glossary.
    scale : str
        ``"logarithm"`` or ``"value"``.

    Returns
    -------
    ndarray of float, shape (b,)
        Zeros without a rule.

    Raises
    ------
    MeasurementError
        Where the rule is not known, needs a fitted interaction, or lacks values.
    """
    if not rule:
        return np.zeros(len(points))
    if rule in RULES and RULES[rule].needs_interaction:
        raise MeasurementError(
            f"mixing rule '{rule}': its interaction is what a fit finds; "
            "name log-viscosity with the form quadratic"
        )
    if component_values is None:
        raise MeasurementError(f"mixing rule '{rule}': needed is the property of every component alone")
    mixed = rule_values(rule, points, np.asarray(component_values, dtype=float))
    return np.asarray(np.log(mixed) if scale == "logarithm" else mixed)
