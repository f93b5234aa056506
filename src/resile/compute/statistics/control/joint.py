"""Several correlated properties watched as one: distances from their common mean (Hotelling's T squared).

`joint_level` sets up, `joint_distances` measures lots against it, `joint_set_up_limit` and
`joint_watched_limit` say how far is far, `joint_contributions` which property it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
_WORST_CONDITION = 1e12


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLevel:
    """Common mean and covariance of several properties in a set-up.

    Attributes
    ----------
    mean : ndarray of float, shape (p,)
        Means.
    covariance : ndarray of float, shape (p, p)
        Covariance of the values of one lot.
    count : int
        Lots that count.
    """

    mean: Floats
    covariance: Floats
    count: int


def joint_level(values: ArrayLike) -> JointLevel:
    """Give mean and covariance of a set-up.

    Parameters
    ----------
    values : array_like of float, shape (n, p)
        One row a lot that counts, one column a property.

    Returns
    -------
    JointLevel
        With the sample covariance, over n - 1.

    Raises
    ------
    MeasurementError
        With fewer than p + 2 lots, or where one property follows from the others.

    Examples
    --------
    >>> joint_level([[0, 0], [1, 2], [2, 1], [3, 3]]).mean.tolist()
    [1.5, 1.5]
    """
    x = np.asarray(values, dtype=float)
    if x.ndim != 2 or not np.all(np.isfinite(x)):
        raise MeasurementError("joint chart: rows of finite numbers are needed")
    count, width = x.shape
    if count < width + 2:
        raise MeasurementError(
            f"joint chart: {count} lots count for the set-up of {width} properties; "
            f"{width + 2} or more are needed"
        )
    covariance = np.atleast_2d(np.cov(x, rowvar=False))
    spread = np.sqrt(np.diag(covariance))
    if np.any(spread == 0.0) or np.linalg.cond(covariance / np.outer(spread, spread)) > _WORST_CONDITION:
        raise MeasurementError(
            "joint chart: in the set-up one property does not vary, or follows from the others; leave it out"
        )
    return JointLevel(mean=x.mean(axis=0), covariance=covariance, count=count)


def joint_distances(values: ArrayLike, *, level: JointLevel) -> Floats:
    """Give the squared distance of each lot from the mean of the set-up.

    Parameters
    ----------
    values : array_like of float, shape (m, p)
        One row a lot.
    level : JointLevel
        Of the set-up.

    Returns
    -------
    ndarray of float, shape (m,)
        ``T^2 = (x - mean)' S^-1 (x - mean)``.

    Examples
    --------
    >>> level = JointLevel(mean=np.zeros(2), covariance=np.eye(2), count=30)
    >>> joint_distances([[3.0, 4.0]], level=level).tolist()
    [25.0]
    """
    x = np.atleast_2d(np.asarray(values, dtype=float)) - level.mean
    return np.asarray(np.einsum("ij,ij->i", x, np.linalg.solve(level.covariance, x.T).T))


def joint_contributions(values: ArrayLike, *, level: JointLevel) -> Floats:
    """Give what each property adds to the squared distance of each lot.

    Parameters
    ----------
    values : array_like of float, shape (m, p)
        One row a lot, two or more properties.
    level : JointLevel
        Of the set-up.

    Returns
    -------
    ndarray of float, shape (m, p)
        Squared distance less that of the other properties alone: how far a property lies from where the
        others say that it should be, in its own conditional standard deviations, squared.

    Notes
    -----
    ``d_j = T^2 - T^2 without j = (S^-1 x)_j^2/(S^-1)_jj``. The parts do not add up to the whole.

    References
    ----------
    Runger, Alt and Montgomery, Communications in Statistics 25 (1996), from memory (medium).

    Examples
    --------
    >>> level = JointLevel(mean=np.zeros(2), covariance=np.eye(2), count=30)
    >>> joint_contributions([[3.0, 4.0]], level=level).tolist()
    [[9.0, 16.0]]
    """
    x = np.atleast_2d(np.asarray(values, dtype=float)) - level.mean
    inverse = np.linalg.inv(level.covariance)
    return np.asarray((x @ inverse) ** 2 / np.diag(inverse))


def joint_set_up_limit(*, count: int, properties: int, false_alarm: float) -> float:
    """Give the limit of the squared distance for lots of the set-up itself.

    Parameters
    ----------
    count : int
        Lots that count, more than `properties` + 1.
    properties : int
        Properties.
    false_alarm : float
        Chance of a false alarm at one point.

    Returns
    -------
    float
        ``(n - 1)^2/n`` times the quantile of the beta distribution with p/2 and (n - p - 1)/2: a lot of the
        set-up has pulled mean and covariance towards itself.

    References
    ----------
    Tracy, Young and Mason, Journal of Quality Technology 24 (1992), from memory (high).

    Examples
    --------
    >>> joint_set_up_limit(count=30, properties=2, false_alarm=0.01) < 9.21
    True
    """
    from scipy.special import betaincinv

    _check_size(count, properties, false_alarm)
    quantile = betaincinv(properties / 2.0, (count - properties - 1) / 2.0, 1.0 - false_alarm)
    return float((count - 1) ** 2 / count * quantile)


def joint_watched_limit(*, count: int, properties: int, false_alarm: float) -> float:
    """Give the limit of the squared distance for lots after the set-up.

    Parameters
    ----------
    count : int
        Lots of the set-up that count, more than `properties` + 1.
    properties : int
        Properties.
    false_alarm : float
        Chance of a false alarm at one point.

    Returns
    -------
    float
        ``p (n + 1)(n - 1)/(n (n - p))`` times the quantile of F with p and n - p.

    References
    ----------
    Tracy, Young and Mason, Journal of Quality Technology 24 (1992), from memory (high).

    Examples
    --------
    >>> joint_watched_limit(count=30, properties=2, false_alarm=0.01) > 9.21
    True
    """
    from scipy.special import fdtri

    _check_size(count, properties, false_alarm)
    n, p = count, properties
    return float(p * (n + 1) * (n - 1) / (n * (n - p)) * fdtri(p, n - p, 1.0 - false_alarm))


def _check_size(count: int, properties: int, false_alarm: float) -> None:
    if properties < 1 or count < properties + 2 or not 0.0 < false_alarm < 1.0:
        raise MeasurementError(
            f"joint chart: {count} lots, {properties} properties, false alarm {false_alarm:g}; needed are "
            "two lots more than properties and a chance between 0 and 1"
        )
