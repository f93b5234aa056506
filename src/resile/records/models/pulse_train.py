"""A train of load pulses: what permanent shear strain it leaves in binders, compared, never in length."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from resile.records.finding import Finding, Measure
from resile.records.reading import SourceFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class TrainStrain:
    """Shear strain under a train of pulses, after each block of them.

    Attributes
    ----------
    flow : ndarray of float, shape (b,)
        Strain that never comes back [ratio].
    retarded : ndarray of float, shape (b,)
        Strain that is still on its way back [ratio].
    """

    flow: NDArray[np.float64]
    retarded: NDArray[np.float64]

    @property
    def left(self) -> float:
        """Strain left at the end: what flowed, and what has not come back yet [ratio]."""
        return float(self.flow[-1] + self.retarded[-1]) if len(self.flow) else 0.0


@dataclass(frozen=True, slots=True)
class LoadTrain:
    """The load: one kind of pulse, again and again.

    Attributes
    ----------
    stress_kpa : float
        Shear stress of a pulse in the binder [kPa].
    speed_kmh : float
        Speed of the wheels [km/h].
    loaded_length_m : float
        Length over which a wheel is felt [m].
    pulse_s : float
        Duration of a pulse: length over speed [s].
    rest_s : float
        Rest from pulse to pulse [s].
    pulses_per_hour : int
        Pulses in each hour that counts.
    """

    stress_kpa: float
    speed_kmh: float
    loaded_length_m: float
    pulse_s: float
    rest_s: float
    pulses_per_hour: int


@dataclass(frozen=True, slots=True)
class HotHours:
    """The pavement temperatures that count, hour by hour.

    Attributes
    ----------
    site : str
        Name of the site.
    model : str
        Pavement model the highs follow from.
    depth_mm : float
        Depth below the surface [mm].
    within_c : float
        Days count whose air maximum lies within this of the mean hottest week [°C].
    days, days_of_record, years : int
        Days that count, days with both values, years that the hottest week is the mean of.
    hottest_week_c : float
        Mean over the years of the hottest seven-day mean of air maxima [°C].
    highest_c, mean_high_c : float
        Highest, and mean daily highest, pavement temperature of the days that count [°C].
    source : SourceFile or None
        The weather file.
    """

    site: str
    model: str
    depth_mm: float
    within_c: float
    days: int
    days_of_record: int
    years: int
    hottest_week_c: float
    highest_c: float
    mean_high_c: float
    source: SourceFile | None = None


@dataclass(frozen=True, slots=True)
class RelativeIndex:
    """Permanent strain of one binder over that of another under one and the same train.

    Attributes
    ----------
    value : float
        The ratio.
    low, high : float
        Two-sided 95 % interval; equal to `value` for a binder against itself.
    """

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PulseRecovery:
    """What of a pulse has not come back yet, by the model of a record; all over the flow of one pulse.

    Attributes
    ----------
    temperature_c : float
        Pavement temperature [°C].
    after_s : tuple of float
        Times after the end of one pulse on a binder at rest [s].
    delayed_per_flow : tuple of float
        Delayed strain still there after them [ratio].
    delayed_at_once : float
        Delayed strain at the end of that pulse [ratio].
    still_percent : float
        Share of it that is still there when the next pulse comes [%].
    standing_pulses : float
        In a long row of pulses: delayed strain before the next one, as the flow of so many pulses.
    """

    temperature_c: float
    after_s: tuple[float, ...]
    delayed_per_flow: tuple[float, ...]
    delayed_at_once: float
    still_percent: float
    standing_pulses: float


@dataclass(frozen=True, slots=True)
class BinderUnderTraffic:
    """One binder under the train.

    Attributes
    ----------
    name : str
        Name of the binder.
    route : str
        What its strain follows from: ``jnr-line`` or ``creep-model``.
    index : RelativeIndex or None
        Against the reference; None where the binder cannot be followed, with the reason in `reason`.
    at_mean_high : RelativeIndex or None
        The same at one constant temperature, the mean daily highest.
    strain_mean_c : float or None
        Mean temperature of the hours, weighted by the strain each adds [°C].
    coldest_c, warmest_c : float or None
        Tested temperatures at the ends [°C].
    above_percent, below_percent : float
        Share of the strain from hours hotter, and colder, than any test [%].
    retarded_percent : float
        Share of the strain at the end that would still come back [%].
    reason : str
        Why there is no index; empty where there is one.
    by_jnr : RelativeIndex or None
        Where the index follows from records: what Jnr alone, which counts slow recovery as flow, gives.
    slope_from : str
        Whence the change with temperature: ``records``, ``results`` or ``kind``; empty where there is none.
    slope_per_c, slope_standard_per_c : float or None
        That of the natural logarithm, and its standard uncertainty [1/°C].
    slope_source : str
        Source of the slope of a kind of binder.
    records_at : tuple of float
        Temperatures of the records [°C].
    record_levels_kpa : tuple of float
        Stresses of the record it was modelled from, the lowest first [kPa].
    model_c : float or None
        Temperature of the record whose springs and retardation times were taken [°C].
    recovery : PulseRecovery or None
        What is late in coming back, by its model.
    model_reason : str
        Why the model of its records is not used; empty where it is, or where there are none.
    measures, findings : tuple
        Numbers on how far it carries, and the doubts they raise.
    """

    name: str
    route: str
    index: RelativeIndex | None
    at_mean_high: RelativeIndex | None = None
    strain_mean_c: float | None = None
    coldest_c: float | None = None
    warmest_c: float | None = None
    above_percent: float = 0.0
    below_percent: float = 0.0
    retarded_percent: float = 0.0
    reason: str = ""
    by_jnr: RelativeIndex | None = None
    slope_from: str = ""
    slope_per_c: float | None = None
    slope_standard_per_c: float | None = None
    slope_source: str = ""
    records_at: tuple[float, ...] = ()
    record_levels_kpa: tuple[float, ...] = ()
    model_c: float | None = None
    recovery: PulseRecovery | None = None
    model_reason: str = ""
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class EvidenceStatement:
    """What was published on compliance and rutting, and how weak it is.

    Attributes
    ----------
    statement, source, evidence, weakness : str
        In one sentence each; the mark of evidence.
    """

    statement: str
    source: str
    evidence: str
    weakness: str


@dataclass(frozen=True, slots=True)
class StrainByTemperature:
    """Which share of the reference's strain comes from which pavement temperature.

    Attributes
    ----------
    from_c, to_c : float
        Band of temperature [°C].
    hours_percent, strain_percent_share : float
        Share of the hours, and of the strain [%].
    """

    from_c: float
    to_c: float
    hours_percent: float
    strain_percent_share: float


@dataclass(frozen=True, slots=True)
class TrafficComparison:
    """Binders under one train on one site.

    Attributes
    ----------
    reference : str
        Binder the others are compared with.
    binders : tuple of BinderUnderTraffic
        Least index first, those without one last.
    train : LoadTrain
        The load.
    hours : HotHours
        The temperatures.
    bands : tuple of StrainByTemperature
        Where the strain of the reference comes from.
    pulses : int
        Pulses followed in all.
    evidence : tuple of EvidenceStatement
        What was published on it.
    findings : tuple of Finding
        Doubts about the comparison as a whole; that an index is no depth is always among them.
    sources : tuple of SourceFile
        Files behind it.
    invented : bool
        True for demonstration data.
    """

    reference: str
    binders: tuple[BinderUnderTraffic, ...]
    train: LoadTrain
    hours: HotHours
    bands: tuple[StrainByTemperature, ...]
    pulses: int
    evidence: tuple[EvidenceStatement, ...] = ()
    findings: tuple[Finding, ...] = ()
    sources: tuple[SourceFile, ...] = ()
    invented: bool = False
