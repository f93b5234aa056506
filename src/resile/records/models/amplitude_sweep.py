"""A linear amplitude sweep: the damage it shows and the fatigue law that follows."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from resile.records.finding import Finding, Measure
from resile.records.reading import ReadingAccount, SourceFile


class ExponentConvention(StrEnum):
    """How the damage exponent follows from the slope m of the frequency sweep."""

    INVERSE_SLOPE = "inverse-slope"
    """alpha = 1/m: AASHTO T 391 and TP 101-14."""
    ONE_PLUS_INVERSE_SLOPE = "one-plus-inverse-slope"
    """alpha = 1 + 1/m: AASHTO TP 101-12 and some papers."""


class DamageForm(StrEnum):
    """What is said to be left whole, and what its drop is multiplied by."""

    MODULUS_RATIO = "modulus-ratio"
    """C = |G*|/initial |G*|, starting at 1."""
    LOSS_MODULUS = "loss-modulus"
    """C = |G*| sin(delta) [MPa], times the initial |G*| [MPa]: the older form."""


class FailureRule(StrEnum):
    """When a specimen counts as failed."""

    PEAK_STRESS = "peak-stress"
    LOSS_OF_35_PERCENT = "loss-of-35-percent"


@dataclass(frozen=True, slots=True)
class ModulusSlope:
    """log10 G' = slope log10(angular frequency) + intercept.

    Attributes
    ----------
    slope, intercept : float
        Of the straight line; G' in kPa, angular frequency in rad/s.
    standard : float or None
        Standard error of the slope; None where it was stated and not fitted.
    points : int
        Frequencies the line was drawn through; 0 where the slope was stated.
    determination : float or None
        Share of the scatter the line explains (R²).
    """

    slope: float
    intercept: float = 0.0
    standard: float | None = None
    points: int = 0
    determination: float | None = None


@dataclass(frozen=True, slots=True)
class IntegrityFit:
    """C = C0 - C1 D^C2, fitted as a straight line of the logarithms.

    Attributes
    ----------
    initial, loss_coefficient, loss_exponent : float
        C0, C1 and C2.
    covariance : tuple of float
        Variance of ln C1, covariance with C2, variance of C2; widened for residuals that follow each other.
    scatter : float
        Standard deviation of the residuals of ln(C0 - C).
    degrees_of_freedom : float
        Of that scatter, after the same widening.
    points : int
        Rows the line was drawn through.
    """

    initial: float
    loss_coefficient: float
    loss_exponent: float
    covariance: tuple[float, float, float]
    scatter: float
    degrees_of_freedom: float
    points: int


@dataclass(frozen=True, slots=True)
class FatigueLife:
    """Cycles to failure at one strain.

    Attributes
    ----------
    strain_percent : float
        Strain amplitude [%].
    cycles : float
        Loading cycles to failure.
    low, high : float or None
        Two-sided 95 % interval from the scatter inside this one specimen; None where none can be told.
    """

    strain_percent: float
    cycles: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class FatigueLaw:
    """Nf = A strain^(-B), by one convention, one form and one rule of failure.

    Attributes
    ----------
    convention : ExponentConvention
        How the exponent was made of the slope.
    form : DamageForm
        What is said to be left whole.
    failure : FailureRule
        When the specimen counts as failed.
    damage_exponent : float
        alpha.
    fit : IntegrityFit
        C against D.
    loss_at_failure : float
        C0 - C at failure.
    damage_at_failure : float
        Df.
    coefficient_a, exponent_b : float
        A [cycles, strain in %] and B.
    a_low, a_high, b_low, b_high : float or None
        Their two-sided 95 % intervals.
    lives : tuple of FatigueLife
        At the strains asked for.
    """

    convention: ExponentConvention
    form: DamageForm
    failure: FailureRule
    damage_exponent: float
    fit: IntegrityFit
    loss_at_failure: float
    damage_at_failure: float
    coefficient_a: float
    exponent_b: float
    a_low: float | None = None
    a_high: float | None = None
    b_low: float | None = None
    b_high: float | None = None
    lives: tuple[FatigueLife, ...] = ()


@dataclass(frozen=True, slots=True)
class DamagePoint:
    """One row of the amplitude part.

    Attributes
    ----------
    time_s : float
        Since its first row [s].
    strain_percent : float
        Strain amplitude [%].
    stress_kpa : float
        Stress amplitude [kPa].
    integrity : float
        |G*| over that of the first row.
    damage : float
        D of the law that leads.
    """

    time_s: float
    strain_percent: float
    stress_kpa: float
    integrity: float
    damage: float


@dataclass(frozen=True, slots=True)
class AmplitudeSweep:
    """One specimen's linear amplitude sweep, analysed.

    Attributes
    ----------
    laws : tuple of FatigueLaw
        The leading one first, then the other convention, form and rule of failure.
    slope : ModulusSlope
        Of the frequency sweep.
    points : tuple of DamagePoint
        The amplitude part.
    peak : int or None
        Place in `points` of the highest stress; None where the stress still rises at the end.
    temperature_c : float
        Mean of the amplitude part [°C].
    frequency_hz : float
        Frequency of the amplitude part [Hz].
    measures, findings : tuple
        Numbers that tell how the test went, and the doubts they raise.
    source, account, label, sample
        Where it comes from.
    """

    laws: tuple[FatigueLaw, ...]
    slope: ModulusSlope
    points: tuple[DamagePoint, ...]
    peak: int | None
    temperature_c: float
    frequency_hz: float
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    account: ReadingAccount | None = field(default=None, repr=False)
    label: str = ""
    sample: str = ""
