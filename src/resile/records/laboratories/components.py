"""Where scatter comes from: components of variance by analysis of variance."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class AnovaLine:
    """One line of the analysis of variance.

    Attributes
    ----------
    source : str
        Factor, ``operator within day`` or ``operator × day``; ``residual`` for the last.
    degrees_of_freedom : float
        Of the mean square.
    sum_of_squares, mean_square : float
        In the square of the unit.
    ratio : float or None
        F, against the line it is tested by; None for the last line.
    probability : float or None
        Of a ratio at least as large where the factor adds nothing.
    """

    source: str
    degrees_of_freedom: float
    sum_of_squares: float
    mean_square: float
    ratio: float | None = None
    probability: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VarianceComponent:
    """Scatter that one factor adds.

    Attributes
    ----------
    source : str
        Factor.
    variance_raw, variance : float
        Estimate, and the same with the floor at zero.
    standard_deviation : float
        Root of `variance`.
    lower, upper : float or None
        Interval of the standard deviation; None where it cannot be given.
    share_percent : float
        Share of the total variance [%].
    study_percent : float
        Standard deviation over that of all results together [%].
    """

    source: str
    variance_raw: float
    variance: float
    standard_deviation: float
    lower: float | None
    upper: float | None
    share_percent: float
    study_percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VarianceComponents:
    """Components of one set of results.

    Attributes
    ----------
    design : str
        ``nested`` or ``crossed``.
    quantity, unit : str
        Name from the glossary (empty where it is none), and the unit.
    count : int
        Results.
    mean : float
        Of all results.
    lines : tuple of AnovaLine
        Analysis of variance.
    components : tuple of VarianceComponent
        Factors in their order, the residual (duplicates) last.
    total : float
        Standard deviation of all components together.
    coverage : float
        Two-sided coverage of the intervals.
    method : str
        How the intervals are made.
    specimen : str
        Factor that stands for the specimens; empty where none does.
    measurement_percent : float or None
        Standard deviation of everything but the specimens over that of all results [%].
    categories : int or None
        How many classes of specimens the measurement can tell apart.
    findings : tuple of Finding
        What is worth a look.
    """

    design: str
    count: int
    mean: float
    lines: tuple[AnovaLine, ...]
    components: tuple[VarianceComponent, ...]
    total: float
    coverage: float
    method: str
    quantity: str = ""
    unit: str = ""
    specimen: str = ""
    measurement_percent: float | None = None
    categories: int | None = None
    findings: tuple[Finding, ...] = ()
