"""Relaxation and creep of one material: exact conversion between the two sets of modes.

`retardation_from_relaxation` and `relaxation_from_retardation` undo each other; `burgers_of_modes` and
`modes_of_burgers` go to springs and dashpots and back. What a set of modes does at a time or frequency is in
`modes`; shortcuts that need no modes are in `shortcuts`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.errors import InputError
from resile.records.models.spectrum import RelaxationModes, RetardationModes

Floats = NDArray[np.float64]

_HALVINGS = 62
"""Halvings of the logarithm of the distance to a pole: 690 units of ln over 2^62 are below rounding."""
_NEAREST_LOG = -690.0
"""Logarithm of the least relative distance to a pole that is told apart (1e-300)."""


def retardation_from_relaxation(modes: RelaxationModes) -> RetardationModes:
    """Turn relaxation modes into the retardation modes of the same material, exactly.

    Parameters
    ----------
    modes : RelaxationModes
        Maxwell elements side by side.

    Returns
    -------
    RetardationModes
        One mode fewer for a material that flows, as many for one that does not.

    Notes
    -----
    The operational modulus ``Q(s) = Ge + sum Gi s ri/(1 + s ri)`` and the operational compliance are
    inverse to each other. The zeros of Q on the negative axis are the retardation rates; exactly one lies
    between two neighbouring poles ``1/ri`` (and, with Ge above zero, one below the least). With a zero at
    ``-x``, ``Jk = 1/(x Q'(-x))``. The zero is found as its distance to the nearer pole, by halving on a
    logarithmic scale, so that a zero that lies within 1e-300 of a pole is as sure as any other.

    References
    ----------
    Partial fractions, by hand; the interlacing is that of any ladder of springs and dashpots (Gross 1953,
    from memory, medium).

    Examples
    --------
    >>> maxwell = RelaxationModes((2.0,), (5.0,))
    >>> retardation_from_relaxation(maxwell)
    RetardationModes(retardation_times_s=(), mode_compliances=(), glassy_compliance=0.2, fluidity=0.1)
    """
    times, sizes = np.asarray(modes.relaxation_times_s), np.asarray(modes.mode_moduli_kpa)
    rate = 1.0 / times[::-1]  # rising
    size = sizes[::-1]
    equilibrium = modes.equilibrium_modulus_kpa

    # On s = -x: Q = Ge - sum Gi x/(a_i - x); it falls from +inf to -inf between two poles.
    def modulus(x: Floats, apart: Floats) -> Floats:
        return np.asarray(equilibrium - x * (size / apart).sum(axis=-1))

    brackets = list(itertools.pairwise(rate))
    if equilibrium > 0.0:
        # Up to half of the least pole a_i - x is at least a_i/2, so Q is above zero up to here.
        low = min(rate[0] / 2.0, equilibrium / (2.0 * float((size / rate).sum())))
        brackets.insert(0, (low, rate[0]))
    root, apart = _roots(brackets, rate, modulus, falls=True)
    slope = (size * rate / apart**2).sum(axis=-1)  # Q'(s) = sum Gi a_i/(a_i + s)²
    compliance = 1.0 / (root * slope)
    glassy = 1.0 / (equilibrium + float(size.sum()))
    fluidity = 0.0 if equilibrium > 0.0 else 1.0 / float((sizes * times).sum())
    return RetardationModes(
        tuple((1.0 / root[::-1]).tolist()), tuple(compliance[::-1].tolist()), glassy, fluidity
    )


def relaxation_from_retardation(modes: RetardationModes) -> RelaxationModes:
    """Turn retardation modes into the relaxation modes of the same material, exactly.

    Parameters
    ----------
    modes : RetardationModes
        Kelvin elements in a row, with a spring.

    Returns
    -------
    RelaxationModes
        One mode more for a material that flows, as many for one that does not.

    Raises
    ------
    InputError
        Where the material neither flows nor has a mode: a bare spring does not relax.

    Notes
    -----
    As `retardation_from_relaxation`: with ``P(s) = J0 + 1/(eta s) + sum Jk/(1 + s rk)`` the zeros are the
    relaxation rates; they interlace with the poles 0 and ``1/rk``, and one lies above the greatest.
    With a zero at ``-x``, ``Gi = -1/(x P'(-x))``.

    References
    ----------
    Partial fractions, by hand.

    Examples
    --------
    >>> relaxation_from_retardation(RetardationModes((), (), 0.2, 0.1))
    RelaxationModes(relaxation_times_s=(2.0,), mode_moduli_kpa=(5.0,), equilibrium_modulus_kpa=0.0)
    """
    times, sizes = np.asarray(modes.retardation_times_s), np.asarray(modes.mode_compliances)
    rate, size = 1.0 / times[::-1], sizes[::-1]
    glassy, fluidity = modes.glassy_compliance, modes.fluidity
    if not len(rate):
        if fluidity == 0.0:
            raise InputError("retardation modes: a bare spring does not relax; a flow or a mode is needed")
        return RelaxationModes((glassy / fluidity,), (1.0 / glassy,))

    # On s = -x: P = J0 - 1/(eta x) + sum Jk a_k/(a_k - x); it rises from -inf to +inf between two poles.
    def compliance(x: Floats, apart: Floats) -> Floats:
        return np.asarray(glassy - fluidity / x + (size * rate / apart).sum(axis=-1))

    brackets = list(itertools.pairwise(rate))
    if fluidity > 0.0:
        low = min(rate[0] / 2.0, fluidity / (glassy + 2.0 * float(size.sum())))
        brackets.insert(0, (low, rate[0]))
    brackets.append((rate[-1], rate[-1] + (fluidity + float((size * rate).sum())) / glassy * (1.0 + 1e-9)))
    root, apart = _roots(brackets, rate, compliance, falls=False)
    slope = fluidity / root**2 + (size * rate / apart**2).sum(axis=-1)  # -P'(s)
    modulus = 1.0 / (root * slope)
    equilibrium = 0.0 if fluidity > 0.0 else 1.0 / (glassy + float(size.sum()))
    return RelaxationModes(tuple((1.0 / root[::-1]).tolist()), tuple(modulus[::-1].tolist()), equilibrium)


def modes_of_burgers(model: BurgersModel) -> RetardationModes:
    """Give the retardation modes of a model of springs and dashpots.

    Parameters
    ----------
    model : BurgersModel
        With a Maxwell spring; Kelvin elements of one retardation time are taken together.

    Returns
    -------
    RetardationModes
        The same material.

    Raises
    ------
    InputError
        Where there is no Maxwell spring: such a model relaxes at once and has no relaxation modulus.

    References
    ----------
    Definition of the elements.
    """
    if math.isinf(model.maxwell_spring_kpa):
        raise InputError("Burgers model: no Maxwell spring found; one is needed for a relaxation modulus")
    merged: dict[float, float] = {}
    for element in sorted(model.kelvin_elements, key=lambda one: one.retardation_time_s):
        time = element.retardation_time_s
        merged[time] = merged.get(time, 0.0) + 1.0 / element.spring_kpa
    return RetardationModes(
        tuple(merged),
        tuple(merged.values()),
        1.0 / model.maxwell_spring_kpa,
        1.0 / model.maxwell_dashpot_kpa_s,
    )


def burgers_of_modes(modes: RetardationModes) -> BurgersModel:
    """Give springs and dashpots of retardation modes.

    Parameters
    ----------
    modes : RetardationModes
        Of a material that flows.

    Returns
    -------
    BurgersModel
        The same material, Kelvin elements by rising retardation time.

    Raises
    ------
    InputError
        Where the material does not flow: the model has a dashpot in the row.

    References
    ----------
    Definition of the elements.
    """
    if modes.fluidity == 0.0:
        raise InputError("retardation modes: no flow found; a Burgers model has a dashpot in the row")
    return BurgersModel(
        1.0 / modes.fluidity,
        1.0 / modes.glassy_compliance,
        tuple(
            KelvinElement(1.0 / size, time / size)
            for time, size in zip(modes.retardation_times_s, modes.mode_compliances, strict=True)
        ),
    )


def _roots(
    brackets: list[tuple[float, float]],
    poles: Floats,
    function: Callable[[Floats, Floats], Floats],
    *,
    falls: bool,
) -> tuple[Floats, Floats]:
    """Give the zero in each bracket (k,), and every pole less it (k, n), both to full relative precision."""
    if not brackets:
        return np.empty(0), np.empty((0, len(poles)))
    low, high = np.asarray(brackets, dtype=float).T
    length = np.log(high / low)

    def place(anchor: Floats, signed: Floats) -> tuple[Floats, Floats]:
        grown = np.expm1(signed)
        return anchor * (1.0 + grown), (poles - anchor[:, None]) - (anchor * grown)[:, None]

    sign_at_low = 1.0 if falls else -1.0
    in_upper_half = sign_at_low * function(*place(low, length / 2.0)) > 0.0
    anchor = np.where(in_upper_half, high, low)
    direction = np.where(in_upper_half, -1.0, 1.0)
    near, far = np.full(len(low), _NEAREST_LOG), np.log(length / 2.0)
    for _ in range(_HALVINGS):
        middle = (near + far) / 2.0
        x, apart = place(anchor, direction * np.exp(middle))
        beyond = sign_at_low * direction * function(x, apart) > 0.0  # the sign is still that of the anchor
        near, far = np.where(beyond, middle, near), np.where(beyond, far, middle)
    return place(anchor, direction * np.exp((near + far) / 2.0))
