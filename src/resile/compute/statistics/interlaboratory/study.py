"""Precision on one material of an interlaboratory study."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.interlaboratory.critical import (
    cochran_critical,
    grubbs_critical,
    h_critical,
    k_critical,
)
from resile.errors import MeasurementError
from resile.records.laboratories import CellStatistics, MaterialStatistics

Floats = NDArray[np.float64]


def material_statistics(
    results: Sequence[ArrayLike],
    *,
    laboratories: Sequence[str] = (),
    material: str = "",
    range_multiplier: float = 2.8,
    significance: float = 0.005,
    outlier_significance: float = 0.05,
) -> MaterialStatistics:
    """Work out the precision of one material.

    Parameters
    ----------
    results : sequence of array_like of float, each of shape (n_i,)
        Results of each laboratory in one unit, two or more laboratories; one result is taken, but at least
        one laboratory must have two. Laboratories without results are left out.
    laboratories : sequence of str
        Their names; numbers where not given.
    material : str
        Name of the material.
    range_multiplier : float
        Standard deviations in r and R; 2.8 by ASTM E691 and ISO 5725-6.
    significance : float
        Of the critical values of h and k.
    outlier_significance : float
        Of the critical values of Cochran and Grubbs.

    Returns
    -------
    MaterialStatistics
        Precision, consistency and outlier statistics. Nothing is left out because of them.

    Raises
    ------
    MeasurementError
        Where there are fewer than two laboratories, no replicates, or a result is not finite.

    Notes
    -----
    ``sr^2 = sum (n_i - 1) s_i^2 / sum (n_i - 1)``; mean weighed by n_i; ``sd^2 = sum n_i (y_i - m)^2/(p -
    1)``; ``n = (sum n_i - sum n_i^2/sum n_i)/(p - 1)``; ``sL^2 = (sd^2 - sr^2)/n``; ``sR^2 = sr^2 + sL^2``.
    Equal n_i give ``sR^2 = sx^2 + sr^2 (n - 1)/n`` of ASTM E691, with the floor ``sR >= sr``. h is the
    distance of a cell mean from their plain average in standard deviations of the cell means, k the standard
    deviation of a cell over sr. Cochran is given for equal n_i alone.

    References
    ----------
    ISO 5725-2:1994, 7.4; ASTM E691, sections 15 to 18; from memory (high).

    Examples
    --------
    >>> found = material_statistics([[1.0, 1.2], [1.4, 1.4], [1.1, 1.3]])
    >>> round(found.repeatability, 4), round(found.reproducibility, 4)
    (0.1155, 0.1732)
    """
    named = list(laboratories) or [str(place) for place in range(1, len(results) + 1)]
    kept = [
        (name, np.asarray(one, dtype=float).ravel())
        for name, one in zip(named, results, strict=True)
        if np.size(one)
    ]
    _check(kept, material)
    cells = [one for _, one in kept]
    counts = np.array([len(one) for one in cells], dtype=float)
    means = np.array([one.mean() for one in cells])
    variances = np.array([one.var(ddof=1) if len(one) > 1 else 0.0 for one in cells])
    freedom = float(np.sum(counts - 1.0))
    repeatability = math.sqrt(float(np.sum((counts - 1.0) * variances)) / freedom)
    mean, between_raw, replicates = _between(counts, means, repeatability)
    between = max(between_raw, 0.0)
    balanced = bool(np.all(counts == counts[0]))
    spread = float(means.std(ddof=1))
    raw = math.sqrt(max(repeatability**2 + between_raw, 0.0))
    floored = math.sqrt(repeatability**2 + between)
    enough = len(cells) >= 3
    h_limit = h_critical(len(cells), significance=significance) if enough else None
    with_cochran = balanced and counts[0] > 1 and variances.sum() > 0.0
    scores = (means - means.mean()) / spread if spread > 0.0 else None
    judged = tuple(
        _cell(
            name,
            one,
            None if scores is None else float(scores[place]),
            repeatability,
            freedom,
            h_limit,
            significance,
        )
        for place, (name, one) in enumerate(kept)
    )
    return MaterialStatistics(
        material=material,
        cells=judged,
        replicates=replicates,
        balanced=balanced,
        mean=mean,
        cell_mean_deviation=spread,
        repeatability=repeatability,
        between_laboratories=math.sqrt(between),
        reproducibility_raw=raw,
        reproducibility=floored,
        repeatability_limit=range_multiplier * repeatability,
        reproducibility_limit=range_multiplier * floored,
        h_critical=h_limit,
        k_critical=judged[0].k_critical if balanced else None,
        cochran=float(variances.max() / variances.sum()) if with_cochran else None,
        cochran_critical=(
            cochran_critical(len(cells), int(counts[0]), significance=outlier_significance)
            if with_cochran
            else None
        ),
        cochran_laboratory=kept[int(variances.argmax())][0] if with_cochran else "",
        grubbs_high=float(scores.max()) if enough and scores is not None else None,
        grubbs_low=float(-scores.min()) if enough and scores is not None else None,
        grubbs_critical=grubbs_critical(len(cells), significance=outlier_significance) if enough else None,
    )


def _check(kept: Sequence[tuple[str, Floats]], material: str) -> None:
    where = f"study, material {material}" if material else "study"
    if len(kept) < 2:
        raise MeasurementError(f"{where}: {len(kept)} laboratory has results; at least two are needed")
    for name, one in kept:
        if not np.isfinite(one).all():
            raise MeasurementError(f"{where}, laboratory {name}: every result must be a finite number")
    if all(len(one) < 2 for _, one in kept):
        raise MeasurementError(
            f"{where}: no laboratory has two results, so there is no repeatability to find; "
            "a robust mean of single results is another task"
        )


def _between(counts: Floats, means: Floats, repeatability: float) -> tuple[float, float, float]:
    """Give mean, variance between laboratories before the floor, and average number of results."""
    total, one_less = float(counts.sum()), len(counts) - 1.0
    mean = float(np.sum(counts * means)) / total
    if np.all(counts == counts[0]):
        replicates = float(counts[0])  # the formula gives it but for a rounding of binary numbers
    else:
        replicates = (total - float(np.sum(counts**2)) / total) / one_less
    squares = float(np.sum(counts * (means - mean) ** 2)) / one_less
    return mean, (squares - repeatability**2) / replicates, replicates


def _cell(
    name: str,
    values: Floats,
    h: float | None,
    repeatability: float,
    freedom: float,
    h_limit: float | None,
    significance: float,
) -> CellStatistics:
    own = len(values) - 1.0
    deviation = float(values.std(ddof=1)) if own > 0.0 else None
    k = deviation / repeatability if deviation is not None and repeatability > 0.0 else None
    limit = None
    if k is not None and freedom - own >= 1.0:
        limit = k_critical(own, freedom - own, significance=significance)
    return CellStatistics(
        laboratory=name,
        values=tuple(float(one) for one in values),
        mean=float(values.mean()),
        standard_deviation=deviation,
        h=h,
        k=k,
        k_critical=limit,
        h_beyond=h is not None and h_limit is not None and abs(h) > h_limit,
        k_beyond=k is not None and limit is not None and k > limit,
    )
