"""Creep of a small beam in three-point bending: stiffness and its slope at low temperature."""

from __future__ import annotations

from dataclasses import dataclass, field

from resile.records.determination import Condition
from resile.records.finding import Finding, Measure
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal

METHOD = "bending_beam"


@dataclass(frozen=True, slots=True)
class BeamGeometry:
    """Span and cross-section of a beam.

    Attributes
    ----------
    span_mm : float
        Distance between the supports [mm].
    width_mm : float
        Width, across the load [mm].
    thickness_mm : float
        Thickness, along the load [mm].
    """

    span_mm: float
    width_mm: float
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class BeamPoint:
    """Stiffness at one loading time.

    Attributes
    ----------
    loading_time_s : float
        Time since the test load was put on [s].
    creep_stiffness : float
        Measured stiffness [MPa].
    fitted_stiffness : float
        Stiffness on the fitted curve [MPa].
    m_value : float
        Size of the slope of the fitted curve at this time.
    residual_percent : float
        ``100 (measured - fitted)/fitted`` [%].
    load_mn : float or None
        Load at that time [mN]; None for typed stiffness.
    deflection_mm : float or None
        Deflection at that time [mm]; None for typed stiffness.
    """

    loading_time_s: float
    creep_stiffness: float
    fitted_stiffness: float
    m_value: float
    residual_percent: float
    load_mn: float | None = None
    deflection_mm: float | None = None


@dataclass(frozen=True, slots=True)
class BeamRun:
    """One beam, reduced. All numbers unrounded.

    Attributes
    ----------
    points : tuple of BeamPoint
        At the report times, in order.
    creep_stiffness : float
        Stiffness on the fitted curve at 60 s [MPa].
    m_value : float
        Size of the slope of log stiffness on log time at 60 s.
    coefficients : tuple of float
        A, B and C of ``log10 S = A + B log10 t + C (log10 t)^2``, S in MPa, t in s.
    r_squared : float or None
        Share of the variance of log S that the curve explains; None where log S does not vary.
    temperature_c : float or None
        Temperature of the bath [°C].
    geometry : BeamGeometry or None
        Span and cross-section; None for typed stiffness.
    condition : Condition
        Residue that was tested.
    measures : tuple of Measure
        Numbers that tell how the test went.
    findings : tuple of Finding
        Doubts raised from the measures.
    source, account, label, sample, signal
        Where the run comes from; `signal` is kept only on request.
    """

    points: tuple[BeamPoint, ...]
    creep_stiffness: float
    m_value: float
    coefficients: tuple[float, float, float]
    r_squared: float | None = None
    temperature_c: float | None = None
    geometry: BeamGeometry | None = None
    condition: Condition = Condition.UNKNOWN
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    label: str = ""
    sample: str = ""
    method: str = METHOD
    signal: Signal | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class ReplicateBeams:
    """Beams of one binder at one temperature, taken together.

    Attributes
    ----------
    count : int
        How many beams.
    creep_stiffness, m_value : float
        Means [MPa], [1].
    creep_stiffness_sd, m_value_sd : float or None
        Standard deviations; None for a single beam.
    creep_stiffness_cv_percent, m_value_cv_percent : float or None
        Standard deviations in % of the means [%].
    creep_stiffness_range_percent, m_value_range_percent : float or None
        Largest less smallest in % of the means [%].
    """

    count: int
    creep_stiffness: float
    m_value: float
    creep_stiffness_sd: float | None = None
    m_value_sd: float | None = None
    creep_stiffness_cv_percent: float | None = None
    m_value_cv_percent: float | None = None
    creep_stiffness_range_percent: float | None = None
    m_value_range_percent: float | None = None
