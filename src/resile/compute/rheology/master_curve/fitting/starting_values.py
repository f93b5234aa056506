"""Where a fit of a master curve begins: shifts by laying isotherms side by side, then the shape."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.rheology.master_curve.forms.shapes import olard_di_benedetto_modulus
from resile.compute.rheology.master_curve.forms.shifts import (
    arrhenius_log_shift,
    free_log_shift,
    kaelble_log_shift,
)
from resile.records.models.master_curve import CurveShape, CurveShift

Floats = NDArray[np.float64]

_LOG2 = math.log10(2.0)
# Where sweeps say nothing else: Williams, Landel and Ferry with a C1 and C2 of the size found for binders.
_USUAL_C1, _USUAL_C2 = 15.0, 130.0


def neighbouring_shifts(rows: SweepRows, *, reference_c: float) -> Floats:
    """Give rough shifts that lay each isotherm beside the next one.

    Parameters
    ----------
    rows : SweepRows
        Sweeps at two or more temperatures.
    reference_c : float
        Temperature of shift zero [°C].

    Returns
    -------
    ndarray of float, shape (k,)
        ``log10 aT`` at each of ``rows.nodes_c``.

    Notes
    -----
    Each isotherm is taken as a straight line of ``log |G*|`` over ``log w``; two neighbours are moved until
    the lines meet, at the mean of their slopes. Exact for a power law.
    """
    x, y = np.log10(rows.angular_frequency_rad_s), np.log10(rows.complex_modulus)
    middles, slopes = [], []
    for place in range(len(rows.nodes_c)):
        here = rows.node == place
        middle, off = (x[here].mean(), y[here].mean()), x[here] - x[here].mean()
        spread = float(off @ off)
        middles.append(middle)
        slopes.append(float(off @ y[here]) / spread if spread > 0.0 else math.nan)
    known = [slope for slope in slopes if slope > 0.0] or [0.5]
    slopes = [slope if slope > 0.0 else float(np.mean(known)) for slope in slopes]
    shifts = [0.0]
    for (x0, y0), (x1, y1), m0, m1 in zip(middles, middles[1:], slopes, slopes[1:], strict=False):
        shifts.append(shifts[-1] + x0 - x1 + (y1 - y0) / (0.5 * (m0 + m1)))
    found = np.asarray(shifts)
    return np.asarray(found - free_log_shift(reference_c, nodes_c=rows.nodes_c, log_shifts=found))


def starting_shift(
    shift: CurveShift | str, nodes_c: ArrayLike, log_shifts: ArrayLike, *, reference_c: float
) -> Floats:
    """Give parameters of a shift that come near known shifts.

    Parameters
    ----------
    shift : CurveShift or str
        Name of the shift.
    nodes_c, log_shifts : array_like of float, shape (k,)
        Temperatures [°C] and ``log10 aT`` there.
    reference_c : float
        Temperature of shift zero [°C].

    Returns
    -------
    ndarray of float, shape (s, p)
        One start a row.

    Notes
    -----
    Williams, Landel and Ferry: ``C1 y + C2 s = -s y`` with ``y = T - Tr`` is linear in the constants, and
    exact where the shifts follow it. Arrhenius is linear by itself. Kaelble gets several
    defining temperatures.
    """
    nodes, shifts = np.asarray(nodes_c, dtype=float), np.asarray(log_shifts, dtype=float)
    named = CurveShift(shift)
    if named is CurveShift.FREE:
        return shifts[None, :]
    if named is CurveShift.ARRHENIUS:
        unit = arrhenius_log_shift(nodes, reference_c=reference_c, activation_energy_kj_mol=1.0)
        return np.array([[float(unit @ shifts) / float(unit @ unit)]])
    apart = nodes - reference_c
    if named is CurveShift.WLF:
        c1, c2 = np.linalg.lstsq(np.column_stack((apart, shifts)), -shifts * apart, rcond=None)[0]
        if not (c1 > 0.0 and c2 > 1.0 - float(apart.min())):
            c1, c2 = _USUAL_C1, max(_USUAL_C2, 2.0 - 2.0 * float(apart.min()))
        return np.array([[c1, c2]])
    starts = []
    for defining_c in np.linspace(nodes[0] - 10.0, nodes[-1] - 10.0, 4).tolist():
        for c2 in (60.0, 150.0):
            unit = kaelble_log_shift(nodes, reference_c=reference_c, defining_c=defining_c, c1=1.0, c2=c2)
            starts.append((max(float(unit @ shifts) / float(unit @ unit), 0.5), c2, defining_c))
    return np.array(starts)


def starting_shape(
    shape: CurveShape | str,
    log_reduced_frequency: ArrayLike,
    log_modulus: ArrayLike,
    phase_deg: ArrayLike,
    *,
    log_glassy_modulus: float,
) -> Floats:
    """Give parameters of a shape that come near points on one curve.

    Parameters
    ----------
    shape : CurveShape or str
        Name of the shape.
    log_reduced_frequency, log_modulus, phase_deg : array_like of float, shape (n,)
        ``log10`` of reduced frequency [rad/s] and of the modulus [kPa]; phase angle [°].
    log_glassy_modulus : float
        ``log10`` of the glassy modulus [kPa].

    Returns
    -------
    ndarray of float, shape (p,)
        In the order of `SHAPES`.

    Notes
    -----
    Index and crossover by the one-point relations of Christensen and Anderson, middle of the points between
    5 and 85°; exact for that shape. For 2S2P1D the best of a small set, each put in place along the
    frequency.
    """
    x, y, d = (np.asarray(a, dtype=float) for a in (log_reduced_frequency, log_modulus, phase_deg))
    telling = (d > 5.0) & (d < 85.0) & (y < log_glassy_modulus)
    if not telling.any():
        telling = np.ones(len(x), dtype=bool)
    share = np.clip(d[telling] / 90.0, 0.02, 0.98)
    index = float(np.median(_LOG2 * (y[telling] - log_glassy_modulus) / np.log10(1.0 - share)))
    index = min(max(index, 0.5), 8.0)
    crossover = float(np.median(x[telling] - index / _LOG2 * np.log10(1.0 / share - 1.0)))
    named = CurveShape(shape)
    simple = [log_glassy_modulus, crossover, index]
    if named is CurveShape.CA:
        return np.array(simple)
    if named is CurveShape.CAM:
        return np.array([*simple, 1.0])
    return _starting_two_springs(x, y, d, log_glassy_modulus)


def _starting_two_springs(x: Floats, y: Floats, d: Floats, log_glassy: float) -> Floats:
    best, least = np.zeros(6), math.inf
    grid = np.linspace(-25.0, 12.0, 250)  # log10 of frequency times characteristic time
    for slow, fast in ((0.2, 0.5), (0.25, 0.6), (0.3, 0.75)):
        for weight in (2.0, 5.0):
            for log_ratio in (1.0, 2.5):
                elements = (weight, slow, fast, log_ratio)
                curve, phase = _two_springs_along(grid, log_glassy, *elements)
                # Moved along the frequency until its moduli stand where the points do, by their median.
                log_time = float(np.median(np.interp(y, curve, grid) - x))
                place = x + log_time
                seen, angle = np.interp(place, grid, curve), np.interp(place, grid, phase)
                misfit = float(np.sum((seen - y) ** 2) / 0.02**2 + np.sum((angle - d) ** 2))
                if misfit < least:
                    best, least = np.array([log_glassy, log_time, *elements]), misfit
    return best


def _two_springs_along(
    grid: Floats, log_glassy: float, weight: float, slow: float, fast: float, log_ratio: float
) -> tuple[Floats, Floats]:
    """Give the logarithm of the modulus [kPa] and the phase angle [°] at a characteristic time of 1 s."""
    found = olard_di_benedetto_modulus(
        10.0**grid,
        glassy_modulus=1.0,
        characteristic_time_s=1.0,
        creep_weight=weight,
        slow_exponent=slow,
        fast_exponent=fast,
        dashpot_ratio=10.0**log_ratio,
    )
    return log_glassy + np.log10(np.abs(found)), np.angle(found, deg=True)
