"""The equations of the linear amplitude sweep, one by one: exponent, growth of damage, fit, fatigue law.

What to use when: `analyse_amplitude_sweep` (module ``amplitude_sweep``) for a whole record; these for a step
alone. Every equation is AASHTO T 391 (formerly TP 101) and Hintz and Bahia's papers on the test, from memory
(high), except where a function says otherwise.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.models.amplitude_sweep import ExponentConvention, IntegrityFit, ModulusSlope

Floats = NDArray[np.float64]

LEAST_DAMAGE = 10.0
"""Rows with less damage are left out of the fit: AASHTO T 391, from memory (high)."""
_SLOPE_POINTS = 3
_FIT_POINTS = 4
_CLEAR_OF_SCATTER = 5.0


def fit_modulus_slope(angular_frequency_rad_s: ArrayLike, storage_modulus: ArrayLike) -> ModulusSlope:
    """Draw log10 G' against log10 angular frequency as a straight line.

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,), n at least 3
        Angular frequencies [rad/s], two different ones at least.
    storage_modulus : array_like of float, shape (n,)
        G' [kPa].

    Returns
    -------
    ModulusSlope
        With the standard error of the slope.

    Raises
    ------
    MeasurementError
        Where there are fewer than three points, a number is not above zero, or the line does not rise.

    Notes
    -----
    AASHTO T 391: ``log G' = m log w + b``. The unit of either axis does not touch m.
    """
    frequency, modulus = (np.asarray(a, dtype=float) for a in (angular_frequency_rad_s, storage_modulus))
    if frequency.ndim != 1 or frequency.shape != modulus.shape or frequency.size < _SLOPE_POINTS:
        raise MeasurementError(
            f"frequency sweep: {frequency.size} points found, three frequencies or more are needed"
        )
    if not (np.isfinite(frequency) & np.isfinite(modulus) & (frequency > 0) & (modulus > 0)).all():
        raise MeasurementError("frequency sweep: every frequency and every G' must be above zero")
    x, y = np.log10(frequency), np.log10(modulus)
    away = x - x.mean()
    spread = float(np.sum(away**2))
    if spread == 0.0:
        raise MeasurementError("frequency sweep: all points stand at one frequency, several are needed")
    slope = float(np.sum(away * y) / spread)
    if slope <= 0.0:
        raise MeasurementError(
            f"frequency sweep: G' changes with a slope of {slope:.3g} against frequency; it must rise"
        )
    residuals = y - y.mean() - slope * away
    left, whole = float(np.sum(residuals**2)), float(np.sum((y - y.mean()) ** 2))
    standard = math.sqrt(left / (frequency.size - 2) / spread)
    intercept = float(y.mean() - slope * x.mean())
    return ModulusSlope(slope, intercept, standard, frequency.size, 1.0 - left / whole)


def damage_exponent(slope: ArrayLike, *, convention: ExponentConvention) -> Floats:
    """Give the damage exponent alpha from the slope of the frequency sweep.

    Parameters
    ----------
    slope : array_like of float
        m of `fit_modulus_slope`, above zero.
    convention : ExponentConvention
        Never inferred: the two differ by one, and so does B by two.

    Returns
    -------
    ndarray of float
        ``1/m``, or ``1 + 1/m``.

    Raises
    ------
    MeasurementError
        Where a slope is not above zero.

    Notes
    -----
    1/m: AASHTO T 391 and TP 101-14; 1 + 1/m: TP 101-12 and some papers. Both from memory (high).

    Examples
    --------
    >>> float(damage_exponent(0.5, convention=ExponentConvention.ONE_PLUS_INVERSE_SLOPE))
    3.0
    """
    m = _positive("slope", slope)
    return np.asarray(1.0 / m + (convention is ExponentConvention.ONE_PLUS_INVERSE_SLOPE))


def damage_growth(
    strain_percent: ArrayLike,
    integrity: ArrayLike,
    time_s: ArrayLike,
    *,
    exponent: float,
    initial_modulus: float = 1.0,
) -> Floats:
    """Give the damage that has grown up to each row.

    Parameters
    ----------
    strain_percent : array_like of float, shape (n,)
        Strain amplitude of each row [%].
    integrity : array_like of float, shape (n,)
        What is left whole, C.
    time_s : array_like of float, shape (n,)
        Time, rising [s].
    exponent : float
        alpha.
    initial_modulus : float
        1 where C is the ratio of moduli; the initial |G*| [MPa] where C is |G*| sin(delta) [MPa].

    Returns
    -------
    ndarray of float, shape (n,)
        D, beginning with 0.

    Raises
    ------
    MeasurementError
        Where the columns differ in length, a number is missing, or time does not rise.

    Notes
    -----
    ``D = sum [pi I gamma_i² (C_(i-1) - C_i)]^(alpha/(1+alpha)) (t_i - t_(i-1))^(1/(1+alpha))``, AASHTO T 391
    (I = 1); the older form has I = initial |G*|.

    A rise of C would give a negative number to a broken power. Damage does not heal under a load that rises,
    so C is taken at its lowest so far: a rise adds nothing. Where the scatter of a row is as large as its
    fall, gather the rows first (`gathered_rows`): the sum over rows that only scatter is far too large.
    """
    strain, whole, time = (np.asarray(a, dtype=float) for a in (strain_percent, integrity, time_s))
    alpha = float(_positive("damage exponent", exponent))
    initial = float(_positive("initial modulus", initial_modulus))
    if strain.ndim != 1 or not strain.shape == whole.shape == time.shape or not strain.size:
        raise MeasurementError("amplitude sweep: strain, modulus and time must be columns of one length")
    if not (np.isfinite(strain) & np.isfinite(whole) & np.isfinite(time) & (strain > 0)).all():
        raise MeasurementError("amplitude sweep: every strain must be above zero, every number finite")
    steps = np.diff(time)
    if np.any(steps <= 0.0):
        row = int(np.flatnonzero(steps <= 0.0)[0]) + 2
        raise MeasurementError(f"amplitude sweep: time does not rise at its row {row}")
    drops = -np.diff(np.minimum.accumulate(whole))
    work = math.pi * initial * strain[1:] ** 2 * drops
    grown = work ** (alpha / (1.0 + alpha)) * steps ** (1.0 / (1.0 + alpha))
    return np.concatenate([[0.0], np.cumsum(grown)])


def gathered_rows(integrity: ArrayLike) -> NDArray[np.int64]:
    """Give where rows begin that show a fall clear of their own scatter.

    Parameters
    ----------
    integrity : array_like of float, shape (n,)
        What is left whole, C or |G*|, in the order of the test.

    Returns
    -------
    ndarray of int, shape (m,)
        First row of each group, ending where the next begins; every row for itself where nothing scatters.

    Raises
    ------
    MeasurementError
        Where there is no row or a number is missing.

    Notes
    -----
    A group is closed when its mean lies below that of the one before by five times the scatter of such a
    mean, s/sqrt(rows). s is taken from the second differences, which a smooth curve hardly has: their
    variance is 6 s², their median square 0.455 of it. A rule of our own: on simulated sweeps with 0.3 % of
    scatter it keeps the cycles to failure within a tenth, where the plain sum loses a fifth at one row a
    second and three quarters at ten.
    """
    whole = np.asarray(integrity, dtype=float)
    if whole.ndim != 1 or not whole.size or not np.isfinite(whole).all():
        raise MeasurementError("amplitude sweep: needed is a row of moduli, every one a number")
    clear = _CLEAR_OF_SCATTER * row_scatter(whole)
    starts, count, total, before = [0], 0, 0.0, math.inf
    for row, value in enumerate(whole.tolist()):
        total += value
        count += 1
        if total / count < before - clear / math.sqrt(count):
            before = total / count
            count, total = 0, 0.0
            starts.append(row + 1)
    if starts[-1] == whole.size:
        starts.pop()
    return np.array(starts)


def row_scatter(values: ArrayLike) -> float:
    """Give the standard deviation of single rows about a smooth curve, from their second differences.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        One column, in the order of the test.

    Returns
    -------
    float
        0 where there are fewer than three rows.

    Notes
    -----
    Independent scatter s gives second differences of variance 6 s²; the median of a squared normal number is
    0.455 of its variance (textbooks of statistics).

    Examples
    --------
    >>> row_scatter([1.0, 2.0, 3.0, 4.0])
    0.0
    """
    column = np.asarray(values, dtype=float)
    bends = column[2:] - 2.0 * column[1:-1] + column[:-2]
    return math.sqrt(float(np.median(bends**2)) / 0.455 / 6.0) if bends.size else 0.0


def fit_integrity(damage: ArrayLike, integrity: ArrayLike, *, initial: float = 1.0) -> IntegrityFit:
    """Fit C = C0 - C1 D^C2.

    Parameters
    ----------
    damage : array_like of float, shape (n,)
        D.
    integrity : array_like of float, shape (n,)
        C.
    initial : float
        C0.

    Returns
    -------
    IntegrityFit
        With the covariance of ln C1 and C2.

    Raises
    ------
    MeasurementError
        Where fewer than four rows have D of 10 or more and C below C0, or C does not fall with D.

    Notes
    -----
    ``log(C0 - C) = log C1 + C2 log D`` by least squares, D below 10 left out (AASHTO T 391). Rows of one
    specimen follow each other, so the scatter of the residuals says too little: with r their correlation
    from row to row the number of rows counts as n (1 - r)/(1 + r) (effective sample size of a first-order
    autoregression, textbooks of statistics).
    """
    d, c = np.asarray(damage, dtype=float), np.asarray(integrity, dtype=float)
    c0 = float(_positive("initial integrity", initial))
    used = (d >= LEAST_DAMAGE) & (c < c0)
    count = int(np.count_nonzero(used))
    if count < _FIT_POINTS:
        raise MeasurementError(
            f"amplitude sweep: {count} rows have a damage of {LEAST_DAMAGE:g} or more; "
            f"at least {_FIT_POINTS} are needed to fit the loss of modulus"
        )
    x, y = np.log(d[used]), np.log(c0 - c[used])
    away = x - x.mean()
    spread = float(np.sum(away**2))
    exponent = float(np.sum(away * y) / spread) if spread > 0.0 else 0.0
    if exponent <= 0.0:
        raise MeasurementError(
            "amplitude sweep: the modulus does not fall with damage; nothing can be fitted"
        )
    residuals = y - y.mean() - exponent * away
    total = float(np.sum(residuals**2))
    effective = max(3.0, count * _independent_share(residuals, total))
    # Variance of the scatter as if `effective` rows stood alone, spread as wide as the rows are.
    variance = total / count * effective / (effective - 2.0)
    of_slope = variance / (spread / count * effective)
    middle = float(x.mean())
    of_level = variance / effective + middle**2 * of_slope
    return IntegrityFit(
        c0,
        math.exp(float(y.mean()) - exponent * middle),
        exponent,
        (of_level, -middle * of_slope, of_slope),
        math.sqrt(total / (count - 2)),
        effective - 2.0,
        count,
    )


def _independent_share(residuals: Floats, total: float) -> float:
    """Give which share of the rows counts as rows of their own."""
    if total <= 0.0:
        return 1.0
    following = float(np.sum(residuals[1:] * residuals[:-1])) / total
    held = min(max(following, 0.0), 0.99)
    return (1.0 - held) / (1.0 + held)


def damage_at_loss(loss: ArrayLike, *, loss_coefficient: ArrayLike, loss_exponent: ArrayLike) -> Floats:
    """Give the damage at which C has fallen by a loss.

    Parameters
    ----------
    loss : array_like of float
        C0 - C at failure, above zero.
    loss_coefficient, loss_exponent : array_like of float
        C1 and C2.

    Returns
    -------
    ndarray of float
        ``Df = (loss/C1)^(1/C2)``.

    Raises
    ------
    MeasurementError
        Where a number is not above zero.

    Notes
    -----
    AASHTO T 391. For the older rule of 35 % the loss is ``0.35 C0`` by definition, so 0.35 stands inside the
    bracket; the formula as remembered has it outside, which would not be a loss of 35 %.

    Examples
    --------
    >>> round(float(damage_at_loss(0.35, loss_coefficient=0.05, loss_exponent=0.5)), 3)
    49.0
    """
    fallen, c1, c2 = (
        _positive(n, v) for n, v in (("loss", loss), ("C1", loss_coefficient), ("C2", loss_exponent))
    )
    return np.asarray((fallen / c1) ** (1.0 / c2))


def fatigue_coefficient(
    exponent: ArrayLike,
    *,
    loss_coefficient: ArrayLike,
    loss_exponent: ArrayLike,
    damage_at_failure: ArrayLike,
    frequency_hz: ArrayLike = 10.0,
    initial_modulus: ArrayLike = 1.0,
) -> Floats:
    """Give A of the fatigue law.

    Parameters
    ----------
    exponent : array_like of float
        alpha.
    loss_coefficient, loss_exponent : array_like of float
        C1 and C2.
    damage_at_failure : array_like of float
        Df.
    frequency_hz : array_like of float
        Loading frequency [Hz].
    initial_modulus : array_like of float
        As in `damage_growth`.

    Returns
    -------
    ndarray of float
        A [cycles, for a strain in %].

    Raises
    ------
    MeasurementError
        Where a number is not above zero, or k is not.

    Notes
    -----
    ``k = 1 + (1 - C2) alpha``, ``A = f Df^k/(k (pi I C1 C2)^alpha)``; AASHTO T 391 with I = 1. It is the
    growth of damage at one amplitude, integrated up to Df.
    """
    alpha, c1, c2, df, f, initial = (
        _positive(name, value)
        for name, value in (
            ("alpha", exponent),
            ("C1", loss_coefficient),
            ("C2", loss_exponent),
            ("Df", damage_at_failure),
            ("frequency", frequency_hz),
            ("initial modulus", initial_modulus),
        )
    )
    k = 1.0 + (1.0 - c2) * alpha
    if np.any(k <= 0.0):
        raise MeasurementError(
            f"fatigue law: k = 1 + (1 - C2) alpha is {np.min(k):.3g}, above zero is needed"
        )
    return np.asarray(f * df**k / (k * (math.pi * initial * c1 * c2) ** alpha))


def fatigue_life(strain_percent: ArrayLike, *, coefficient_a: ArrayLike, exponent_b: ArrayLike) -> Floats:
    """Give the cycles to failure at a strain amplitude.

    Parameters
    ----------
    strain_percent : array_like of float
        Strain amplitude, above zero [%].
    coefficient_a, exponent_b : array_like of float
        A and B = 2 alpha.

    Returns
    -------
    ndarray of float
        ``Nf = A strain^(-B)``.

    Raises
    ------
    MeasurementError
        Where a number is not above zero.

    Examples
    --------
    >>> round(float(fatigue_life(5.0, coefficient_a=235597.278, exponent_b=3.0)), 3)
    1884.778
    """
    strain, a, b = (
        _positive(n, v) for n, v in (("strain", strain_percent), ("A", coefficient_a), ("B", exponent_b))
    )
    return np.asarray(a * strain**-b)


def _positive(name: str, values: ArrayLike) -> Floats:
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all() or np.any(numbers <= 0.0):
        raise MeasurementError(f"fatigue law: every {name} must be a finite number above zero")
    return numbers
