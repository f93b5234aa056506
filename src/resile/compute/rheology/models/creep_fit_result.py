"""From a finished fit to its record: named parameters with intervals, residuals, parts of Jnr, measures."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.creep_columns import CreepColumns
from resile.compute.rheology.models.creep_fit_doubt import SEEN_PERCENT
from resile.compute.rheology.models.creep_history import CreepHistory
from resile.compute.rheology.models.creep_record import CreepRecord
from resile.compute.statistics.fits.least_squares import confidence_bounds, corrected_information
from resile.compute.statistics.fits.residual_pattern import durbin_watson, repeated_pattern_ratio
from resile.compute.statistics.probability.student import student_quantile
from resile.records.finding import Measure
from resile.records.fit import LeastSquaresFit
from resile.records.models.creep_model import (
    CreepModel,
    CreepModelFit,
    CreepModelKind,
    CreepModelSeries,
    JnrSplit,
    LevelCompliance,
    ModelParameter,
)

Floats = NDArray[np.float64]

FINEST_PERCENT = 0.01
"""Scatter finer than this share of the creep strain of a cycle is not counted in the information criterion:
no rheometer shows more, and rounding of the file would choose elements. Own choice."""
_LARGEST = 700.0  # a logarithm beyond this is no number any more
_LARGEST_RATIO = 1e9


@dataclass(frozen=True, slots=True)
class FittedCreepRecord:
    """A record and the end of its fit.

    Attributes
    ----------
    record : CreepRecord
        What was fitted.
    kind : CreepModelKind
        Kind of model.
    fit : LeastSquaresFit
        Curved parameters first, then compliances in the order of the columns.
    count : int
        How many of them are curved.
    residuals : ndarray of float, shape (n,)
        Measured less fitted strain.
    correlations : tuple of float
        Of neighbouring residuals at each level.
    probability : float
        Probability of the intervals.
    """

    record: CreepRecord
    kind: CreepModelKind
    fit: LeastSquaresFit
    count: int
    residuals: Floats
    correlations: tuple[float, ...]
    probability: float

    def described(self, temperature_c: float | None) -> CreepModelFit:
        """Give model, parameters, residuals and parts of Jnr at the temperature of the record [°C]."""
        record, fit, count, residuals = self.record, self.fit, self.count, self.residuals
        model = _model(record, self.kind, fit.values[:count], fit.values[count:], temperature_c)
        bounds = confidence_bounds(fit, probability=self.probability)
        percent = 100.0 * residuals / record.scales[record.level]
        squares = [percent[record.level == place] ** 2 for place in range(len(record.levels_kpa))]
        roots = tuple(math.sqrt(float(one.mean())) for one in squares)
        return CreepModelFit(
            model=model,
            fit=fit,
            parameters=_parameters(model, fit, bounds),
            probability=self.probability,
            information=_information(squares, fit, len(record.levels_kpa)),
            residual_percents=roots,
            residual_correlations=self.correlations,
            splits=_splits(record, model, fit, bounds, self.probability),
            measures=_measures(record, model, fit, percent, roots),
            series=CreepModelSeries(
                record.time_s,
                record.strain,
                record.strain - residuals,
                percent,
                record.levels_kpa[record.level],
                record.time_s - record.starts_s[record.cycle],
                record.cycle + 1,
            ),
        )


def _model(
    record: CreepRecord,
    kind: CreepModelKind,
    curved: tuple[float, ...],
    amplitudes: tuple[float, ...],
    temperature_c: float | None,
) -> CreepModel:
    levels, fractional = len(record.levels_kpa), kind is CreepModelKind.FRACTIONAL
    first = 2 * levels + (0 if record.restarts else 1)
    compliances = tuple(
        LevelCompliance(
            stress_kpa=float(stress),
            elastic_compliance=amplitudes[place],
            fluidity_per_kpa_s=amplitudes[levels + place],
            delayed_compliance=tuple(amplitudes[first + place :: levels]),
        )
        for place, stress in enumerate(record.levels_kpa)
    )
    return CreepModel(
        kind,
        compliances,
        () if fractional else tuple(math.exp(value) for value in curved),
        curved[0] if fractional and curved else None,
        temperature_c,
    )


def _parameters(
    model: CreepModel, fit: LeastSquaresFit, bounds: tuple[Floats, Floats]
) -> tuple[ModelParameter, ...]:
    fractional, levels = model.kind is CreepModelKind.FRACTIONAL, len(model.compliances)
    count = len(model.compliances[0].delayed_compliance)
    stresses = [one.stress_kpa for one in model.compliances]
    first = len(fit.values) - count * levels

    def taken(place: int, name: str, unit: str, stress: float | None, element: int | None) -> ModelParameter:
        ends = [float(fit.values[place]), float(bounds[0][place]), float(bounds[1][place])]
        if name == "retardation_time":
            ends = [math.exp(end) if end < _LARGEST else math.inf for end in ends]
        elif name == "viscosity":  # the larger the fluidity, the smaller the viscosity
            ends = [_inverse(ends[0]), _inverse(ends[2]), _inverse(ends[1])]
        return ModelParameter(name, stress, element, ends[0], ends[1], ends[2], unit, place in fit.at_bounds)

    shared = [
        taken(place, "exponent", "", None, None)
        if fractional
        else taken(place, "retardation_time", "s", None, place + 1)
        for place in range(count)
    ]
    own = [
        parameter
        for place, stress in enumerate(stresses)
        for parameter in (
            taken(count + place, "elastic_compliance", "1/kPa", stress, None),
            taken(count + levels + place, "viscosity", "kPa·s", stress, None),
            *(
                taken(first + element * levels + place, "delayed_compliance", "1/kPa", stress, element + 1)
                for element in range(count)
            ),
        )
    ]
    return (*shared, *own)


def _inverse(value: float) -> float:
    if math.isnan(value):
        return math.nan
    return 1.0 / value if value > 0.0 else math.inf


def _information(squares: list[Floats], fit: LeastSquaresFit, levels: int) -> float:
    """Give the corrected criterion with a scatter of its own for each level."""
    count = sum(one.size for one in squares)
    logarithm = sum(one.size * math.log(max(float(one.mean()), FINEST_PERCENT**2)) for one in squares) / count
    free = len(fit.values) - len(fit.at_bounds)
    return corrected_information(count * math.exp(logarithm), count, free + levels - 1)


def _splits(
    record: CreepRecord,
    model: CreepModel,
    fit: LeastSquaresFit,
    bounds: tuple[Floats, Floats],
    probability: float,
) -> tuple[JnrSplit, ...]:
    """Part the Jnr of each level into flow, recovery still under way, and what earlier pushes give back."""
    levels, fractional = len(record.levels_kpa), model.kind is CreepModelKind.FRACTIONAL
    values, covariance = np.array(fit.values), np.nan_to_num(np.array(fit.covariance), nan=0.0)
    count = len(model.compliances[0].delayed_compliance)
    push_s = record.programme.creep_time_s
    cycle_s = push_s + record.programme.recovery_time_s
    alone = CreepHistory.of([cycle_s], [0.0], [1.0], creep_time_s=push_s, rise_s=record.rise_s)
    left, left_slope = (one[0, :, 0] for one in alone.delayed(values[:count], fractional=fractional))
    jnr = _modelled_jnr(record, values, count, fractional=fractional)
    factor = student_quantile(0.5 + probability / 2.0, fit.degrees_of_freedom)
    splits = []
    for place, stress in enumerate(record.levels_kpa):
        own = np.arange(len(values) - count * levels + place, len(values), levels)
        gradient = np.zeros(len(values))
        gradient[:count], gradient[own] = values[own] * left_slope, left
        late = float(values[own] @ left)
        doubt = factor * math.sqrt(max(float(gradient @ covariance @ gradient), 0.0))
        flow = push_s * values[count + levels + place]
        flow_ends = [push_s * float(end[count + levels + place]) for end in bounds]
        splits.append(
            JnrSplit(
                stress_kpa=float(stress),
                jnr=float(jnr[place]),
                flow=float(flow),
                flow_lower=flow_ends[0],
                flow_upper=flow_ends[1],
                late=late,
                late_lower=max(late - doubt, 0.0),
                late_upper=late + doubt,
                earlier=float(jnr[place] - flow - late),
            )
        )
    return tuple(splits)


def _modelled_jnr(record: CreepRecord, values: Floats, count: int, *, fractional: bool) -> Floats:
    """Give the mean Jnr of the evaluated cycles of each level, by the model."""
    cycle_s = record.programme.creep_time_s + record.programme.recovery_time_s
    ends = record.starts_s[record.evaluated] + cycle_s
    stresses = record.stresses_kpa[record.evaluated]
    sums = []
    for times in (record.starts_s[record.evaluated], ends):
        columns = CreepColumns(record.history(times), None, np.arange(len(times)), fractional)
        fixed = columns.fixed()[:, : 2 * len(record.levels_kpa)]
        delayed = columns.curved(values[:count])[0].reshape(len(times), -1)
        own = len(values) - delayed.shape[1]
        sums.append(fixed @ values[count : count + fixed.shape[1]] + delayed @ values[own:])
    compliance = (sums[1] - sums[0]) / stresses
    return np.array([compliance[stresses == level].mean() for level in record.levels_kpa])


def _measures(
    record: CreepRecord,
    model: CreepModel,
    fit: LeastSquaresFit,
    percent: Floats,
    roots: tuple[float, ...],
) -> tuple[Measure, ...]:
    count = len(model.compliances[0].delayed_compliance)
    levels = len(model.compliances)
    curved = [place for place in fit.at_bounds if place < count]
    still = [
        place - count - levels for place in fit.at_bounds if count + levels <= place < count + 2 * levels
    ]
    rows = [percent[record.level == place] for place in range(levels)]
    seen = [root > SEEN_PERCENT for root in roots]
    watson = [durbin_watson(own) if told else 2.0 for own, told in zip(rows, seen, strict=True)]
    waves = [
        repeated_pattern_ratio(own, _row_in_cycle(record)[record.level == place]) if told else 1.0
        for place, (own, told) in enumerate(zip(rows, seen, strict=True))
    ]
    wavy = int(np.argmax(waves))
    worst, roughest = int(np.argmin(watson)), int(np.argmax(roots))
    names = [f"{stress:g} kPa" for stress in record.levels_kpa]
    longest = max(model.retardation_times_s, default=0.0)
    where = "exponent" if model.exponent is not None else "retardation time"
    return (
        Measure("curved_parameters_on_bounds", float(len(curved)), "", where),
        Measure("levels_without_flow", float(len(still)), "", ", ".join(names[place] for place in still)),
        Measure("longest_retardation_time_s", longest, "s"),
        Measure("longest_retardation_share", longest / record.length_s),
        Measure("residual_durbin_watson", watson[worst], "", names[worst]),
        Measure("pattern_root_percent", roots[worst], "%", names[worst]),
        Measure("residual_wave_ratio", min(waves[wavy], _LARGEST_RATIO), "", names[wavy]),
        Measure("wave_root_percent", roots[wavy], "%", names[wavy]),
        Measure("residual_root_percent", roots[roughest], "%", names[roughest]),
        Measure("agreeing_starts_percent", 100.0 * fit.agreeing / fit.starts, "%"),
        Measure("fit_at_rest", float(fit.converged)),
    )


def _row_in_cycle(record: CreepRecord) -> NDArray[np.intp]:
    """Give the place of each row in its cycle, from 0."""
    first = np.concatenate(([True], np.diff(record.cycle) != 0))
    begin = np.maximum.accumulate(np.where(first, np.arange(len(record.cycle)), 0))
    return np.asarray(np.arange(len(record.cycle)) - begin)
