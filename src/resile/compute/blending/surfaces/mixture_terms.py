"""The terms of a mixture polynomial (Scheffé): shares, products of pairs, products of three.

There is no constant, since the shares add up to one. ``linear`` has one term a component, ``quadratic`` adds
every pair, ``special`` every three (the special cubic).
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
Terms = tuple[tuple[int, ...], ...]

FORMS: dict[str, int] = {"rule": 0, "linear": 1, "quadratic": 2, "special": 3}
"""Forms of a polynomial, with the most components that one term multiplies."""


def mixture_terms(form: str, count: int) -> Terms:
    """List the terms of a form.

    Parameters
    ----------
    form : str
        A key of `FORMS`; ``"rule"`` has none.
    count : int
        Number of components.

    Returns
    -------
    tuple of tuple of int
        Components multiplied in each term.

    Raises
    ------
    MeasurementError
        Where the form is not known.

    References
    ----------
    Scheffé, Experiments with mixtures, J. R. Stat. Soc. B 20 (1958) 344, from memory (high).

    Examples
    --------
    >>> mixture_terms("quadratic", 2)
    ((0,), (1,), (0, 1))
    """
    if form not in FORMS:
        raise MeasurementError(
            f"form of a surface '{form}' is not known; needed is one of {', '.join(FORMS)}"
        )
    orders = range(1, FORMS[form] + 1)
    return tuple(term for order in orders for term in itertools.combinations(range(count), order))


def term_columns(terms: Terms, shares: ArrayLike) -> Floats:
    """Give every term at every recipe.

    Parameters
    ----------
    terms : tuple of tuple of int
        As `mixture_terms` gives them.
    shares : array_like of float, shape (n, q)
        Shares as ratios.

    Returns
    -------
    ndarray of float, shape (n, p)
        One column a term.
    """
    x = np.asarray(shares, dtype=float)
    columns = np.empty((len(x), len(terms)))
    for place, term in enumerate(terms):
        columns[:, place] = x[:, term[0]]
        for other in term[1:]:
            columns[:, place] *= x[:, other]
    return columns


def term_gradients(terms: Terms, shares: ArrayLike, coefficients: ArrayLike) -> Floats:
    """Give how the polynomial changes with each share, the others held.

    Parameters
    ----------
    terms : tuple of tuple of int
        As `mixture_terms` gives them.
    shares : array_like of float, shape (n, q)
        Shares as ratios.
    coefficients : array_like of float, shape (p,)
        One a term.

    Returns
    -------
    ndarray of float, shape (n, q)
        Slope along each share.
    """
    x = np.asarray(shares, dtype=float)
    slopes = np.zeros_like(x)
    for term, coefficient in zip(terms, np.asarray(coefficients, dtype=float), strict=True):
        for one in term:
            rest = [other for other in term if other != one]
            slopes[:, one] += coefficient * np.prod(x[:, rest], axis=1)
    return slopes
