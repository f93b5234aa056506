"""The temperature at which a property meets a limit, and the difference of two such temperatures."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.propagation import SimulatedPropagation


@dataclass(frozen=True, slots=True)
class LimitPoint:
    """One of the two points a critical temperature is read between.

    Attributes
    ----------
    temperature_c : float
        Test temperature [°C].
    value : float
        Property there, in the unit of the limit.
    standard : float or None
        Its standard uncertainty; None where not given.
    """

    temperature_c: float
    value: float
    standard: float | None = None


@dataclass(frozen=True, slots=True)
class CriticalTemperature:
    """Where a property meets a limit, unrounded.

    Attributes
    ----------
    temperature_c : float or None
        The temperature [°C]; None where it cannot be stated, see `reason`.
    limit : float
        The limit that was given.
    rule : str
        ``"log"`` (logarithm of the property is linear in temperature) or ``"linear"``.
    points : tuple of LimitPoint
        The two points used, colder first; empty where none could be chosen.
    bracketed : bool
        The limit lies between the two values, or on one of them.
    extrapolated_c : float
        How far the temperature lies outside the two points [°C]; 0 where bracketed.
    reason : str
        Why there is no temperature; empty where there is one.
    other_rule_c : float or None
        The temperature by the other rule, where asked for and possible [°C].
    standard : float or None
        Standard uncertainty by the linear law [°C]; None without uncertainties of the values.
    correlation : float
        Correlation between the errors of the two values that was assumed.
    simulated : SimulatedPropagation or None
        The same by simulation, where asked for.
    linear_holds : bool or None
        Whether the two intervals agree within the numerical tolerance; None without a simulation.
    reversed_share : float or None
        Share of the draws in which the property ran the other way between the two temperatures.
    standard_range : tuple of float or None
        Standard uncertainty for independent, and for wholly shared, errors of the two values [°C].
    degrees_of_freedom : float or None
        Effective ones of `standard`; None where infinite.
    coverage_factor : float
        What makes `standard` an expanded uncertainty: 2, and more with few degrees of freedom.
    """

    temperature_c: float | None
    limit: float
    rule: str
    points: tuple[LimitPoint, ...] = ()
    bracketed: bool = False
    extrapolated_c: float = 0.0
    reason: str = ""
    other_rule_c: float | None = None
    standard: float | None = None
    correlation: float = 0.0
    simulated: SimulatedPropagation | None = None
    linear_holds: bool | None = None
    reversed_share: float | None = None
    standard_range: tuple[float, float] | None = None
    degrees_of_freedom: float | None = None
    coverage_factor: float = 2.0

    @property
    def uncertainty_method(self) -> str:
        """What the interval to show rests on: ``"linear law"``, ``"simulation"``, or empty where none."""
        if self.standard is None:
            return ""
        return "simulation" if self.simulated is not None and self.linear_holds is False else "linear law"

    @property
    def extrapolated(self) -> bool:
        """Whether the temperature lies outside the measured points."""
        return self.temperature_c is not None and not self.bracketed


@dataclass(frozen=True, slots=True)
class CriticalTemperatureDifference:
    """The critical temperature of stiffness less that of the m-value.

    Attributes
    ----------
    difference_c : float or None
        The difference [°C]; None where either temperature is missing, see `reason`.
    standard : float or None
        Its standard uncertainty [°C].
    covariance : float
        Covariance of the two temperatures that was assumed [°C²].
    extrapolated : bool
        Whether either temperature was extrapolated.
    reason : str
        Why there is no difference; empty where there is one.
    standard_range : tuple of float or None
        Standard uncertainty for independent, and for wholly shared, errors of the two temperatures [°C].
    coverage_factor : float
        What makes `standard` an expanded uncertainty.
    """

    difference_c: float | None
    standard: float | None = None
    covariance: float = 0.0
    extrapolated: bool = False
    reason: str = ""
    standard_range: tuple[float, float] | None = None
    coverage_factor: float = 2.0
