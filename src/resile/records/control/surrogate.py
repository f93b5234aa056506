"""Quick tests that stand in for a slow one: the model, its errors, and what it says of a new lot."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.control.production import WatchedProperty
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True)
class SurrogateModel:
    """A linear model on the scales of its properties.

    Attributes
    ----------
    coefficients : tuple of float
        Intercept, then one slope for each quick property.
    residual_standard : float
        Standard deviation of a single value about the line.
    degrees_of_freedom : int
        Samples less coefficients.
    r_squared : float
        Share of the scatter explained in the fit itself.
    quick : tuple of tuple of float
        Quick properties of the fit, one row a sample, each on its scale.
    slow : tuple of float
        The slow property of the fit, on its scale.
    largest_leverage : float
        Of the samples of the fit.
    """

    coefficients: tuple[float, ...]
    residual_standard: float
    degrees_of_freedom: int
    r_squared: float
    quick: tuple[tuple[float, ...], ...]
    slow: tuple[float, ...]
    largest_leverage: float


@dataclass(frozen=True, slots=True)
class SurrogatePrediction:
    """What a model says of a new sample, on the scale of the slow property.

    Attributes
    ----------
    value : float
        Expected value.
    standard : float
        Standard deviation of a single new value.
    low, high : float
        Interval of a single new value.
    degrees_of_freedom : int
        Of the standard deviation.
    leverage : float
        Distance from the samples of the fit as it enters the standard deviation.
    place : str
        ``inside`` the samples of the fit, at their ``edge``, or ``outside`` them.
    """

    value: float
    standard: float
    low: float
    high: float
    degrees_of_freedom: int
    leverage: float
    place: str


@dataclass(frozen=True, slots=True)
class LeftOutLot:
    """A sample predicted from other lots alone, on the scale of the slow property.

    Attributes
    ----------
    lot : str
        The lot that was left out.
    observed, predicted, error : float
        Value found, value predicted, and the former less the latter.
    leverage : float
        Distance from the samples left in.
    place : str
        As in `SurrogatePrediction`.
    """

    lot: str
    observed: float
    predicted: float
    error: float
    leverage: float
    place: str


@dataclass(frozen=True, slots=True)
class ErrorDrift:
    """How errors of prediction lie since the fit.

    Attributes
    ----------
    count : int
        Errors there are.
    mean_in_standard_errors : float
        Mean of the newest ones in standard errors of that mean, with its sign.
    largest_in_standards : float
        Largest error in standard deviations, without its sign.
    """

    count: int
    mean_in_standard_errors: float
    largest_in_standards: float


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickProperty:
    """A property of a quick test, or the slow one it stands in for.

    Attributes
    ----------
    watched : WatchedProperty
        Property and scale; the limit is that of the slow property.
    column : str
        Where it was read.
    """

    watched: WatchedProperty
    column: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickSample:
    """A sample with its quick results, and its slow one where that was tested.

    Attributes
    ----------
    lot : str
        Lot.
    taken : str
        Day of sampling.
    quick : tuple of float
        Quick results, in the units of the glossary, in the order of the properties.
    slow : float or None
        The slow result in the unit of the glossary; None where it was not tested.
    place : str
        Where it was read.
    """

    lot: str
    taken: str
    quick: tuple[float, ...]
    slow: float | None = None
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseHint:
    """What quick results of a lot say of its slow property; a hint, never a verdict.

    Attributes
    ----------
    lot : str
        Lot.
    taken : str
        Day of sampling.
    value, low, high : float
        Expected slow property with its interval, in the unit of the glossary.
    place : str
        ``inside``, ``edge`` or ``outside``.
    probability : float or None
        That the slow property keeps its limit; None without a limit, or outside.
    hint : str
        ``likely within``, ``test first`` or ``cannot tell``.
    slow : float or None
        The slow result where it was tested afterwards.
    """

    lot: str
    taken: str
    value: float
    low: float
    high: float
    place: str
    probability: float | None
    hint: str
    slow: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickTests:
    """Quick tests of one product, fitted on lots with both, and asked about lots without.

    Attributes
    ----------
    slow : QuickProperty
        What is predicted.
    properties : tuple of QuickProperty
        What it is predicted from.
    model : SurrogateModel
        On the scales of the properties.
    left_out : tuple of LeftOutLot
        Every lot of the fit, predicted from the others.
    left_out_standard, standard : float
        Scatter about the line by lots left out, and the one used: the larger of that and of the fit.
    r_squared_left_out : float
        Share of the scatter explained on lots left out; below nought where the mean would do better.
    error_factor : float or None
        On a log scale the factor within which two of three new values lie; None on a linear one.
    lots : tuple of str
        Lots of the fit.
    hints : tuple of ReleaseHint
        Lots after the fit, or without the slow result.
    drift : ErrorDrift
        Of lots tested after the fit.
    since_anchor : int
        Lots hinted since the newest lot of the fit.
    least_probability : float
        Asked for before a hint says that a lot is likely within its limit.
    confidence : float
        Of the intervals.
    findings : tuple of Finding
        Doubts and warnings; always some.
    """

    slow: QuickProperty
    properties: tuple[QuickProperty, ...]
    model: SurrogateModel
    left_out: tuple[LeftOutLot, ...]
    left_out_standard: float
    standard: float
    r_squared_left_out: float
    error_factor: float | None
    lots: tuple[str, ...]
    hints: tuple[ReleaseHint, ...]
    drift: ErrorDrift
    since_anchor: int
    least_probability: float
    confidence: float
    findings: tuple[Finding, ...] = ()
