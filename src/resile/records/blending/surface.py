"""A property over the shares of the components, fitted to trial blends, with its doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from resile.records.blending.limit import Response

Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class SurfaceQuality:
    """How well a surface meets the trials it was fitted to, and those it was not.

    Attributes
    ----------
    trials : int
        Number of results used.
    degrees_of_freedom : float
        Results less coefficients (effective number for a smooth residual).
    residual_standard : float
        Standard deviation about the surface, on the scale of the fit.
    left_out_standard : float or None
        Root mean square of the errors for each blend when it was left out; None with too few blends.
    left_out : tuple of float
        These errors, observed less predicted, in the order of the blends.
    candidates : tuple of tuple of str and float
        Forms that were compared, each with its left-out standard, where a choice was made.
    """

    trials: int
    degrees_of_freedom: float
    residual_standard: float
    left_out_standard: float | None = None
    left_out: tuple[float, ...] = ()
    candidates: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class FormRival:
    """Another form for the same trials, that left-out blends do not rule out.

    Attributes
    ----------
    weight : float
        How far they speak for it, as a part of all forms compared.
    surface : Surface
        As fitted, without rivals of its own.
    """

    weight: float
    surface: Surface


@dataclass(frozen=True, slots=True)
class Surface:
    """A property of a blend as a function of the shares: a mean, a covariance, a scatter.

    The mean at shares x is that of the rule, where one is named, plus ``terms(x) @ coefficients``, plus,
    where `kernel_variance` is above zero, a smooth residual (Gaussian process) pinned to the trials. The
    doubt of the mean is a covariance over any two recipes, that of the choice of the form among its `rivals`
    counted in; `batch_standard` is what one batch scatters
    about it, `test_standard` what one test adds. Intervals are Student's t with `degrees_of_freedom`.

    Attributes
    ----------
    response : Response
        What it predicts.
    components : tuple of str
        Names, in the order of the shares.
    scale : str
        ``"logarithm"`` (natural) or ``"value"``: scale of the mean, covariance and scatter.
    form : str
        ``"rule"``, ``"linear"``, ``"quadratic"``, ``"special"``, ``"smooth residual"``,
        ``"recovery curve"``.
    rule : str
        Mixing rule that the fit starts from; empty for none.
    terms : tuple of tuple of int
        Components multiplied in each term: ``(0,)`` is x0, ``(0, 2)`` is x0·x2.
    coefficients : tuple of float
        One for each term, on the scale of the fit; of a recovery curve its plateau, middle and width [%].
    covariance : tuple of tuple of float
        Covariance of the coefficients (all uncertainty of the mean where there is no smooth residual).
    test_standard, batch_standard : float
        Scatter of one test, and of one batch about the surface, on the scale of the fit. Where neither the
        scatter of the test nor repeats are known, that of the batch holds both.
    degrees_of_freedom : float
        Of the scatter, for Student's t; infinite where the scatter was given.
    component_values : tuple of float
        Of each component alone, in the unit of the glossary, where a rule is named; of a recovery curve the
        polymer in each component [%].
    points : tuple of tuple of float
        Shares of the batches used, as ratios.
    observed : tuple of float
        Their mean results on the scale of the fit.
    point_standards : tuple of float
        Scatter of these means about the surface, on the scale of the fit.
    kernel_variance : float
        Variance of the smooth residual; 0 where there is none.
    kernel_lengths : tuple of float
        Its length along each share; empty where there is none.
    quality : SurfaceQuality or None
        How well it fits.
    source : str
        Where form and rule come from.
    rivals : tuple of FormRival
        Other forms that the trials do not rule out, where a form was chosen; the mean is that of the chosen
        one, the doubt counts how far the others are from it.
    """

    response: Response
    components: tuple[str, ...]
    scale: str
    form: str
    rule: str
    terms: tuple[tuple[int, ...], ...]
    coefficients: tuple[float, ...]
    covariance: Matrix
    test_standard: float = 0.0
    batch_standard: float = 0.0
    degrees_of_freedom: float = math.inf
    component_values: tuple[float, ...] = ()
    points: Matrix = field(default=(), repr=False)
    observed: tuple[float, ...] = field(default=(), repr=False)
    point_standards: tuple[float, ...] = field(default=(), repr=False)
    kernel_variance: float = 0.0
    kernel_lengths: tuple[float, ...] = ()
    quality: SurfaceQuality | None = None
    source: str = ""
    rivals: tuple[FormRival, ...] = field(default=(), repr=False)
