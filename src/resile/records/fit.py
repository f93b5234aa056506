"""What a fit by least squares found, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LeastSquaresFit:
    """Parameters of a model fitted by least squares.

    Attributes
    ----------
    values : tuple of float
        Parameters, in the order of the model.
    standards : tuple of float
        Their standard errors; not-a-number for a parameter that sits on a bound.
    covariance : tuple of tuple of float
        Covariance of the parameters.
    residual_sum : float
        Sum of squared residuals.
    residual_standard : float
        Root of that sum over the degrees of freedom.
    degrees_of_freedom : int
        Residuals less free parameters; where residuals hang together, those that count less free parameters.
    starts, agreeing : int
        Starts that were tried, and those that came to the same sum of squares.
    at_bounds : tuple of int
        Places of the parameters that sit on a bound.
    converged : bool
        False where no start met the stopping rule.
    """

    values: tuple[float, ...]
    standards: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    residual_sum: float
    residual_standard: float
    degrees_of_freedom: int
    starts: int = 1
    agreeing: int = 1
    at_bounds: tuple[int, ...] = ()
    converged: bool = True
