"""Whether a change of level goes with where results come from: one operator, one instrument, a new one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtr

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
_FEWEST = 3
"""Results of an origin on either side below which nothing is said of it."""
_NEARLY_ALL, _HARDLY_ANY = 0.8, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class OriginShift:
    """A change that goes with one origin.

    Attributes
    ----------
    origin : str
        Operator or instrument.
    own, others : float
        By how much its results moved, and those of all others.
    p_value : float
        Two-sided probability of so large a difference by chance, over all origins looked at.
    """

    origin: str
    own: float
    others: float
    p_value: float


def new_origin(before: Sequence[str], after: Sequence[str]) -> tuple[str, str] | None:
    """Tell whether results come from another origin since a change.

    Parameters
    ----------
    before, after : sequence of str
        Origin of each result before and after the change; empty where not known, which counts for nothing.

    Returns
    -------
    tuple of (str, str) or None
        The commonest origin before, and the new one: at least 80 % of the results after the change and at
        most 20 % of those before (own rule). None with fewer than three known results on either side.

    Examples
    --------
    >>> new_origin(["R1"] * 6, ["R2"] * 5 + ["R1"])
    ('R1', 'R2')
    """
    old, new = ([one for one in origins if one] for origins in (before, after))
    if min(len(old), len(new)) < _FEWEST:
        return None
    (name, count), *_ = Counter(new).most_common(1)
    if count < _NEARLY_ALL * len(new) or old.count(name) > _HARDLY_ANY * len(old):
        return None
    return Counter(old).most_common(1)[0][0], name


def shift_of_one_origin(
    before: ArrayLike,
    after: ArrayLike,
    *,
    before_of: Sequence[str],
    after_of: Sequence[str],
    confidence: float = 0.99,
) -> OriginShift | None:
    """Tell whether a change of level is found in the results of one origin alone.

    Parameters
    ----------
    before, after : array_like of float, shape (m,) and (n,)
        Values before and after the change, on the watched scale.
    before_of, after_of : sequence of str
        Origin of each; empty where not known.
    confidence : float
        With which it is to differ from the others.

    Returns
    -------
    OriginShift or None
        The origin whose results moved otherwise than the others', where these moved less than half as far.

    Raises
    ------
    MeasurementError
        Where numbers and origins do not go together.

    Notes
    -----
    Difference of differences ``(x after - x before) - (others after - others before)`` over its standard
    error, from the pooled scatter within origin and side, with Student's t of the pooled degrees of freedom;
    the probability is multiplied by the number of origins (Bonferroni). An origin needs three results on
    either side, and so do the others.

    References
    ----------
    Definition of a contrast in a two-way layout; Student's t.

    Examples
    --------
    >>> old, new = [0.0, 0.1, -0.1, 0.0, 0.1, -0.1], [2.0, 0.1, 2.1, 0.0, 1.9, -0.1]
    >>> found = shift_of_one_origin(old, new, before_of=list("ababab"), after_of=list("ababab"))
    >>> found.origin, round(found.own, 1), abs(round(found.others, 1))
    ('a', 2.0, 0.0)
    """
    old, new = _known(before, before_of), _known(after, after_of)
    names = [one for one in dict.fromkeys(new) if len(old.get(one, ())) >= _FEWEST <= len(new[one])]
    freedom = sum(len(part) - 1 for side in (old, new) for part in side.values())
    if len({*old, *new}) < 2 or freedom < 1:
        return None
    squares = sum(float(((part - part.mean()) ** 2).sum()) for side in (old, new) for part in side.values())
    variance = squares / freedom
    shifts = [
        one for name in names if (one := _contrast(name, old, new, variance, freedom, len(names))) is not None
    ]
    alone = [one for one in shifts if one.p_value < 1.0 - confidence and abs(one.others) < 0.5 * abs(one.own)]
    return min(alone, key=lambda one: (one.p_value, -abs(one.own)), default=None)


def _contrast(
    name: str, old: dict[str, Floats], new: dict[str, Floats], variance: float, freedom: int, looked_at: int
) -> OriginShift | None:
    rest_old = [part for other, part in old.items() if other != name]
    rest_new = [part for other, part in new.items() if other != name]
    if min(sum(map(len, rest_old)), sum(map(len, rest_new))) < _FEWEST:
        return None
    others_old, others_new = np.concatenate(rest_old), np.concatenate(rest_new)
    own = float(new[name].mean() - old[name].mean())
    others = float(others_new.mean() - others_old.mean())
    counts = [len(old[name]), len(new[name]), len(others_old), len(others_new)]
    error = float(np.sqrt(variance * sum(1.0 / count for count in counts)))
    if error == 0.0:
        p_value = 0.0 if own != others else 1.0
    else:
        p_value = min(2.0 * float(stdtr(freedom, -abs(own - others) / error)) * looked_at, 1.0)
    return OriginShift(origin=name, own=own, others=others, p_value=p_value)


def _known(values: ArrayLike, origins: Sequence[str]) -> dict[str, Floats]:
    x = np.asarray(values, dtype=float)
    if x.ndim != 1 or x.size != len(origins) or not np.all(np.isfinite(x)):
        raise MeasurementError("origins of a change: a finite number for each origin is needed")
    names = [one for one in dict.fromkeys(origins) if one]
    which = np.array(origins, dtype=object)
    return {name: x[which == name] for name in names}
