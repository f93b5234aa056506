"""A spring-and-dashpot model fitted to a creep-recovery record, and what it says of the record."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from resile.records.finding import Finding, Measure
from resile.records.fit import LeastSquaresFit
from resile.records.reading import SourceFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class CreepModelKind(StrEnum):
    """Which parts stand in the row with spring and dashpot."""

    BURGERS = "burgers"
    KELVIN = "kelvin"
    FRACTIONAL = "fractional"


@dataclass(frozen=True, slots=True)
class LevelCompliance:
    """What a binder answers to stress of one level; every number at least 0.

    Attributes
    ----------
    stress_kpa : float
        Stress of the level [kPa].
    elastic_compliance : float
        Of the spring in the row: strain that comes and goes at once [1/kPa].
    fluidity_per_kpa_s : float
        Of the dashpot in the row, one over its viscosity: flow that never comes back [1/(kPa·s)].
    delayed_compliance : tuple of float
        Of each Kelvin element at rest, or of the fractional element after 1 s [1/kPa].
    """

    stress_kpa: float
    elastic_compliance: float
    fluidity_per_kpa_s: float
    delayed_compliance: tuple[float, ...] = ()

    @property
    def numbers(self) -> tuple[float, ...]:
        """Spring, dashpot, then what is delayed."""
        return (self.elastic_compliance, self.fluidity_per_kpa_s, *self.delayed_compliance)


@dataclass(frozen=True, slots=True)
class CreepModel:
    """A binder as springs and dashpots.

    Attributes
    ----------
    kind : CreepModelKind
        Burgers (one Kelvin element), generalised Kelvin (any number), or a fractional element.
    compliances : tuple of LevelCompliance
        One a stress level, the lowest first.
    retardation_times_s : tuple of float
        Of the Kelvin elements, the shortest first; all levels share them [s].
    exponent : float or None
        Of the fractional element, 0 (a spring) to 1 (a dashpot); all levels share it.
    temperature_c : float or None
        Temperature of the record [°C].
    """

    kind: CreepModelKind
    compliances: tuple[LevelCompliance, ...]
    retardation_times_s: tuple[float, ...] = ()
    exponent: float | None = None
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class ModelParameter:
    """One parameter of a fitted model with its interval.

    Attributes
    ----------
    name : str
        ``elastic_compliance``, ``viscosity``, ``delayed_compliance``, ``retardation_time`` or ``exponent``.
    stress_kpa : float or None
        Level it belongs to [kPa]; None where all levels share it.
    element : int or None
        Place of the Kelvin element, from 1.
    value, lower, upper : float
        Value and ends of the interval, in `unit`; an end that is not known is not-a-number.
    unit : str
        Unit as written for a person.
    at_bound : bool
        True where it sits on a bound of the fit and has no interval.
    """

    name: str
    stress_kpa: float | None
    element: int | None
    value: float
    lower: float
    upper: float
    unit: str
    at_bound: bool = False


@dataclass(frozen=True, slots=True)
class JnrSplit:
    """Where the Jnr of one stress comes from, by the model. All in 1/kPa.

    Attributes
    ----------
    stress_kpa : float
        Stress [kPa].
    jnr : float
        Mean over the evaluated cycles, by the model.
    flow, flow_lower, flow_upper : float
        Viscous flow of the push, which never comes back, and its interval.
    late, late_lower, late_upper : float
        Recovery of the push that is still under way when the recovery ends, and its interval.
    earlier : float
        What earlier pushes gave back during the cycle: at most 0 in a row of like pushes.
    """

    stress_kpa: float
    jnr: float
    flow: float
    flow_lower: float
    flow_upper: float
    late: float
    late_lower: float
    late_upper: float
    earlier: float


@dataclass(frozen=True, slots=True)
class CreepModelSeries:
    """Measured and fitted strain, row by row.

    Attributes
    ----------
    time_s : ndarray of float, shape (n,)
        Running time [s].
    strain, fitted_strain : ndarray of float, shape (n,)
        Measured strain and that of the model [ratio].
    residual_percent : ndarray of float, shape (n,)
        Measured less fitted, in % of the mean creep strain of a cycle at that stress [%].
    level_kpa : ndarray of float, shape (n,)
        Stress of the cycle [kPa].
    in_cycle_s : ndarray of float, shape (n,)
        Time since the push of the cycle began [s].
    cycle : ndarray of int, shape (n,)
        Place of the cycle in the run, from 1.
    """

    time_s: NDArray[np.float64]
    strain: NDArray[np.float64]
    fitted_strain: NDArray[np.float64]
    residual_percent: NDArray[np.float64]
    level_kpa: NDArray[np.float64]
    in_cycle_s: NDArray[np.float64]
    cycle: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class CreepModelFit:
    """A model fitted to all cycles of one record at once.

    Attributes
    ----------
    model : CreepModel
        The fitted model.
    fit : LeastSquaresFit
        The fit behind it: logarithms of times (or the exponent), then compliances, then the origin of strain.
    parameters : tuple of ModelParameter
        Parameters with intervals.
    probability : float
        Probability of the intervals.
    information : float
        Corrected information criterion: the smaller the better among models of one record.
    residual_percents : tuple of float
        Root mean square of the residuals of each level, in % of the mean creep strain of its cycles [%].
    splits : tuple of JnrSplit
        Where Jnr comes from, one a level.
    residual_correlations : tuple of float
        Correlation of neighbouring residuals at each level, for which the intervals were widened; 0 where it
        may be chance.
    tried : tuple of (int, float)
        Numbers of Kelvin elements that were tried and their criterion; empty where the number was given.
    measures, findings
        Numbers that tell how the fit went, and doubts.
    source : SourceFile or None
        The record.
    label : str
        What tells the run from others of the file.
    series : CreepModelSeries or None
        Rows, for pictures.
    """

    model: CreepModel
    fit: LeastSquaresFit
    parameters: tuple[ModelParameter, ...]
    probability: float
    information: float
    residual_percents: tuple[float, ...]
    splits: tuple[JnrSplit, ...]
    residual_correlations: tuple[float, ...] = ()
    tried: tuple[tuple[int, float], ...] = ()
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    label: str = ""
    series: CreepModelSeries | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class ProgrammeResponse:
    """Strain of a model under a programme of stress and temperature.

    Attributes
    ----------
    time_s : tuple of float
        Times [s].
    strain, flow_strain : tuple of float
        Strain, and its part that never comes back [ratio].
    outside_stresses_kpa : tuple of float
        Stresses below the lowest or above the highest level of the model, answered as that level [kPa].
    strain_lower, strain_upper, flow_strain_lower, flow_strain_upper : tuple of float
        Intervals by what the fit leaves in doubt [ratio]; empty where they were not asked for.
    """

    time_s: tuple[float, ...]
    strain: tuple[float, ...]
    flow_strain: tuple[float, ...]
    outside_stresses_kpa: tuple[float, ...] = ()
    strain_lower: tuple[float, ...] = ()
    strain_upper: tuple[float, ...] = ()
    flow_strain_lower: tuple[float, ...] = ()
    flow_strain_upper: tuple[float, ...] = ()
