"""Fit a Burgers, generalised Kelvin or fractional model to all cycles of a creep-recovery record at once.

What to use when: `fit_creep_model` for a kind of model and a number of elements; `choose_creep_model` lets
the corrected information criterion choose the number of Kelvin elements. Both respect what earlier pushes
left: the strain of the whole record is one sum over all pushes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.models.creep_columns import CreepColumns
from resile.compute.rheology.models.creep_fit_doubt import creep_fit_of_correlated_rows
from resile.compute.rheology.models.creep_fit_result import FINEST_PERCENT, FittedCreepRecord
from resile.compute.rheology.models.creep_projection import CreepProjection, LinearPart
from resile.compute.rheology.models.creep_record import CreepRecord
from resile.compute.statistics.fits.least_squares import fit_least_squares
from resile.errors import InputError
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.fit import LeastSquaresFit
from resile.records.models.creep_model import CreepModelFit, CreepModelKind

Floats = NDArray[np.float64]

MOST_ELEMENTS = 8
"""More Kelvin elements than this are refused: a record of ten-second cycles tells no more apart."""
NO_SUPPORT = 10.0
"""More elements must lower the criterion by more than this to be kept: a model so far above the best one has
essentially no support (Burnham and Anderson 2002, from memory, high)."""
EXPONENTS = (0.02, 0.98)
"""Bounds of the exponent of a fractional element: at the ends it is the spring or the dashpot in the row."""
_FASTEST, _SLOWEST = 0.25, 3.0  # bounds of retardation times, in shortest rows and in lengths of the record
_LAST_EVALUATIONS = 40  # the search along the curved parameters came to rest already
_SOUNDING, _ROUGH, _SETTLED = 1e-5, 1e-5, 1e-9  # tolerances: telling rows, all rows, all parameters together
_GRID = 24
_WEIGHINGS, _SAME_WEIGHTS = 6, 0.01  # at most so often, until levels keep their weights to so much
_EXACT = 1e-9  # residuals below this share of the creep strain are rounding: weights stay as they are


@dataclass(frozen=True, slots=True)
class _Kind:
    """Bounds and starts of the curved parameters, and their columns."""

    lower: float
    upper: float
    fractional: bool


def fit_creep_model(
    run: CreepRecoveryRun,
    time_s: ArrayLike,
    stress_kpa: ArrayLike,
    strain: ArrayLike,
    *,
    kind: str = "burgers",
    elements: int = 1,
    probability: float = 0.95,
) -> CreepModelFit:
    """Fit a model to all cycles of a record.

    Parameters
    ----------
    run : CreepRecoveryRun
        The run as reduced from the same columns: where its pushes start, and their nominal stresses.
    time_s, stress_kpa, strain : array_like of float, shape (n,)
        Running time [s], shear stress [kPa] and shear strain (ratio), in order of time.
    kind : str
        ``burgers``, ``kelvin`` or ``fractional``.
    elements : int
        Number of Kelvin elements of a ``kelvin`` model; the others have one element.
    probability : float
        Probability of the intervals.

    Returns
    -------
    CreepModelFit
        Model, parameters with intervals, residuals, the parts of Jnr and measures; without findings.

    Raises
    ------
    InputError
        Where kind or number of elements are unknown.
    MeasurementError
        Where the run has no rows to fit.

    Notes
    -----
    With spring ``J0``, dashpot ``1/h`` and elements ``J_i, r_i``, all compliances of stress level l own to it
    and the retardation times shared,

        strain(t) = sum_l [J0_l s_l(t) + (1/h_l) int s_l + sum_i J_il K_l(t; r_i)],
        K_l: Boltzmann sum of 1 - exp(-t/r) over all pushes of the level.

    The fractional model has ``J1_l t^a`` in place of the elements. Each push keeps the compliance it was made
    with. For given times the compliances follow from non-negative linear least squares (variable projection,
    Golub and Pereyra 1973, in Kaufman's form of 1975), so that only the times are searched, from several
    starts, on rows that tell most first, then on all rows. The rows of a level are weighted by one over the
    mean creep strain of its cycles, then by one over the root mean square of its residuals. Standard errors
    come from a last fit of all parameters together; where neighbouring residuals of a level hang
    together they are those of `correlated_covariance`, which are wider.

    References
    ----------
    Definition of the elements; Golub and Pereyra 1973, SIAM J. Numer. Anal. 10, 413; Kaufman 1975, BIT 15,
    49, both from memory (high). Power law: Scott Blair; Andrade 1910, from memory (high).
    """
    known = CreepModelKind(kind) if kind in set(CreepModelKind) else None
    if known is None:
        raise InputError(f"creep model: '{kind}' found; {', '.join(CreepModelKind)} are known")
    count = elements if known is CreepModelKind.KELVIN else 1
    if not 1 <= count <= MOST_ELEMENTS:
        raise InputError(f"creep model: {count} Kelvin elements found, 1 to {MOST_ELEMENTS} are possible")
    record = CreepRecord.of(run, time_s, stress_kpa, strain)
    return _fitted(record, known, count, probability, run.temperature_c)


def choose_creep_model(
    run: CreepRecoveryRun,
    time_s: ArrayLike,
    stress_kpa: ArrayLike,
    strain: ArrayLike,
    *,
    most_elements: int = 5,
    probability: float = 0.95,
) -> CreepModelFit:
    """Fit generalised Kelvin models and keep the number of elements the corrected criterion prefers.

    Parameters
    ----------
    run, time_s, stress_kpa, strain, probability
        As in `fit_creep_model`.
    most_elements : int
        Largest number of elements to try.

    Returns
    -------
    CreepModelFit
        The fit that is kept, with all that were tried.

    Raises
    ------
    InputError
        Where the number of elements is not possible.

    Notes
    -----
    Kept are the fewest elements whose criterion lies within `NO_SUPPORT` of the smallest. The criterion
    counts a scatter for each level, none finer than `FINEST_PERCENT`. It ends where one more
    element makes it worse twice, or where an element of the fit carries no strain. Rows of one record hang
    together in time, so that the criterion leans towards more elements.
    """
    if not 1 <= most_elements <= MOST_ELEMENTS:
        raise InputError(
            f"creep model: {most_elements} Kelvin elements found, 1 to {MOST_ELEMENTS} are possible"
        )
    record = CreepRecord.of(run, time_s, stress_kpa, strain)
    fits: list[CreepModelFit] = []
    for count in range(1, most_elements + 1):
        fit = _fitted(record, CreepModelKind.KELVIN, count, probability, run.temperature_c)
        if len(fit.model.retardation_times_s) < count and fits:
            break
        fits.append(fit)
        best = min(range(len(fits)), key=lambda place: fits[place].information)
        if len(fits) - best > 2 or max(fits[best].residual_percents) < FINEST_PERCENT:
            break
    tried = tuple((place + 1, fit.information) for place, fit in enumerate(fits))
    enough = fits[best].information + NO_SUPPORT
    kept = next(fit for fit in fits if fit.information <= enough)
    return replace(kept, tried=tried)


def _fitted(
    record: CreepRecord, kind: CreepModelKind, count: int, probability: float, temperature_c: float | None
) -> CreepModelFit:
    bounds = (
        _Kind(*EXPONENTS, True)
        if kind is CreepModelKind.FRACTIONAL
        else _Kind(
            float(np.log(_FASTEST * record.shortest_s)), float(np.log(_SLOWEST * record.length_s)), False
        )
    )
    weights = 1.0 / record.scales
    telling = _projection(record, bounds, weights, telling=True)
    sounded = _search(telling, bounds, _starts(record, telling, bounds, count), _SOUNDING)
    whole, curved = _projection(record, bounds, weights), sounded
    for _ in range(_WEIGHINGS):
        before, values = weights, np.array(curved.values)
        roots = _roots(record, whole.misfit(values, whole.solve(values).amplitudes))
        weights = 1.0 / np.maximum(roots, _EXACT * record.scales)
        whole = _projection(record, bounds, weights)
        curved = _search(whole, bounds, [curved.values], _ROUGH)
        if np.ptp(np.log(weights / before)) < _SAME_WEIGHTS:
            break
    fit = _all_together(whole, *_without_idle(whole, curved))
    fit = replace(fit, starts=sounded.starts, agreeing=sounded.agreeing, converged=curved.converged)
    split = len(fit.values) - whole.fixed.shape[1]
    count = split // (1 + len(record.levels_kpa))
    residuals = -whole.misfit(np.array(fit.values[:count]), np.array(fit.values[count:]))
    fit, correlations = creep_fit_of_correlated_rows(fit, whole, record, residuals)
    fitted = FittedCreepRecord(record, kind, fit, count, residuals, correlations, probability)
    return fitted.described(temperature_c)


def _projection(
    record: CreepRecord, bounds: _Kind, weights: Floats, *, telling: bool = False
) -> CreepProjection:
    rows = record.telling_rows() if telling else np.ones(len(record.time_s), dtype=bool)
    model = CreepColumns.of(record, rows, fractional=bounds.fractional)
    return CreepProjection(
        model.fixed(),
        0 if record.restarts else 1,
        model.curved,
        record.strain[rows],
        weights[record.level[rows]],
    )


def _search(
    projection: CreepProjection, bounds: _Kind, starts: ArrayLike, tolerance: float
) -> LeastSquaresFit:
    return fit_least_squares(
        projection.residuals,
        starts,
        jacobian=projection.jacobian,
        lower=bounds.lower,
        upper=bounds.upper,
        tolerance=tolerance,
    )


def _starts(record: CreepRecord, telling: CreepProjection, bounds: _Kind, count: int) -> Floats:
    """Give starts: even spreads of the times, and what a fine grid of fixed times says."""
    if bounds.fractional:
        return np.array([[0.2], [0.5], [0.8]])
    spreads = ((0.05, 5.0), (0.3, 30.0), (1.0, record.length_s))
    even = [np.log(np.geomspace(low, high, 2 * count + 1)[1::2]) for low, high in spreads]
    grid = np.linspace(bounds.lower, np.log(record.length_s), _GRID)
    share = np.cumsum(telling.spectrum(grid))
    if share[-1] > 0.0:
        even.append(np.interp((np.arange(count) + 0.5) / count, share / share[-1], grid))
    starts: Floats = np.sort(np.array(even), axis=1)
    return np.clip(starts, bounds.lower, bounds.upper)


def _roots(record: CreepRecord, residuals: Floats) -> Floats:
    level = record.level
    counts = np.bincount(level, minlength=len(record.levels_kpa))
    squares = np.bincount(level, weights=residuals**2, minlength=len(counts))
    return np.asarray(np.sqrt(squares / counts))


def _without_idle(projection: CreepProjection, curved: LeastSquaresFit) -> tuple[Floats, NDArray[np.bool_]]:
    """Give the curved parameters whose element carries strain, in order, and which sit on a bound."""
    values = np.array(curved.values)
    fixed = projection.fixed.shape[1]
    part = projection.solve(values)
    strains = np.abs(part.amplitudes) * np.linalg.norm(part.design, axis=0)
    carried = strains[fixed:].reshape(len(values), -1).max(axis=1) > _EXACT * strains.max()
    held = np.isin(np.arange(len(values)), curved.at_bounds)
    order = np.argsort(values, kind="stable")
    order = order[carried[order]]
    return values[order], held[order]


def _all_together(projection: CreepProjection, curved: Floats, held: NDArray[np.bool_]) -> LeastSquaresFit:
    """Fit all parameters that move together, for their covariance; those at rest stay where they are."""
    amplitudes = projection.solve(curved).amplitudes
    everything = np.concatenate((curved, amplitudes))
    moving = np.concatenate((~held, amplitudes != 0.0))
    count, places = len(curved), len(curved) + projection.fixed.shape[1]
    place = np.arange(len(everything))
    compliance = (place >= count) & ~((place >= places - projection.free_sign) & (place < places))

    last: dict[bytes, LinearPart] = {}

    def turned(values: Floats) -> LinearPart:
        key = values.tobytes() + moving.tobytes()
        if key not in last:  # residuals and derivatives are asked for at the same place
            whole = everything.copy()
            whole[moving] = values
            last.clear()
            last[key] = projection.turned(whole[:count], whole[count:])
        return last[key]

    def slopes(values: Floats) -> Floats:
        part = turned(values)
        return np.hstack((part.moved, part.design))[:, moving]

    while True:
        fit = fit_least_squares(
            lambda values: turned(values).residuals,
            everything[moving],
            jacobian=slopes,
            known_scatter=True,
            tolerance=_SETTLED,
            most_evaluations=_LAST_EVALUATIONS,
        )
        below = np.flatnonzero(moving)[np.array(fit.values) < 0.0]
        below = below[compliance[below]]
        if not below.size:
            return _widened(fit, everything, moving, len(projection.strain))
        everything[below], moving[below] = 0.0, False  # rounding took a compliance that is zero below it
        alive = np.any(np.array_split(everything[places:], max(count, 1)), axis=1)[:count]
        if not alive.all():
            return _all_together(projection, curved[alive], held[alive])


def _widened(
    fit: LeastSquaresFit, everything: Floats, moving: NDArray[np.bool_], rows: int
) -> LeastSquaresFit:
    """Put the parameters at rest back among the others, and count the rows that were turned together."""
    values, covariance = everything.copy(), np.full((len(everything), len(everything)), np.nan)
    freedom = rows - int(moving.sum())
    scatter = fit.residual_sum / freedom
    values[moving] = fit.values
    covariance[np.ix_(moving, moving)] = scatter * np.array(fit.covariance)
    with np.errstate(invalid="ignore"):
        standards = np.sqrt(np.diag(covariance))
    return replace(
        fit,
        values=tuple(values.tolist()),
        standards=tuple(standards.tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        residual_standard=float(np.sqrt(scatter)),
        degrees_of_freedom=freedom,
        at_bounds=tuple(int(one) for one in np.flatnonzero(~moving)),
    )
