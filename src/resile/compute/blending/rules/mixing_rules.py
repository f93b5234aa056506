"""Mixing rules by name: what each mixes, in which unit, where it holds and who says so.

`rule_table.RULES` is the table, `mix` the chooser: a rule is always named, none is inferred from the data.
Every rule is a first guess; a laboratory's own trial blends come before it
(`resile.compute.blending.surfaces`). All rules here average a transform of the property over the shares by
mass and turn the average back.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.rule_table import MixingRule, rule_by_name
from resile.errors import MeasurementError
from resile.records.blending.mixed import MixedProperty

Floats = NDArray[np.float64]

SHARE_TOLERANCE = 1e-6
"""How far shares may be from a sum of 1 (own choice: below the last digit of any dosing scale)."""


def checked_shares(shares: ArrayLike, count: int) -> Floats:
    """Give shares by mass as rows, or refuse what is not a recipe.

    Parameters
    ----------
    shares : array_like of float, shape (q,) or (n, q)
        Shares as ratios.
    count : int
        q, number of components.

    Returns
    -------
    ndarray of float, shape (n, q)
        The rows.

    Raises
    ------
    MeasurementError
        Where the number of components, a share or a sum is wrong.
    """
    rows = np.atleast_2d(np.asarray(shares, dtype=float))
    if rows.ndim != 2 or rows.shape[1] != count:
        raise MeasurementError(
            f"shares: needed are {count} a recipe, one for each component; found shape {rows.shape}"
        )
    if not np.isfinite(rows).all() or np.any(rows < -SHARE_TOLERANCE):
        raise MeasurementError("shares: each must be a number of zero or above")
    off = np.abs(rows.sum(axis=1) - 1.0)
    if off.size and off.max() > SHARE_TOLERANCE:
        worst = int(np.argmax(off))
        raise MeasurementError(
            f"shares of recipe {worst + 1} add up to {100.0 * rows[worst].sum():.6g} %; needed is 100 %"
        )
    return rows


def mix(
    rule: str, shares: ArrayLike, values: ArrayLike, *, interaction: ArrayLike | None = None
) -> MixedProperty:
    """Mix a property by a rule of the table.

    Parameters
    ----------
    rule : str
        A key of `RULES`.
    shares : array_like of float, shape (q,) or (n, q)
        Shares by mass, as ratios; each row adds up to 1.
    values : array_like of float, shape (q,)
        Property of each component, in the unit of the glossary.
    interaction : array_like of float, shape (q, q), or None
        Of each pair, on the natural logarithm; only for a rule that needs it (its upper triangle counts).

    Returns
    -------
    MixedProperty
        Values in the unit of the glossary, with the unit the rule was worked in, validity and source.

    Raises
    ------
    MeasurementError
        Where the rule is not known, a share or value cannot be, or an interaction is missing or not wanted.

    Notes
    -----
    ``T(mixed) = sum x_i T(value_i)``, with T the property itself, its logarithm, or the logarithm of its
    logarithm in `worked_in`. Grunberg and Nissan add ``sum over i < j of x_i x_j G_ij`` to the logarithm.

    Examples
    --------
    >>> mixed = mix("log-log-viscosity-cp", [0.3, 0.7], [5000.0, 100.0])
    >>> round(mixed.values[0], 1), mixed.worked_in
    (287.5, 'cP')
    """
    chosen = rule_by_name(rule)
    own = np.asarray(values, dtype=float)
    rows = checked_shares(shares, len(own))
    if chosen.needs_interaction != (interaction is not None):
        wanted = "needs the interaction of each pair" if chosen.needs_interaction else "has no interaction"
        raise MeasurementError(f"mixing rule '{rule}' {wanted}")
    mixed = rule_values(rule, rows, own)
    if interaction is not None:
        pairs = np.triu(np.asarray(interaction, dtype=float), k=1)
        if pairs.shape != (len(own), len(own)) or not np.isfinite(pairs).all():
            raise MeasurementError(f"interaction: needed is a number for each pair of {len(own)} components")
        mixed = mixed * np.exp(np.einsum("ni,ij,nj->n", rows, pairs, rows))
    return MixedProperty(
        rule=chosen.name,
        values=tuple(map(float, mixed)),
        worked_in=chosen.worked_in,
        validity=chosen.validity,
        source=chosen.source,
        evidence=chosen.evidence,
    )


def rule_values(rule: str, shares: Floats, values: Floats) -> Floats:
    """Mix by a rule without its interaction, unchecked as to the sum of the shares.

    Parameters
    ----------
    rule : str
        A key of `RULES`.
    shares : ndarray of float, shape (n, q)
        Shares by mass.
    values : ndarray of float, shape (q,)
        Property of each component, in the unit of the glossary.

    Returns
    -------
    ndarray of float, shape (n,)
        In the unit of the glossary.

    Raises
    ------
    MeasurementError
        Where a value has no such transform.
    """
    chosen = rule_by_name(rule)
    averaged = shares @ _transformed(chosen, values)
    if chosen.transform == "value":
        return np.asarray(averaged / chosen.factor)
    if chosen.transform == "log-log":
        averaged = np.exp(averaged)
    return np.asarray(np.exp(averaged) / chosen.factor)


def rule_gradient(rule: str, shares: Floats, values: Floats) -> Floats:
    """Give how the mixed property changes with each share, the others held.

    Parameters
    ----------
    rule : str
        A key of `RULES`.
    shares : ndarray of float, shape (n, q)
        Shares by mass.
    values : ndarray of float, shape (q,)
        Property of each component, in the unit of the glossary.

    Returns
    -------
    ndarray of float, shape (n, q)
        Unit of the glossary for a share of 1.

    Raises
    ------
    MeasurementError
        Where a value has no such transform.
    """
    chosen = rule_by_name(rule)
    own = _transformed(chosen, values)
    if chosen.transform == "value":
        return np.tile(own / chosen.factor, (len(shares), 1))
    mixed = rule_values(rule, shares, values)
    if chosen.transform == "log-log":
        mixed = mixed * np.exp(shares @ own)
    return np.asarray(mixed[:, None] * own)


def _transformed(rule: MixingRule, values: Floats) -> Floats:
    own = np.asarray(values, dtype=float) * rule.factor
    lowest = {"value": -np.inf, "logarithm": 0.0, "log-log": 1.0}[rule.transform]
    if own.ndim != 1 or not np.isfinite(own).all() or np.any(own <= lowest):
        raise MeasurementError(
            f"mixing rule '{rule.name}': every value must be a number above {lowest:g} {rule.worked_in}"
        )
    if rule.transform == "value":
        return own
    return np.asarray(np.log(own) if rule.transform == "logarithm" else np.log(np.log(own)))
