"""How sure A, B and the cycles to failure are, from the scatter inside one specimen."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.damage.damage_growth import damage_growth, fit_integrity
from resile.compute.rheology.damage.fatigue_law import damage_at_loss, fatigue_coefficient, fatigue_life
from resile.compute.rheology.damage.modulus_slope import damage_exponent
from resile.compute.statistics.uncertainty.coverage import coverage_factor, effective_degrees_of_freedom
from resile.errors import MeasurementError
from resile.records.models.amplitude_sweep import (
    DamageForm,
    ExponentConvention,
    FailureRule,
    FatigueLaw,
    FatigueLife,
    IntegrityFit,
    ModulusSlope,
)

Floats = NDArray[np.float64]
PROBABILITY = 0.95


@dataclass(frozen=True, slots=True)
class DamageInput:
    """What a fatigue law is made of.

    Attributes
    ----------
    strain_percent, integrity, time_s : ndarray of float, shape (n,)
        The amplitude part: strain [%], C, time [s].
    slope : ModulusSlope
        Of the frequency sweep.
    frequency_hz : float
        Loading frequency [Hz].
    loss : float
        C0 - C at failure.
    loss_standard : float
        Its standard uncertainty: which row is the peak is not sharp.
    initial_standard : float
        Standard uncertainty of the first C.
    initial_modulus : float
        1, or the initial |G*| [MPa] of the older form.
    """

    strain_percent: Floats
    integrity: Floats
    time_s: Floats
    slope: ModulusSlope
    frequency_hz: float
    loss: float
    loss_standard: float = 0.0
    initial_standard: float = 0.0
    initial_modulus: float = 1.0


@dataclass(frozen=True, slots=True)
class _Law:
    alpha: float
    fit: IntegrityFit
    damage: float
    a: float


def fatigue_law(
    given: DamageInput,
    *,
    convention: ExponentConvention,
    form: DamageForm,
    failure: FailureRule,
    at_strain_percent: tuple[float, ...],
) -> FatigueLaw:
    """Give the fatigue law of one amplitude sweep with its intervals.

    Parameters
    ----------
    given : DamageInput
        Amplitude part, slope and loss at failure.
    convention : ExponentConvention
        How the exponent is made of the slope.
    form, failure
        Kept with the result: `given` was made by them.
    at_strain_percent : tuple of float
        Strains at which cycles to failure are asked for [%].

    Returns
    -------
    FatigueLaw
        With two-sided 95 % intervals.

    Raises
    ------
    MeasurementError
        As the equations of ``fatigue_law`` (module) raise.

    Notes
    -----
    ``ln Nf = ln A - B ln strain``. Its variance has five parts that do not depend on each other: the slope m
    and the first C (the whole analysis is done again at either one plus and minus its standard uncertainty,
    half the difference counts); the fit of C (its covariance) and the loss at failure, by the linear law; and
    the length of the steps in which damage is added up (the analysis is done again with every second row; the
    difference counts as half the width of a rectangle). Degrees of freedom by Welch and Satterthwaite. B
    follows from m alone. Without a standard error of m there are no intervals.

    The interval tells how well one specimen's curves are known. It does not hold the scatter between
    specimens, which is larger and for which no published figure is at hand.

    References
    ----------
    JCGM 100:2008, 5.1 and G.4.1 for the combination.
    """
    law = _law(given, given.slope.slope, convention)
    b = 2.0 * law.alpha
    plain = FatigueLaw(
        convention=convention,
        form=form,
        failure=failure,
        damage_exponent=law.alpha,
        fit=law.fit,
        loss_at_failure=given.loss,
        damage_at_failure=law.damage,
        coefficient_a=law.a,
        exponent_b=b,
        lives=tuple(
            FatigueLife(strain, float(fatigue_life(strain, coefficient_a=law.a, exponent_b=b)))
            for strain in at_strain_percent
        ),
    )
    if given.slope.standard is None:
        return plain
    return _with_intervals(plain, given, given.slope.standard)


def _law(given: DamageInput, slope: float, convention: ExponentConvention) -> _Law:
    alpha = float(damage_exponent(slope, convention=convention))
    damage = damage_growth(
        given.strain_percent,
        given.integrity,
        given.time_s,
        exponent=alpha,
        initial_modulus=given.initial_modulus,
    )
    fit = fit_integrity(damage, given.integrity, initial=float(given.integrity[0]))
    at = float(
        damage_at_loss(given.loss, loss_coefficient=fit.loss_coefficient, loss_exponent=fit.loss_exponent)
    )
    return _Law(alpha, fit, at, _coefficient(given, alpha, fit.loss_coefficient, fit.loss_exponent, at))


def _coefficient(given: DamageInput, alpha: float, c1: float, c2: float, at: float) -> float:
    return float(
        fatigue_coefficient(
            alpha,
            loss_coefficient=c1,
            loss_exponent=c2,
            damage_at_failure=at,
            frequency_hz=given.frequency_hz,
            initial_modulus=given.initial_modulus,
        )
    )


def _with_intervals(law: FatigueLaw, given: DamageInput, standard: float) -> FatigueLaw:
    m, free = given.slope.slope, float(given.slope.points - 2)
    # A slope so unsure that it may not rise at all has no lower neighbour to analyse: a half step is enough.
    step = min(standard, 0.5 * m)
    above, below = (_law(given, m + sign * step, law.convention) for sign in (1.0, -1.0))
    scale = standard / (2.0 * step) if step > 0.0 else 0.0
    others = [*_fit_and_loss_parts(law, given), _initial_part(law, given), _step_part(law, given)]
    freedom = [free, law.fit.degrees_of_freedom, math.inf, math.inf, math.inf]

    def interval(log_value: float, strain: float) -> tuple[float, float]:
        logs = [math.log(one.a) - 2.0 * one.alpha * math.log(strain) for one in (above, below)]
        return _interval(log_value, [abs(logs[0] - logs[1]) * scale, *others], freedom)

    lives = []
    for life in law.lives:
        low, high = interval(math.log(life.cycles), life.strain_percent)
        lives.append(replace(life, low=low, high=high))
    a_low, a_high = interval(math.log(law.coefficient_a), 1.0)
    by_slope = abs(math.log(above.alpha / below.alpha)) * scale
    b_low, b_high = _interval(math.log(law.exponent_b), [by_slope], [free])
    return replace(law, lives=tuple(lives), a_low=a_low, a_high=a_high, b_low=b_low, b_high=b_high)


def _interval(log_value: float, parts: list[float], freedom: list[float]) -> tuple[float, float]:
    combined = math.sqrt(sum(part**2 for part in parts))
    dof = max(1.0, float(effective_degrees_of_freedom(parts, freedom)))
    reach = combined * float(coverage_factor(dof, probability=PROBABILITY))
    return math.exp(log_value - reach), math.exp(log_value + reach)


def _fit_and_loss_parts(law: FatigueLaw, given: DamageInput) -> tuple[float, float]:
    """Give the standard uncertainty of ln A that comes of the fit of C, and of the loss at failure."""
    c1, c2, loss = law.fit.loss_coefficient, law.fit.loss_exponent, given.loss

    def log_a(log_c1: float, exponent: float, lost: float) -> float:
        coefficient = math.exp(log_c1)
        at = float(damage_at_loss(lost, loss_coefficient=coefficient, loss_exponent=exponent))
        return math.log(_coefficient(given, law.damage_exponent, coefficient, exponent, at))

    small = 1e-5
    here = math.log(c1)
    of_c1 = (log_a(here + small, c2, loss) - log_a(here - small, c2, loss)) / (2 * small)
    of_c2 = (log_a(here, c2 + small, loss) - log_a(here, c2 - small, loss)) / (2 * small)
    of_loss = (log_a(here, c2, loss * (1 + small)) - log_a(here, c2, loss * (1 - small))) / (2 * small * loss)
    v1, v12, v2 = law.fit.covariance
    variance = of_c1**2 * v1 + 2 * of_c1 * of_c2 * v12 + of_c2**2 * v2
    return math.sqrt(max(variance, 0.0)), abs(of_loss) * given.loss_standard


def _initial_part(law: FatigueLaw, given: DamageInput) -> float:
    """Give the part of the first C: every loss counts from it."""
    if given.initial_standard == 0.0:
        return 0.0
    logs = []
    for sign in (1.0, -1.0):
        whole = given.integrity.copy()
        whole[0] = max(whole[0] + sign * given.initial_standard, float(whole[1]))
        loss = given.loss + whole[0] - given.integrity[0]
        moved = replace(given, integrity=whole, loss=max(float(loss), 0.1 * given.loss))
        logs.append(math.log(_law(moved, given.slope.slope, law.convention).a))
    return 0.5 * abs(logs[0] - logs[1])


def _step_part(law: FatigueLaw, given: DamageInput) -> float:
    """Give the part of the length of the steps."""
    coarse = replace(
        given,
        strain_percent=given.strain_percent[::2],
        integrity=given.integrity[::2],
        time_s=given.time_s[::2],
    )
    try:
        other = _law(coarse, given.slope.slope, law.convention)
    except MeasurementError:  # too few rows are left: the fit's own scatter is wide already
        return 0.0
    return abs(math.log(other.a / law.coefficient_a)) / math.sqrt(3.0)
