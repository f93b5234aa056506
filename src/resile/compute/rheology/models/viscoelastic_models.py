"""Spring-and-dashpot models of bitumen and their exact strain in a creep and recovery test.

What to use when: `BurgersModel` for a binder whose compliance does not depend on stress; a mapping of stress
level to `BurgersModel` for one whose compliance does (a modified binder at 0.1 and 3.2 kPa);
`newtonian` for a plain liquid. `creep_compliance` gives the answer to a stress that is put on and left on,
`creep_recovery_response` the answer to any row of stress pulses.

The models describe; they do not predict. They are here so that records with a known answer can be made.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError


@dataclass(frozen=True, slots=True)
class KelvinElement:
    """A spring and a dashpot side by side: strain that comes late and goes late.

    Attributes
    ----------
    spring_kpa : float
        Stiffness of the spring [kPa].
    dashpot_kpa_s : float
        Viscosity of the dashpot [kPa·s].
    """

    spring_kpa: float
    dashpot_kpa_s: float

    def __post_init__(self) -> None:
        _refuse_unless_positive("Kelvin spring", self.spring_kpa, "kPa")
        _refuse_unless_positive("Kelvin dashpot", self.dashpot_kpa_s, "kPa·s")

    @property
    def retardation_time_s(self) -> float:
        """Dashpot over spring [s]: after this time 63 % of the late strain has come."""
        return self.dashpot_kpa_s / self.spring_kpa


@dataclass(frozen=True, slots=True)
class BurgersModel:
    """A Maxwell spring and dashpot in a row with any number of Kelvin elements.

    Attributes
    ----------
    maxwell_dashpot_kpa_s : float
        Viscosity of the dashpot in the row: the only part that never comes back [kPa·s].
    maxwell_spring_kpa : float
        Stiffness of the spring in the row; infinite where there is none [kPa].
    kelvin_elements : tuple of KelvinElement
        None (a Maxwell model), one (the classical four-element model) or more.
    """

    maxwell_dashpot_kpa_s: float
    maxwell_spring_kpa: float = math.inf
    kelvin_elements: tuple[KelvinElement, ...] = ()

    def __post_init__(self) -> None:
        _refuse_unless_positive("Maxwell dashpot", self.maxwell_dashpot_kpa_s, "kPa·s")
        if not self.maxwell_spring_kpa > 0:  # infinite is allowed: no spring
            raise InputError(f"Maxwell spring: {self.maxwell_spring_kpa} kPa found, above 0 is needed")


Binder = BurgersModel | Mapping[float, BurgersModel]
"""A model, or one model for each stress level [kPa] of a binder whose compliance depends on stress."""


@dataclass(frozen=True, slots=True)
class StressPulse:
    """A stress that is put on and taken off again.

    Attributes
    ----------
    start_s, end_s : float
        Moments at which the stress begins to rise and begins to fall [s].
    stress_kpa : float
        Full stress [kPa].
    nominal_stress_kpa : float or None
        Level whose model answers the pulse [kPa]; None where it is `stress_kpa` itself.
    rise_s : float
        Time of the straight rise, and of the straight fall; 0 for a sudden one [s].
    compliance_factor : float
        Multiplies the answer to this pulse; 1 for a sound specimen, more for one that is failing.
    """

    start_s: float
    end_s: float
    stress_kpa: float
    nominal_stress_kpa: float | None = None
    rise_s: float = 0.0
    compliance_factor: float = 1.0

    def __post_init__(self) -> None:
        if not self.end_s - self.start_s >= self.rise_s >= 0:
            raise InputError(
                f"stress pulse from {self.start_s} to {self.end_s} s with a rise of {self.rise_s} s: "
                "the rise must fit between start and end"
            )


def newtonian(viscosity_kpa_s: float) -> BurgersModel:
    """Give the model of a Newtonian liquid.

    Parameters
    ----------
    viscosity_kpa_s : float
        Viscosity [kPa·s].

    Returns
    -------
    BurgersModel
        A dashpot and nothing else; after 1 s of creep its Jnr is ``1/viscosity_kpa_s`` and nothing recovers.

    Raises
    ------
    InputError
        When the viscosity is not above zero.
    """
    return BurgersModel(maxwell_dashpot_kpa_s=viscosity_kpa_s)


def creep_compliance(model: BurgersModel, time_s: ArrayLike, *, rise_s: float = 0.0) -> NDArray[np.float64]:
    """Give strain per stress at a time after a stress was put on and left on.

    Parameters
    ----------
    model : BurgersModel
        The model.
    time_s : array_like of float, any shape
        Time since the stress began to rise [s]; before it, the answer is 0.
    rise_s : float, optional
        Time in which the stress rose in a straight line to its full value [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        Compliance [1/kPa].

    Raises
    ------
    InputError
        When a time is not a number or the rise is negative.

    Notes
    -----
    With Maxwell spring E0, Maxwell dashpot h0, Kelvin springs Ei and retardation times ri, a sudden stress
    gives

        J(t) = 1/E0 + t/h0 + sum (1/Ei) (1 - exp(-t/ri)),    t >= 0

    and a straight rise over a time q gives the mean of J over the last q seconds,

        t >= q:  1/E0 + (t - q/2)/h0 + sum (1/Ei) (1 - exp(-(t - q)/ri) (1 - exp(-q/ri)) ri/q)
        t <  q:  [t/E0 + t²/(2 h0) + sum (t - ri (1 - exp(-t/ri)))/Ei] / q

    Source: definition of the elements, integrated by hand; checked against an independent numerical
    integration in ``tests/compute/rheology/test_viscoelastic_models.py``.

    Examples
    --------
    >>> print(creep_compliance(newtonian(0.25), [0.0, 0.5, 1.0]))
    [0. 2. 4.]
    """
    time = np.asarray(time_s, dtype=float)
    if np.isnan(time).any():
        raise InputError("time: not-a-number found, numbers are needed")
    if not rise_s >= 0:
        raise InputError(f"stress rise: {rise_s} s found, 0 or more is needed")
    elapsed = np.maximum(time, 0.0)
    if rise_s == 0:
        compliance = _sudden_compliance(model, elapsed)
        return np.where(time >= 0, compliance, 0.0)
    return np.where(
        elapsed >= rise_s,
        _risen_compliance(model, np.maximum(elapsed, rise_s), rise_s),
        _rising_compliance(model, np.minimum(elapsed, rise_s), rise_s),
    )


def creep_recovery_response(
    binder: Binder, time_s: ArrayLike, *, pulses: Sequence[StressPulse]
) -> NDArray[np.float64]:
    """Give the strain that a row of stress pulses leaves, exactly.

    Parameters
    ----------
    binder : BurgersModel or mapping of float to BurgersModel
        One model, or one for each stress level [kPa].
    time_s : array_like of float, any shape
        Running time [s]. At the very moment a sudden pulse starts or ends, the spring has not yet moved: the
        strain is the one just before, as a record's last point of a step shows it.
    pulses : sequence of StressPulse
        In any order; they may overlap.

    Returns
    -------
    ndarray of float, shape of `time_s`
        Shear strain (ratio).

    Raises
    ------
    InputError
        When a stress has no model, or a time is not a number.

    Notes
    -----
    Boltzmann's superposition: pulse k of stress s_k from a_k to b_k adds

        f_k s_k [J_k(t - a_k) - J_k(t - b_k)]

    where J_k is the compliance of the level of the pulse and f_k its `compliance_factor`. Within one level
    this is the exact answer of the spring-and-dashpot model. Where the levels have models of their own, each
    pulse keeps the compliance it was made with; that is a choice, made because it keeps the answer in closed
    form.

    Examples
    --------
    >>> pulse = StressPulse(start_s=0.0, end_s=1.0, stress_kpa=3.2)
    >>> print(creep_recovery_response(newtonian(0.25), [1.0, 10.0], pulses=[pulse]))
    [12.8 12.8]
    """
    time = np.asarray(time_s, dtype=float)
    strain = np.zeros_like(time)
    for level, model in _models_of(binder, pulses):
        for rise in sorted({p.rise_s for p in pulses if _level_of(p) == level}):
            group = [p for p in pulses if _level_of(p) == level and p.rise_s == rise]
            weight = np.array([p.compliance_factor * p.stress_kpa for p in group])
            since_start = time[..., None] - np.array([p.start_s for p in group])
            since_end = time[..., None] - np.array([p.end_s for p in group])
            share = _just_before(model, since_start, rise) - _just_before(model, since_end, rise)
            strain += share @ weight
    return strain


def _just_before(model: BurgersModel, elapsed_s: NDArray[np.float64], rise_s: float) -> NDArray[np.float64]:
    """Give the compliance from the left: a point at exactly 1.00 s still belongs to the creep step."""
    # Running times such as 201.0 and 200 + 1.0 may differ in the last bit; a nanosecond settles them.
    settled = np.where(np.abs(elapsed_s) < 1e-9, -1.0, elapsed_s)
    return creep_compliance(model, settled, rise_s=rise_s)


def _models_of(binder: Binder, pulses: Sequence[StressPulse]) -> list[tuple[float, BurgersModel]]:
    levels = sorted({_level_of(pulse) for pulse in pulses})
    if isinstance(binder, BurgersModel):
        return [(level, binder) for level in levels]
    for level in levels:
        if level not in binder:
            known = ", ".join(f"{stress:g}" for stress in sorted(binder)) or "none"
            raise InputError(f"binder: no model for {level:g} kPa found, models are given for {known} kPa")
    return [(level, binder[level]) for level in levels]


def _level_of(pulse: StressPulse) -> float:
    return pulse.stress_kpa if pulse.nominal_stress_kpa is None else pulse.nominal_stress_kpa


def _sudden_compliance(model: BurgersModel, t: NDArray[np.float64]) -> NDArray[np.float64]:
    compliance = 1.0 / model.maxwell_spring_kpa + t / model.maxwell_dashpot_kpa_s
    for element in model.kelvin_elements:
        compliance = compliance - np.expm1(-t / element.retardation_time_s) / element.spring_kpa
    return np.asarray(compliance, dtype=float)


def _risen_compliance(model: BurgersModel, t: NDArray[np.float64], q: float) -> NDArray[np.float64]:
    compliance = 1.0 / model.maxwell_spring_kpa + (t - q / 2) / model.maxwell_dashpot_kpa_s
    for element in model.kelvin_elements:
        r = element.retardation_time_s
        mean_factor = -math.expm1(-q / r) * r / q
        compliance = compliance + (1.0 - mean_factor * np.exp(-(t - q) / r)) / element.spring_kpa
    return np.asarray(compliance, dtype=float)


def _rising_compliance(model: BurgersModel, t: NDArray[np.float64], q: float) -> NDArray[np.float64]:
    area = t / model.maxwell_spring_kpa + t**2 / (2 * model.maxwell_dashpot_kpa_s)
    for element in model.kelvin_elements:
        r = element.retardation_time_s
        area = area + (t + r * np.expm1(-t / r)) / element.spring_kpa
    return np.asarray(area / q, dtype=float)


def _refuse_unless_positive(name: str, value: float, unit: str) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise InputError(f"{name}: {value} {unit} found, a finite number above 0 is needed")
