"""Relaxation spectrum from moduli and phase angles over reduced frequency: non-negative and smoothed.

Use `fit_relaxation_spectrum` on measured points (with an interval), `spectrum_of_curve` on a curve that is
known without noise. The modes go on to `interconversion`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.spectra.modes import dynamic_moduli
from resile.compute.rheology.master_curve.spectra.smoothed_modes import SmoothedModes
from resile.errors import MeasurementError
from resile.records.models.spectrum import RelaxationModes, RelaxationSpectrum, SpectrumPoint

Floats = NDArray[np.float64]

MODULUS_ERROR = 0.02
"""Relative error of a modulus, for the weights: own choice, a plate within 0.5 % of its radius."""
PHASE_ERROR_DEG = 0.5
"""Error of a phase angle, for the weights: own choice."""
MODES_PER_DECADE = 2.0
"""Own choice: modes half a decade apart repeat a smooth curve to 0.2 % (docs/methods)."""
_LEAST_STRENGTH = 1e-3
_RULE = "the strength with the greatest marginal likelihood of fifteen from 0.001 to 10 000"


def fit_relaxation_spectrum(
    angular_frequency_rad_s: ArrayLike,
    complex_modulus: ArrayLike,
    phase_angle_deg: ArrayLike,
    *,
    reference_c: float | None = None,
    modulus_error: float = MODULUS_ERROR,
    phase_error_deg: float = PHASE_ERROR_DEG,
    modes_per_decade: float = MODES_PER_DECADE,
    smoothing: float | None = None,
    draws: int = 200,
    probability: float = 0.95,
    seed: int = 0,
) -> RelaxationSpectrum:
    """Find the relaxation spectrum behind moduli and phase angles.

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,)
        Angular frequency, reduced to one temperature [rad/s].
    complex_modulus : array_like of float, shape (n,)
        Size of the complex modulus [kPa].
    phase_angle_deg : array_like of float, shape (n,)
        Phase angle, 0 to 90 [°].
    reference_c : float or None
        Temperature of the reduced frequency [°C]: carried along.
    modulus_error, phase_error_deg : float
        Relative error of a modulus and error of a phase angle [°]: only their ratio counts.
    modes_per_decade : float
        Of the grid of relaxation times, 0.5 to 5.
    smoothing : float or None
        Strength of the smoothing; None chooses it by the rule below.
    draws : int
        Repeats with residuals drawn anew for the interval; 0 for none.
    probability : float
        Share the interval is meant to hold.
    seed : int
        Of the draws.

    Returns
    -------
    RelaxationSpectrum
        Modes, density with interval, residuals, and how the smoothing was chosen.

    Raises
    ------
    MeasurementError
        With fewer than five points, less than one decade of frequency, or a value that cannot be.

    Notes
    -----
    Unknowns are ``x_i = G_i/|G*|(1/r_i)``, with a smooth modulus, so that all are of one size. Minimised is

        sum [Re(q) - 1]²/um² + sum [Im(q)]²/ud² + s² (n/m) sum (x_(i-1) - 2 x_i + x_(i+1))²

    with every ``x_i`` at least 0, q the complex modulus of the modes over the measured one (its real part is
    the error of ln|G*|, its imaginary part that of d in radians), n residuals and m differences, by
    non-negative least squares. Of fifteen strengths s from 1e-3 to 1e4 that with the greatest marginal
    likelihood is taken: residuals and differences are both seen as noise of one standard deviation, which is
    integrated out.

    Interval: each draw takes its strength by those likelihoods, residuals in runs of five neighbours with
    random sign, and noise on the differences, and is solved anew. In planted repeats of a smooth spectrum
    it held 95 to 99 % of the places inside the measured span where 95 % were asked for (docs/methods). The
    first and the last place lean on what lies outside and are held less often.

    References
    ----------
    Non-negative least squares: Lawson and Hanson 1974. Strength by marginal likelihood: MacKay 1992, from
    memory (high). Intervals of smoothing as those of a posterior: Wahba 1983, from memory (high).
    Regularised spectra of polymers: Honerkamp and Weese 1989, from memory (medium). The scaling of the
    unknowns is our own.
    """
    if not 0.5 <= modes_per_decade <= 5.0:
        raise MeasurementError(f"spectrum: {modes_per_decade:g} modes per decade found, 0.5 to 5 are needed")
    frequency, modulus, phase = _checked(angular_frequency_rad_s, complex_modulus, phase_angle_deg)
    system = SmoothedModes.of(
        frequency, modulus, phase, modes_per_decade, modulus_error, math.radians(phase_error_deg)
    )
    tried, chances = system.chances() if smoothing is None else (np.array([smoothing]), np.ones(1))
    strength = float(tried[int(np.argmax(chances))])
    unknown = system.solve(strength)
    lower, upper = system.interval(unknown, tried, chances, draws, probability, np.random.default_rng(seed))
    step = math.log(10.0) / modes_per_decade
    inside = (system.times * frequency.max() >= 1.0 - 1e-9) & (system.times * frequency.min() <= 1.0 + 1e-9)
    modes = _positive_modes(system.times, unknown * system.scale)
    storage, loss = dynamic_moduli(modes, frequency)
    densities = ((system.scale / step * sizes).tolist() for sizes in (unknown, lower, upper))
    return RelaxationSpectrum(
        modes=modes,
        spectrum=tuple(
            SpectrumPoint(*row)
            for row in zip(system.times.tolist(), *densities, inside.tolist(), strict=True)
        ),
        modes_per_decade=modes_per_decade,
        smoothing=strength,
        smoothing_rule=_RULE if smoothing is None else "given",
        residual_standard=float(np.sqrt(np.mean(system.misfit(unknown) ** 2))),
        modulus_residual_percent=100.0
        * float(np.sqrt(np.mean((np.hypot(storage, loss) / modulus - 1.0) ** 2))),
        phase_residual_deg=float(np.sqrt(np.mean((np.degrees(np.arctan2(loss, storage)) - phase) ** 2))),
        point_count=len(frequency),
        reference_c=reference_c,
        draws=draws,
        probability=probability,
        seed=seed,
    )


def spectrum_of_curve(
    angular_frequency_rad_s: ArrayLike,
    complex_modulus: ArrayLike,
    phase_angle_deg: ArrayLike,
    *,
    modes_per_decade: float = MODES_PER_DECADE,
) -> RelaxationModes:
    """Give relaxation modes that repeat a curve known without noise.

    Parameters
    ----------
    angular_frequency_rad_s, complex_modulus, phase_angle_deg : array_like of float, shape (n,)
        As in `fit_relaxation_spectrum`; ten or more frequencies a decade.
    modes_per_decade : float
        Of the grid of relaxation times.

    Returns
    -------
    RelaxationModes
        Modes above zero; trust them one decade inside the span of 1/frequency.

    Raises
    ------
    MeasurementError
        As `fit_relaxation_spectrum`.

    Notes
    -----
    Non-negative least squares with the least smoothing, modulus and phase angle weighted 1 to 1 radian.

    References
    ----------
    As `fit_relaxation_spectrum`.
    """
    data = _checked(angular_frequency_rad_s, complex_modulus, phase_angle_deg)
    system = SmoothedModes.of(*data, modes_per_decade, 1.0, 1.0)
    unknown = system.solve(_LEAST_STRENGTH)
    return _positive_modes(system.times, unknown * system.scale)


def _positive_modes(times: Floats, moduli: Floats) -> RelaxationModes:
    kept = moduli > 0.0
    return RelaxationModes(tuple(times[kept].tolist()), tuple(moduli[kept].tolist()))


def _checked(frequency: ArrayLike, modulus: ArrayLike, phase: ArrayLike) -> tuple[Floats, Floats, Floats]:
    rows = [np.asarray(values, dtype=float) for values in (frequency, modulus, phase)]
    if any(row.shape != rows[0].shape or row.ndim != 1 for row in rows) or len(rows[0]) < 5:
        raise MeasurementError(
            "spectrum: five or more points of frequency, modulus and phase angle are needed"
        )
    if not (np.isfinite(rows).all() and (rows[0] > 0.0).all() and (rows[1] > 0.0).all()):
        raise MeasurementError("spectrum: every frequency and modulus must be a number above zero")
    if not ((rows[2] > 0.0) & (rows[2] < 90.0)).any():
        raise MeasurementError("spectrum: no phase angle between 0 and 90° found")
    if rows[0].max() < 10.0 * rows[0].min():
        raise MeasurementError(
            f"spectrum: frequencies from {rows[0].min():g} to {rows[0].max():g} rad/s found; "
            "a decade or more is needed"
        )
    order = np.argsort(rows[0], kind="stable")
    return rows[0][order], rows[1][order], np.clip(rows[2][order], 0.01, 89.99)
