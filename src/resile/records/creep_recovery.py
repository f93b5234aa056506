"""The multiple-stress creep and recovery test: its method, and what one run gave."""

from __future__ import annotations

from dataclasses import dataclass, field

from resile.records.finding import Finding, Measure
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal

METHOD = "creep_recovery"


@dataclass(frozen=True, slots=True)
class CreepRecoveryProgramme:
    """What the test method prescribes; read from a file under ``specifications/methods``.

    Attributes
    ----------
    document : str
        Document and edition the programme is taken from.
    creep_time_s, recovery_time_s : float
        Length of the loaded and unloaded part of a cycle [s].
    stresses_kpa : tuple of float
        Nominal stress levels in their order [kPa].
    cycles_evaluated : int
        Cycles of each level that enter the mean; earlier cycles of the first level are conditioning.
    stress_match_percent : float
        A measured level within this share of a nominal one is taken as that nominal level [%].
    creep_extrapolation_s, recovery_extrapolation_s : float
        How far before the nominal end the last point may lie and still be carried forward [s].
    """

    document: str
    creep_time_s: float
    recovery_time_s: float
    stresses_kpa: tuple[float, ...]
    cycles_evaluated: int
    stress_match_percent: float
    creep_extrapolation_s: float
    recovery_extrapolation_s: float


@dataclass(frozen=True, slots=True)
class Cycle:
    """One push and its recovery. Strains are ratios, as recorded (not set back to zero).

    Attributes
    ----------
    number : int
        Place in its stress level, conditioning cycles included (11 to 20 after ten conditioning cycles).
    initial_strain, creep_strain, recovered_strain : float
        Strain at the start of the cycle, at the end of creep, at the end of recovery [ratio].
    percent_recovery : float
        ``100 (creep - recovered)/(creep - initial)`` [%].
    jnr : float
        Non-recoverable creep compliance, ``(recovered - initial)/stress`` [1/kPa].
    start_s : float
        Running time at which the cycle starts [s].
    """

    number: int
    initial_strain: float
    creep_strain: float
    recovered_strain: float
    percent_recovery: float
    jnr: float
    start_s: float = 0.0


@dataclass(frozen=True, slots=True)
class StressLevel:
    """The cycles of one stress and their means.

    Attributes
    ----------
    stress_kpa : float
        Nominal stress [kPa].
    measured_stress_kpa : float or None
        Mean stress found in the loaded parts [kPa]; None for a typed summary.
    percent_recovery, jnr : float or None
        Means over the evaluated cycles [%], [1/kPa].
    percent_recovery_sd, jnr_sd : float or None
        Standard deviation over the evaluated cycles.
    jnr_trend_percent : float or None
        Rise of Jnr from the first to the last evaluated cycle along the fitted line, in % of the mean.
    recovery_trend : float or None
        The same for recovery, in percentage points.
    cycles : tuple of Cycle
        The evaluated cycles; empty for a typed summary.
    """

    stress_kpa: float
    measured_stress_kpa: float | None
    percent_recovery: float | None
    jnr: float | None
    percent_recovery_sd: float | None = None
    jnr_sd: float | None = None
    jnr_trend_percent: float | None = None
    recovery_trend: float | None = None
    cycles: tuple[Cycle, ...] = ()


@dataclass(frozen=True, slots=True)
class CreepRecoveryRun:
    """One specimen's test, reduced. All numbers unrounded.

    Attributes
    ----------
    levels : tuple of StressLevel
        In the order of the test.
    conditioning : tuple of Cycle
        Cycles run before the evaluated ones at the first stress.
    jnr_difference_percent : float or None
        ``100 (Jnr_high - Jnr_low)/Jnr_low`` [%].
    recovery_difference_percent : float or None
        ``100 (R_low - R_high)/R_low`` [%].
    jnr_slope_percent : float or None
        ``100 (Jnr_high - Jnr_low)/(stress_high - stress_low)`` [%/kPa step].
    elastic_response_minimum_percent : float or None
        Elastic-response curve at the Jnr of 3.2 kPa [%]; None where the curve does not apply.
    temperature_c : float or None
        Mean recorded temperature, or the one given [°C].
    measures : tuple of Measure
        Numbers that tell how the test went.
    findings : tuple of Finding
        Doubts raised from the measures.
    source, account, label, sample, signal
        Where the run comes from; `signal` is kept only on request.
    programme : CreepRecoveryProgramme or None
        The method it was reduced by.
    """

    levels: tuple[StressLevel, ...]
    conditioning: tuple[Cycle, ...] = ()
    jnr_difference_percent: float | None = None
    recovery_difference_percent: float | None = None
    jnr_slope_percent: float | None = None
    elastic_response_minimum_percent: float | None = None
    temperature_c: float | None = None
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    label: str = ""
    sample: str = ""
    programme: CreepRecoveryProgramme | None = None
    method: str = METHOD
    signal: Signal | None = field(default=None, repr=False, compare=False)

    def level(self, stress_kpa: float) -> StressLevel | None:
        """Give the level of a nominal stress [kPa], or None where it was not run."""
        for level in self.levels:
            if level.stress_kpa == stress_kpa:
                return level
        return None
