"""From sums of squares to the record of an analysis: lines, components, intervals, shares."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.components.estimating import (
    METHOD,
    component_interval,
    estimates_from_mean_squares,
    measurement_shares,
)
from resile.errors import MeasurementError
from resile.records.laboratories import AnovaLine, VarianceComponent, VarianceComponents

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Terms:
    """Lines of an analysis before anything is estimated.

    Attributes
    ----------
    names : tuple of str, length n
        The residual last.
    squares, freedom : ndarray of float, shape (n,)
        Sums of squares and degrees of freedom.
    expected : ndarray of float, shape (n, n)
        Expectations of the mean squares.
    tested_by : tuple of int or None, length n
        Line that each is tested by; None where no line fits.
    """

    names: tuple[str, ...]
    squares: Floats
    freedom: Floats
    expected: Floats
    tested_by: tuple[int | None, ...]

    def components_of(
        self, values: Floats, *, design: str, coverage: float, specimen: str
    ) -> VarianceComponents:
        """Estimate the components and put the record together.

        Parameters
        ----------
        values : ndarray of float, shape (n,)
            Results.
        design : str
            ``nested`` or ``crossed``.
        coverage : float
            Two-sided coverage of the intervals.
        specimen : str
            Factor that stands for the specimens; empty for none.

        Returns
        -------
        VarianceComponents
            Lines and components in the order of the self.

        Raises
        ------
        MeasurementError
            Where `specimen` is none of the factors, or all results are equal.
        """
        mean_squares = self.squares / self.freedom
        estimates, weights = estimates_from_mean_squares(mean_squares, self.expected)
        floored = np.maximum(estimates, 0.0)
        total = float(floored.sum())
        if total <= 0.0:
            raise MeasurementError(
                "components of variance: all results are equal, there is no scatter to share out"
            )
        components = []
        for place, name in enumerate(self.names):
            lower, upper = component_interval(mean_squares, self.freedom, weights[place], coverage=coverage)
            components.append(
                VarianceComponent(
                    source=name,
                    variance_raw=float(estimates[place]),
                    variance=float(floored[place]),
                    standard_deviation=math.sqrt(float(floored[place])),
                    lower=lower,
                    upper=upper,
                    share_percent=100.0 * float(floored[place]) / total,
                    study_percent=100.0 * math.sqrt(float(floored[place]) / total),
                )
            )
        percent, categories = _shares(components, specimen)
        return VarianceComponents(
            design=design,
            count=len(values),
            mean=float(values.mean()),
            lines=tuple(_line(self, mean_squares, place) for place in range(len(self.names))),
            components=tuple(components),
            total=math.sqrt(total),
            coverage=coverage,
            method=METHOD,
            specimen=specimen,
            measurement_percent=percent,
            categories=categories,
        )


def _line(terms: Terms, mean_squares: Floats, place: int) -> AnovaLine:
    from scipy.special import fdtrc

    against = terms.tested_by[place]
    ratio = probability = None
    if against is not None and mean_squares[against] > 0.0:
        ratio = float(mean_squares[place] / mean_squares[against])
        probability = float(fdtrc(terms.freedom[place], terms.freedom[against], ratio))
    return AnovaLine(
        source=terms.names[place],
        degrees_of_freedom=float(terms.freedom[place]),
        sum_of_squares=float(terms.squares[place]),
        mean_square=float(mean_squares[place]),
        ratio=ratio,
        probability=probability,
    )


def _shares(components: list[VarianceComponent], specimen: str) -> tuple[float | None, int | None]:
    if not specimen:
        return None, None
    of_specimens = sum(one.variance for one in components if one.source == specimen)
    if all(one.source != specimen for one in components):
        known = ", ".join(one.source for one in components)
        raise MeasurementError(
            f"components of variance: '{specimen}' is none of the factors; known are {known}"
        )
    rest = sum(one.variance for one in components) - of_specimens
    return measurement_shares(rest, of_specimens) if rest > 0.0 else (None, None)
