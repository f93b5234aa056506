"""Rotational viscosity at several temperatures, the line through it, and the temperatures read off it."""

from __future__ import annotations

from dataclasses import dataclass, field

from resile.records.determination import Condition
from resile.records.finding import Finding, Measure
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal

METHOD = "rotational_viscosity"


@dataclass(frozen=True, slots=True)
class ViscosityPoint:
    """One viscosity.

    Attributes
    ----------
    temperature_c : float
        Test temperature [°C].
    rotational_viscosity : float
        Viscosity [Pa·s].
    torque_share_percent : float or None
        Torque in % of the largest the instrument can read [%].
    """

    temperature_c: float
    rotational_viscosity: float
    torque_share_percent: float | None = None


@dataclass(frozen=True, slots=True)
class ViscosityLine:
    """``log10 log10 viscosity(mPa·s) = intercept + slope log10 temperature(Rankine)``.

    Attributes
    ----------
    intercept : float
        Usually written A.
    slope : float
        Usually written VTS; negative.
    lowest_c, highest_c : float or None
        Temperatures between which it was measured [°C]; None where the line was given.
    residual_percent : float or None
        Largest departure of a measured viscosity from the line [%]; zero for two points.
    """

    intercept: float
    slope: float
    lowest_c: float | None = None
    highest_c: float | None = None
    residual_percent: float | None = None


@dataclass(frozen=True, slots=True)
class WorkingTemperatures:
    """Temperatures at which a viscosity lies in a wanted range.

    Attributes
    ----------
    purpose : str
        ``"mixing"`` or ``"compaction"``, or the caller's own word.
    lowest_c, middle_c, highest_c : float
        Temperatures at the upper end, the middle and the lower end of the viscosity range [°C].
    viscosity_low, viscosity_high : float
        Ends of the viscosity range [Pa·s].
    extrapolated_c : float or None
        How far the range reaches beyond the measured temperatures [°C]; 0 inside, None where unknown.
    """

    purpose: str
    lowest_c: float
    middle_c: float
    highest_c: float
    viscosity_low: float
    viscosity_high: float
    extrapolated_c: float | None


@dataclass(frozen=True, slots=True)
class ViscosityRun:
    """Viscosities of one sample and what follows from them.

    Attributes
    ----------
    points : tuple of ViscosityPoint
        In order of temperature.
    line : ViscosityLine or None
        None for a single temperature.
    working_temperatures : tuple of WorkingTemperatures
        Mixing and compaction; empty without a line.
    condition : Condition
        Residue that was tested.
    measures : tuple of Measure
        Numbers that tell how the test went.
    findings : tuple of Finding
        Doubts raised from the measures.
    source, account, label, sample, signal
        Where the run comes from; `signal` is kept only on request.
    """

    points: tuple[ViscosityPoint, ...]
    line: ViscosityLine | None = None
    working_temperatures: tuple[WorkingTemperatures, ...] = ()
    condition: Condition = Condition.UNKNOWN
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    label: str = ""
    sample: str = ""
    method: str = METHOD
    signal: Signal | None = field(default=None, repr=False, compare=False)
