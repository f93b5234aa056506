"""Capability indices against one limit or two, on the scale on which a property is watched.

Use `capability_indices` for the numbers, `one_sided_interval` for the exact interval of an index against one
limit and `bissell_interval` for the usual approximation; `natural_limit_index` for a property with a bound by
nature on its other side.
"""

from __future__ import annotations

import math

from resile.compute.statistics.capability.noncentral import noncentrality_at
from resile.errors import InputError
from resile.records.control.capability import CapabilityIndices

SPREADS_TO_A_SIDE = 3.0
"""Standard deviations from the mean to the limit at an index of one."""


def capability_indices(
    mean: float, standard_deviation: float, *, lower: float | None = None, upper: float | None = None
) -> CapabilityIndices:
    """Give the capability indices of a process.

    Parameters
    ----------
    mean, standard_deviation : float
        Of the process, on one scale; the standard deviation above zero.
    lower, upper : float or None
        Limits on the same scale; None where there is none on that side. One at least.

    Returns
    -------
    CapabilityIndices
        ``cp`` and ``off_centre`` need both limits, ``lower_index`` and ``upper_index`` one each; ``index`` is
        the smaller of those there are.

    Raises
    ------
    InputError
        Where a number is not finite, the standard deviation is not above zero, there is no limit, or the
        limits cross.

    Notes
    -----
    ``Cp = (U - L)/(6 s)``, ``Cpu = (U - m)/(3 s)``, ``Cpl = (m - L)/(3 s)``, ``Cpk = min(Cpu, Cpl)``,
    ``k = |(U + L)/2 - m|/((U - L)/2)``. With the standard deviation within subgroups, or from moving ranges,
    they are called Cp and Cpk; with that of all values Pp and Ppk.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6.

    Examples
    --------
    >>> found = capability_indices(16.0, 2.0, lower=8.0, upper=20.0)
    >>> found.cp, round(found.index, 4)
    (1.0, 0.6667)
    """
    _refuse_unusable(mean, standard_deviation, lower, upper)
    side = SPREADS_TO_A_SIDE * standard_deviation
    below = None if lower is None else (mean - lower) / side
    above = None if upper is None else (upper - mean) / side
    both = lower is not None and upper is not None
    if both:
        assert lower is not None
        assert upper is not None
        half = (upper - lower) / 2.0
        cp, off_centre = half / side, abs((upper + lower) / 2.0 - mean) / half
    return CapabilityIndices(
        index=min(one for one in (below, above) if one is not None),
        lower_index=below,
        upper_index=above,
        cp=cp if both else None,
        off_centre=off_centre if both else None,
    )


def natural_limit_index(standard_deviation: float, *, limit: float, natural_limit: float) -> float:
    """Give Cp of a property with a limit on one side and a bound by nature on the other.

    Parameters
    ----------
    standard_deviation : float
        Of the process, above zero.
    limit : float
        Limit of the specification.
    natural_limit : float
        Bound that the property cannot cross (a content cannot fall below 0, a recovery not exceed 100 %).

    Returns
    -------
    float
        ``|limit - natural_limit|/(6 s)``, written Cp*. It says nothing of the place of the mean, so it is
        shown beside Cpk and never alone.

    Raises
    ------
    InputError
        Where a number is not finite, the standard deviation is not above zero, or the two bounds are one.

    References
    ----------
    AIAG and VDA handbook of capability for a lower natural limit, worked example, second-hand.

    Examples
    --------
    >>> round(natural_limit_index(0.0457, limit=0.40, natural_limit=0.0), 2)
    1.46
    """
    ends = sorted((limit, natural_limit))
    _refuse_unusable(limit, standard_deviation, ends[0], ends[1])
    return (ends[1] - ends[0]) / (2.0 * SPREADS_TO_A_SIDE * standard_deviation)


def bissell_interval(
    index: float, count: int, *, degrees_of_freedom: float | None = None, confidence: float = 0.95
) -> tuple[float, float]:
    """Give the approximate interval of a capability index.

    Parameters
    ----------
    index : float
        Cpk, Ppk, Cpu or Cpl as found.
    count : int
        Values behind the mean.
    degrees_of_freedom : float or None
        Of the standard deviation; None for ``count - 1``.
    confidence : float
        Two-sided, above 0 and below 1.

    Returns
    -------
    tuple of (float, float)
        ``index ± z sqrt(1/(9 n) + index²/(2 v))``.

    Raises
    ------
    InputError
        Where a number is not finite, there are fewer than two values, or the confidence is no share.

    References
    ----------
    Bissell 1990, Applied Statistics 39, 331, from memory (high); NIST/SEMATECH e-Handbook, 6.1.6, gives the
    same form.

    Examples
    --------
    >>> [round(end, 3) for end in bissell_interval(1.0, 50)]
    [0.782, 1.218]
    """
    from scipy.special import ndtri

    freedom = _freedom(count, degrees_of_freedom, confidence)
    if not math.isfinite(index):
        raise InputError(f"capability index: {index} found, a finite number is needed")
    normal = float(ndtri(0.5 + confidence / 2.0))
    half = normal * math.sqrt(1.0 / (9.0 * count) + index * index / (2.0 * freedom))
    return index - half, index + half


def one_sided_interval(
    index: float, count: int, *, degrees_of_freedom: float | None = None, confidence: float = 0.95
) -> tuple[float, float]:
    """Give the exact interval of a capability index against one limit, for normal values.

    Parameters
    ----------
    index : float
        Cpu or Cpl (Ppu, Ppl) as found.
    count : int
        Values behind the mean.
    degrees_of_freedom : float or None
        Of the standard deviation; None for ``count - 1``, for which the interval is exact.
    confidence : float
        Two-sided, above 0 and below 1.

    Returns
    -------
    tuple of (float, float)
        Indices at which the one found, or one further out, would have half of the remaining probability.

    Raises
    ------
    InputError
        See `bissell_interval`.

    Notes
    -----
    ``3 sqrt(n) Cpu`` follows the noncentral t distribution with noncentrality ``3 sqrt(n) Cpu(true)``.

    References
    ----------
    Owen 1968, Technometrics 10, 445; Kushler and Hurley 1992, Journal of Quality Technology 24, 188; both
    from memory (high).

    Examples
    --------
    >>> [round(end, 3) for end in one_sided_interval(1.0, 50)]
    [0.781, 1.217]
    """
    freedom = _freedom(count, degrees_of_freedom, confidence)
    if not math.isfinite(index):
        raise InputError(f"capability index: {index} found, a finite number is needed")
    scale = SPREADS_TO_A_SIDE * math.sqrt(count)
    tail = (1.0 - confidence) / 2.0
    low = noncentrality_at(1.0 - tail, freedom, scale * index)
    high = noncentrality_at(tail, freedom, scale * index)
    return low / scale, high / scale


def _freedom(count: int, degrees_of_freedom: float | None, confidence: float) -> float:
    if count < 2 or not 0.0 < confidence < 1.0:
        raise InputError(
            f"capability interval: {count} values at a confidence of {confidence:g} found; "
            "at least 2 values and a confidence between 0 and 1 are needed"
        )
    freedom = float(count - 1) if degrees_of_freedom is None else degrees_of_freedom
    if not freedom > 0.0:
        raise InputError(f"capability interval: {freedom:g} degrees of freedom found, above 0 is needed")
    return freedom


def _refuse_unusable(mean: float, deviation: float, lower: float | None, upper: float | None) -> None:
    ends = [one for one in (lower, upper) if one is not None]
    if not all(math.isfinite(one) for one in (mean, deviation, *ends)) or deviation <= 0.0:
        raise InputError(
            f"capability: mean {mean:g}, standard deviation {deviation:g} found; finite numbers and a "
            "standard deviation above 0 are needed"
        )
    if not ends:
        raise InputError("capability: a limit is needed")
    if len(ends) == 2 and ends[0] >= ends[1]:
        raise InputError(f"capability: the lower limit {ends[0]:g} must lie below the upper one {ends[1]:g}")
