"""What one more test of one binder would be worth, by what it might show.

Use `outcomes_of_test` for what a test can show and how probable that is, and `value_of_test` for the saving
that is to be expected of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.choice.serving import serving_probability
from resile.errors import MeasurementError

Floats = NDArray[np.float64]


def outcomes_of_test(single: ArrayLike, others: ArrayLike) -> tuple[Floats, Floats]:
    """Give what one test can show, and how probable each grade is then.

    Parameters
    ----------
    single : array_like of float, shape (g,)
        Probability that the tested property meets the limit of each grade; not a number for a grade that the
        test says nothing about.
    others : array_like of float, shape (g,)
        Probability that all other requirements of each grade hold; for a grade that the test says nothing
        about, of all its requirements.

    Returns
    -------
    weight : ndarray of float, shape (k,)
        Probability of each outcome; they add up to 1.
    probability : ndarray of float, shape (k, g)
        Of each grade, once that outcome is known.

    Raises
    ------
    MeasurementError
        Where a number is no probability.

    Notes
    -----
    One test has one value: a limit that is met with probability 0.6 is met whenever one that is met with 0.4
    is. The outcomes are the intervals between the distinct probabilities; in each, the test settles the
    requirement for every grade, and the other requirements stay as they are. The test is taken to settle
    what it tests: its own uncertainty is left out.
    """
    own, rest = np.asarray(single, dtype=float), np.asarray(others, dtype=float)
    known = ~np.isnan(own)
    for some in (own[known], rest):
        if not np.isfinite(some).all() or np.any(some < 0.0) or np.any(some > 1.0):
            raise MeasurementError("value of a test: every probability must lie between 0 and 1")
    edges = np.unique(np.concatenate([[0.0, 1.0], own[known]]))
    weight = np.diff(edges)
    # The outcome between two edges meets every limit whose probability reaches its upper edge.
    met = np.where(known[None, :], np.where(known, own, 0.0)[None, :] >= edges[1:, None], True)
    return weight, np.where(met, rest[None, :], 0.0)


def value_of_test(
    single: ArrayLike,
    others: ArrayLike,
    covers: ArrayLike,
    saving: ArrayLike,
    unserved: ArrayLike,
    *,
    required: float,
) -> tuple[float, float]:
    """Give the saving, and the newly served sites, that one test of one binder lets expect.

    Parameters
    ----------
    single, others : array_like of float, shape (g,)
        As in `outcomes_of_test`.
    covers : array_like of bool, shape (g, g)
        As `resile.compute.choice.serving.grades_that_cover` gives it.
    saving : array_like of float, shape (g,)
        What the sites that ask for each grade would save, did this binder serve them; 0 where it is dearer
        than what they have.
    unserved : array_like of float, shape (g,)
        Sites that ask for each grade and are served by nobody.
    required : float
        Probability asked for.

    Returns
    -------
    saving : float
        Sum over the outcomes of probability times saving.
    sites : float
        Expected number of sites served that are served by nobody now.

    Raises
    ------
    MeasurementError
        Where a number cannot be used.

    Notes
    -----
    A result that speaks against the binder costs nothing here: the sites keep what they have. So the value
    is never negative, and it is that of the choice, not of the failure avoided.
    """
    weight, probability = outcomes_of_test(single, others)
    serving, _ = serving_probability(probability, covers)
    serves = serving >= required
    won = weight @ (serves @ np.asarray(saving, dtype=float))
    reached = weight @ (serves @ np.asarray(unserved, dtype=float))
    return float(won), float(reached)
