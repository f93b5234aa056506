"""What the fit of a creep model leaves in doubt about the strain under a programme."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.models.creep_programme import (
    compliance_at_stress,
    reduced_time,
    simulate_programme,
)
from resile.compute.statistics.probability.student import student_quantile
from resile.records.models.creep_model import CreepModel, CreepModelFit, ProgrammeResponse

Floats = NDArray[np.float64]


def programme_with_doubt(
    fit: CreepModelFit,
    time_s: ArrayLike,
    *,
    starts_s: ArrayLike,
    stresses_kpa: ArrayLike,
    log_shifts: ArrayLike = 0.0,
) -> ProgrammeResponse:
    """Give the strain of a fitted model under steps of stress and temperature, with intervals.

    Parameters
    ----------
    fit : CreepModelFit
        The model with the covariance of its parameters.
    time_s, starts_s, stresses_kpa, log_shifts
        As in `simulate_programme`.

    Returns
    -------
    ProgrammeResponse
        With intervals of strain and of its part that never comes back, of the probability of the fit.

    Raises
    ------
    InputError
        As `simulate_programme`.

    Notes
    -----
    ``u² = g' C g`` with C the covariance of the fit, which counts rows that hang together, and g the exact
    derivatives of the strain by its parameters; times Student's t. A parameter on a bound counts as known.
    The interval holds what the record leaves in doubt about the model: not whether the shift holds, nor
    another specimen, nor strains beyond the record.

    References
    ----------
    JCGM 100:2008, 5.2.2, Eq. 16 for the combination.
    """
    plain = simulate_programme(
        fit.model, time_s, starts_s=starts_s, stresses_kpa=stresses_kpa, log_shifts=log_shifts
    )
    time, starts, stresses = (
        np.atleast_1d(np.asarray(one, dtype=float)) for one in (time_s, starts_s, stresses_kpa)
    )
    shifts = np.broadcast_to(np.asarray(log_shifts, dtype=float), starts.shape)
    reduced = reduced_time(time, starts_s=starts, log_shifts=shifts)
    edges = np.append(reduced_time(starts, starts_s=starts, log_shifts=shifts), np.inf)
    strain_by = np.zeros((len(time), len(fit.fit.values)))
    flow_by = np.zeros_like(strain_by)
    for place, stress in enumerate(stresses.tolist()):
        if stress == 0.0:
            continue
        put_on, taken_off = (_unit_strains(fit.model, reduced - edge) for edge in edges[place : place + 2])
        unit, along = (stress * (on - off) for on, off in zip(put_on, taken_off, strict=True))
        _add_slopes(strain_by, flow_by, fit, stress, unit, along)
    covariance = np.nan_to_num(np.array(fit.fit.covariance), nan=0.0)
    factor = student_quantile(0.5 + fit.probability / 2.0, fit.fit.degrees_of_freedom)
    ends = [
        (np.array(value) - half, np.array(value) + half)
        for value, half in (
            (value, factor * np.sqrt(np.maximum(np.einsum("np,pq,nq->n", by, covariance, by), 0.0)))
            for value, by in ((plain.strain, strain_by), (plain.flow_strain, flow_by))
        )
    ]
    return replace(
        plain,
        strain_lower=tuple(ends[0][0].tolist()),
        strain_upper=tuple(ends[0][1].tolist()),
        flow_strain_lower=tuple(ends[1][0].tolist()),
        flow_strain_upper=tuple(ends[1][1].tolist()),
    )


def _unit_strains(model: CreepModel, elapsed: Floats) -> tuple[Floats, Floats]:
    """Give the strain of a unit of each compliance, and its derivatives by times or exponent."""
    time = np.maximum(elapsed, 0.0)
    if model.exponent is not None:
        delayed = (time**model.exponent)[:, None]
        along = delayed * np.log(np.maximum(time, np.finfo(float).tiny))[:, None]
    else:
        share = time[:, None] / np.array(model.retardation_times_s).reshape(1, -1)
        delayed, along = -np.expm1(-share), -share * np.exp(-share)  # by the logarithm of the time
        along[np.isinf(time)] = 0.0
    unit = np.column_stack(((elapsed > 0.0).astype(float), time, delayed))
    return unit, np.where(time[:, None] > 0.0, along, 0.0)


def _add_slopes(
    strain_by: Floats, flow_by: Floats, fit: CreepModelFit, stress: float, unit: Floats, along: Floats
) -> None:
    """Add what one step does to the derivatives of strain and flow by the parameters of the fit."""
    levels, count = fit.model.compliances, along.shape[1]
    own = np.array(compliance_at_stress(fit.model, stress).numbers)
    strain_by[:, :count] += along * own[2:]
    first = strain_by.shape[1] - count * len(levels)
    stresses = [one.stress_kpa for one in levels]
    above = int(np.clip(np.searchsorted(stresses, abs(stress)), 0, len(levels)))
    if above in (0, len(levels)):
        parts = [(min(above, len(levels) - 1), np.ones_like(own))]
    else:
        low, high = (np.array(levels[place].numbers) for place in (above - 1, above))
        share = float(
            np.log(abs(stress) / stresses[above - 1]) / np.log(stresses[above] / stresses[above - 1])
        )
        curved = (low > 0.0) & (high > 0.0)
        safe = np.where(curved, low, 1.0), np.where(curved, high, 1.0)
        parts = [
            (above - 1, (1.0 - share) * np.where(curved, own / safe[0], 1.0)),
            (above, share * np.where(curved, own / safe[1], 1.0)),
        ]
    for level, slope in parts:
        places = [count + level, count + len(levels) + level]
        places += [first + element * len(levels) + level for element in range(count)]
        strain_by[:, places] += unit * slope
        flow_by[:, places[1]] += unit[:, 1] * slope[1]
