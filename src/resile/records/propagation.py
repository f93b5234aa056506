"""Uncertainty carried through a function: by the linear law, and by simulation."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class InputQuantity:
    """One input of a function and what is known about it.

    Attributes
    ----------
    name : str
        For a person.
    value : float
        Best estimate: the mean of the distribution, the median of a log-normal one.
    standard : float
        Standard uncertainty: the standard deviation of the distribution, whatever its shape.
    distribution : str
        ``"normal"``, ``"log-normal"``, ``"rectangular"``, ``"triangular"`` or ``"student"``.
    degrees_of_freedom : float or None
        None where taken as infinite; needed, above 2, for ``"student"``.
    """

    name: str
    value: float
    standard: float
    distribution: str = "normal"
    degrees_of_freedom: float | None = None


@dataclass(frozen=True, slots=True)
class LinearPropagation:
    """Outputs of a function by the law of propagation of uncertainty.

    Attributes
    ----------
    values : tuple of float
        Outputs at the best estimates.
    standards : tuple of float
        Their standard uncertainties.
    correlation : tuple of tuple of float
        Correlation between the outputs.
    sensitivities : tuple of tuple of float
        Row by output, column by input: what one unit of an input does to an output.
    degrees_of_freedom : tuple of float or None
        Effective ones of each output; None where infinite, or where inputs are correlated.
    """

    values: tuple[float, ...]
    standards: tuple[float, ...]
    correlation: tuple[tuple[float, ...], ...]
    sensitivities: tuple[tuple[float, ...], ...]
    degrees_of_freedom: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class SimulatedPropagation:
    """One output of a function by drawing its inputs.

    Attributes
    ----------
    value : float
        Mean of the draws.
    standard : float
        Their standard deviation.
    lower, upper : float
        Ends of the coverage interval.
    probability : float
        Share of the draws inside it.
    interval : str
        ``"symmetric"`` (equal shares outside) or ``"shortest"``.
    draws : int
        How many.
    median : float
        Middle of the draws.
    """

    value: float
    standard: float
    lower: float
    upper: float
    probability: float
    interval: str
    draws: int
    median: float
