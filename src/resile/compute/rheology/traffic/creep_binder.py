"""A binder under pulses, from the model of its record: what flows, and what is late in coming back."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.rheology.models.creep_programme import compliance_at_stress
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.compute.rheology.traffic.pulse_train import accumulate_strain, viscosity_factor
from resile.compute.rheology.traffic.rutting_index import TrafficBinder
from resile.errors import InputError, MeasurementError
from resile.records.models.creep_model import CreepModel, CreepModelFit, CreepModelKind
from resile.records.models.pulse_train import LoadTrain, PulseRecovery
from resile.records.temperature_line import TemperatureLine

_SAME_STRESS = 1e-6
_NORMAL_95 = 1.959963984540054
_SOONEST_S, _LATEST_S, _TIMES = 0.01, 1000.0, 61


def burgers_at_stress(model: CreepModel, stress_kpa: float) -> BurgersModel:
    """Give the springs and dashpots that a fitted model answers a stress with.

    Parameters
    ----------
    model : CreepModel
        Of Kelvin elements.
    stress_kpa : float
        Stress of a pulse, within the levels of the record [kPa].

    Returns
    -------
    BurgersModel
        At the temperature of the record; elements that take no strain at that stress are left out.

    Raises
    ------
    InputError
        Where the stress lies outside the levels: nothing tested says how compliance goes on.
    MeasurementError
        Where the model has a fractional element, whose pulses cannot be summed up in closed form, or does not
        flow at that stress.

    Notes
    -----
    At a level its own compliances. Between two levels each compliance follows a power of stress
    (`compliance_at_stress`, own choice). Retardation times are shared by all stresses.
    """
    if model.kind is CreepModelKind.FRACTIONAL:
        raise MeasurementError(
            "pulses on a fractional element have no closed sum; Kelvin elements are needed"
        )
    levels = [one.stress_kpa for one in model.compliances]
    if not levels[0] * (1 - _SAME_STRESS) <= stress_kpa <= levels[-1] * (1 + _SAME_STRESS):
        told = " and ".join(f"{level:g}" for level in levels)
        raise InputError(
            f"stress {stress_kpa:g} kPa: the record was made at {told} kPa, and says nothing beyond"
        )
    own = compliance_at_stress(model, stress_kpa)
    if not own.fluidity_per_kpa_s > 0.0:
        raise MeasurementError(f"the model of the record shows no flow at {stress_kpa:g} kPa")
    elements = tuple(
        KelvinElement(1.0 / late, time / late)
        for late, time in zip(own.delayed_compliance, model.retardation_times_s, strict=True)
        if late > 0.0
    )
    spring = 1.0 / own.elastic_compliance if own.elastic_compliance > 0.0 else math.inf
    return BurgersModel(1.0 / own.fluidity_per_kpa_s, spring, elements)


def flow_at_stress(fit: CreepModelFit, stress_kpa: float) -> tuple[float, float]:
    """Give the fluidity of a fitted model at a stress, and how sure the fit is of it.

    Parameters
    ----------
    fit : CreepModelFit
        Of Kelvin elements, with intervals of 95 %.
    stress_kpa : float
        Stress within the levels of the record [kPa].

    Returns
    -------
    fluidity : float
        Flow in one second over the stress, to be compared with Jnr [1/(kPa·s)].
    standard_log : float
        Standard uncertainty of its natural logarithm by the fit alone; not-a-number where it has no interval.

    Raises
    ------
    InputError, MeasurementError
        As `burgers_at_stress`.

    Notes
    -----
    From the lower end of the viscosity of each level, as of a normal distribution of its logarithm; between
    levels the doubts of both, weighted by nearness in ln stress, add as squares.
    """
    fluidity = 1.0 / burgers_at_stress(fit.model, stress_kpa).maxwell_dashpot_kpa_s
    of_level = {
        one.stress_kpa: math.log(one.value / one.lower) / _NORMAL_95 if one.lower > 0.0 else math.nan
        for one in fit.parameters
        if one.name == "viscosity" and one.stress_kpa is not None
    }
    levels = np.log([one.stress_kpa for one in fit.model.compliances])
    doubts = [of_level[one.stress_kpa] for one in fit.model.compliances]
    weights = [np.interp(math.log(stress_kpa), levels, row) for row in np.eye(len(levels))]
    parts = [weight * doubt for weight, doubt in zip(weights, doubts, strict=True) if weight > 0.0]
    return fluidity, math.hypot(*parts)


def binder_of_model(model: BurgersModel, model_c: float, line: TemperatureLine) -> TrafficBinder:
    """Give a binder that flows along a line and is late in coming back as its model is.

    Parameters
    ----------
    model : BurgersModel
        At one stress.
    model_c : float
        Its temperature [°C].
    line : TemperatureLine
        Of fluidity against temperature [1/(kPa·s)].

    Returns
    -------
    TrafficBinder
        At `model_c`: flow of the line there, springs and retardation times of the model; the covariance
        of the line is carried to that temperature.
    """
    away = model_c - line.middle_c
    of_level, shared, of_slope = line.covariance
    fluidity = math.exp(line.level + line.slope_per_c * away)
    return TrafficBinder(
        replace(model, maxwell_dashpot_kpa_s=1.0 / fluidity),
        model_c,
        line.slope_per_c,
        (of_level + 2.0 * away * shared + away**2 * of_slope, shared + away * of_slope, of_slope),
        line.degrees_of_freedom,
    )


def recovery_between_pulses(
    binder: TrafficBinder, train: LoadTrain, temperature_c: float, *, after_s: ArrayLike | None = None
) -> PulseRecovery:
    """Tell what of one pulse has not come back when the next one comes.

    Parameters
    ----------
    binder : TrafficBinder
        The binder.
    train : LoadTrain
        The load.
    temperature_c : float
        Pavement temperature [°C].
    after_s : array_like of float, shape (n,), optional
        Times after the end of a pulse [s]; from 0.01 s to 1000 s where not given.

    Returns
    -------
    PulseRecovery
        Of one pulse on a binder at rest, and of a long row of them.

    Notes
    -----
    A Kelvin element holds ``e exp(-t/r)`` of its strain e a time t after the pulse; in a long row of pulses
    what stands before each is the sum of all that went before, ``e exp(-q/r)/(1 - exp(-(p + q)/r))``. Both
    are over the flow of one pulse. The spring in the row has come back at once and is not in it.
    """
    factor = float(
        viscosity_factor(temperature_c, reference_c=binder.reference_c, slope_per_c=binder.slope_per_c)
    )
    times = (
        np.geomspace(_SOONEST_S, _LATEST_S, _TIMES) if after_s is None else np.asarray(after_s, dtype=float)
    )

    def pulse(rest_s: float) -> tuple[float, float]:
        one = accumulate_strain(
            binder.model,
            stress_kpa=train.stress_kpa,
            pulse_s=train.pulse_s,
            rest_s=rest_s,
            pulses=[1],
            factor=factor,
        )
        return float(one.flow[-1]), float(one.retarded[-1])

    flow, late = pulse(0.0)
    standing = 0.0
    for element in binder.model.kelvin_elements:
        time = factor * element.retardation_time_s
        end = train.stress_kpa / element.spring_kpa * -math.expm1(-train.pulse_s / time)
        standing += end * math.exp(-train.rest_s / time) / -math.expm1(-(train.pulse_s + train.rest_s) / time)
    return PulseRecovery(
        temperature_c=temperature_c,
        after_s=tuple(times.tolist()),
        delayed_per_flow=tuple(pulse(float(time))[1] / flow for time in times.tolist()),
        delayed_at_once=late / flow,
        still_percent=100.0 * pulse(train.rest_s)[1] / late if late > 0.0 else 0.0,
        standing_pulses=standing / flow,
    )
