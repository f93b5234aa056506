"""Shifts of a master curve with temperature, each by author and year.

Which to use: Williams, Landel and Ferry for sweeps above the glass transition, the common case; Arrhenius for
a narrow or a cold range; Kaelble where sweeps lie on both sides of the transition; free shifts where no form
is to be trusted, one number a temperature. `shift_slopes` takes the name and gives derivatives for a fit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError
from resile.records.models.master_curve import CurveShift

Floats = NDArray[np.float64]

GAS_CONSTANT_KJ_MOL_K = 8.314462618e-3
"""Molar gas constant [kJ/(mol K)]. Exact in the International System of Units since 2019."""
ZERO_CELSIUS_K = 273.15
"""Zero of the Celsius scale [K], by definition."""


@dataclass(frozen=True, slots=True)
class ShiftForm:
    """What a shift needs and where it holds.

    Attributes
    ----------
    parameters, units : tuple of str
        Names and units, in order; free shifts have one parameter a temperature.
    temperatures : int
        Isotherms needed at least.
    validity : str
        Where it holds.
    source : str
        Where it comes from.
    """

    parameters: tuple[str, ...]
    units: tuple[str, ...]
    temperatures: int
    validity: str
    source: str


SHIFTS: Mapping[CurveShift, ShiftForm] = MappingProxyType(
    {
        CurveShift.FREE: ShiftForm(
            ("log_shift",), ("",), 2, "within the temperatures measured", "definition of a shift"
        ),
        CurveShift.WLF: ShiftForm(
            ("c1", "c2"),
            ("", "°C"),
            3,
            "above the glass transition, and within the temperatures measured",
            "Williams, Landel and Ferry 1955",
        ),
        CurveShift.ARRHENIUS: ShiftForm(
            ("activation_energy_kj_mol",),
            ("kJ/mol",),
            2,
            "a narrow range, or below the glass transition",
            "Arrhenius; SHRP-A-369",
        ),
        CurveShift.KAELBLE: ShiftForm(
            ("c1", "c2", "defining_c"),
            ("", "°C", "°C"),
            4,
            "on both sides of the glass transition",
            "Kaelble 1985, as modified by Rowe and Sharrock 2011, from memory (high)",
        ),
    }
)
"""The shifts by name."""


def williams_landel_ferry_log_shift(
    temperature_c: ArrayLike, *, reference_c: float, c1: float, c2: float
) -> Floats:
    """Give the shift with temperature by Williams, Landel and Ferry.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature, above ``reference_c - c2`` [°C].
    reference_c : float
        Temperature of shift zero [°C].
    c1, c2 : float
        Constants [1], [°C].

    Returns
    -------
    ndarray of float
        ``log10 aT``.

    Raises
    ------
    InputError
        Where a temperature is not above ``reference_c - c2``: there the equation has its pole.

    Notes
    -----
    ``log aT = -C1 (T - Tr)/(C2 + T - Tr)``. C1 and C2 belong to their reference temperature.

    References
    ----------
    Williams, Landel and Ferry 1955, as printed in lecture notes (Eq. 9).

    Examples
    --------
    >>> round(float(williams_landel_ferry_log_shift(20.0, reference_c=0.0, c1=19.0, c2=92.0)), 6)
    -3.392857
    """
    apart = np.asarray(temperature_c, dtype=float) - reference_c
    if np.any(apart + c2 <= 0.0):
        raise InputError(
            f"shift by Williams, Landel and Ferry: {float(np.min(apart)) + reference_c:g} °C found; with C2 "
            f"{c2:g} °C it holds above {reference_c - c2:g} °C alone"
        )
    return np.asarray(-c1 * apart / (c2 + apart))


def arrhenius_log_shift(
    temperature_c: ArrayLike, *, reference_c: float, activation_energy_kj_mol: float
) -> Floats:
    """Give the shift with temperature by Arrhenius.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature [°C].
    reference_c : float
        Temperature of shift zero [°C].
    activation_energy_kj_mol : float
        Activation energy [kJ/mol].

    Returns
    -------
    ndarray of float
        ``log10 aT``.

    Notes
    -----
    ``log aT = Ea/(R ln 10) (1/T - 1/Tr)``, temperatures in kelvin. A thesis prints R as 8.34; the constant of
    nature, 8.314, is taken.

    References
    ----------
    University of Florida thesis (Cui), p. 47 (261 kJ/mol below the defining temperature); SHRP-A-369, from
    memory (medium: 250 kJ/mol).

    Examples
    --------
    >>> round(float(arrhenius_log_shift(-20.0, reference_c=0.0, activation_energy_kj_mol=261.0)), 3)
    3.943
    """
    kelvin = np.asarray(temperature_c, dtype=float) + ZERO_CELSIUS_K
    apart = 1.0 / kelvin - 1.0 / (reference_c + ZERO_CELSIUS_K)
    return np.asarray(activation_energy_kj_mol / (GAS_CONSTANT_KJ_MOL_K * np.log(10.0)) * apart)


def kaelble_log_shift(
    temperature_c: ArrayLike, *, reference_c: float, defining_c: float, c1: float, c2: float
) -> Floats:
    """Give the shift with temperature by Kaelble, as modified by Rowe and Sharrock.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature [°C].
    reference_c, defining_c : float
        Temperature of shift zero; temperature at which the form changes [°C].
    c1, c2 : float
        Constants [1], [°C].

    Returns
    -------
    ndarray of float
        ``log10 aT``: falls with temperature.

    Notes
    -----
    ``log aT = -C1 [(T - Td)/(C2 + |T - Td|) - (Tr - Td)/(C2 + |Tr - Td|)]``. Above ``Td``, with ``Tr = Td``,
    it is the equation of Williams, Landel and Ferry.

    References
    ----------
    Rowe and Sharrock 2011, from memory (high).

    Examples
    --------
    >>> round(float(kaelble_log_shift(20.0, reference_c=0.0, defining_c=0.0, c1=19.0, c2=92.0)), 6)
    -3.392857
    """

    def term(kelvin_apart: Floats) -> Floats:
        return kelvin_apart / (c2 + np.abs(kelvin_apart))

    here = np.asarray(temperature_c, dtype=float) - defining_c
    return np.asarray(-c1 * (term(here) - term(np.asarray(reference_c - defining_c))))


def free_log_shift(temperature_c: ArrayLike, *, nodes_c: ArrayLike, log_shifts: ArrayLike) -> Floats:
    """Give the shift between temperatures at which it is known.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature [°C].
    nodes_c : array_like of float, shape (k,), k at least 2
        Temperatures of known shift, rising [°C].
    log_shifts : array_like of float, shape (k,)
        ``log10 aT`` there.

    Returns
    -------
    ndarray of float
        ``log10 aT``: through every node, smooth between them, straight outside.

    Raises
    ------
    InputError
        Where there are fewer than two nodes, or they do not rise.

    Notes
    -----
    A natural cubic spline: its value is linear in the shifts at the nodes, so that rows whose temperature
    drifts from the node take part in a fit at the temperature they were measured at.

    Examples
    --------
    >>> free_log_shift([10.0, 16.0], nodes_c=[10.0, 22.0], log_shifts=[1.6, 0.0]).tolist()
    [1.6, 0.8]
    """
    return np.asarray(_spline_basis(temperature_c, nodes_c) @ np.asarray(log_shifts, dtype=float))


def shift_slopes(
    shift: CurveShift | str,
    temperature_c: ArrayLike,
    parameters: ArrayLike,
    *,
    reference_c: float,
    nodes_c: ArrayLike = (),
) -> tuple[Floats, Floats]:
    """Give the shift by its name, and its derivatives.

    Parameters
    ----------
    shift : CurveShift or str
        Name of the shift; see `SHIFTS`.
    temperature_c : array_like of float, shape (n,)
        Temperature [°C].
    parameters : array_like of float, shape (p,)
        In the order of `SHIFTS`; free shifts one a node.
    reference_c : float
        Temperature of shift zero [°C].
    nodes_c : array_like of float, shape (p,)
        Temperatures of free shifts [°C].

    Returns
    -------
    tuple of (ndarray of float, shape (n,), ndarray of float, shape (n, p))
        ``log10 aT``, and its derivative by each parameter.
    """
    temperature, values = np.asarray(temperature_c, dtype=float), np.asarray(parameters, dtype=float)
    named = CurveShift(shift)
    if named is CurveShift.FREE:
        basis = _spline_basis(temperature, nodes_c)
        return np.asarray(basis @ values), basis
    if named is CurveShift.ARRHENIUS:
        found = arrhenius_log_shift(
            temperature, reference_c=reference_c, activation_energy_kj_mol=float(values[0])
        )
        unit = arrhenius_log_shift(temperature, reference_c=reference_c, activation_energy_kj_mol=1.0)
        return found, unit[:, None]
    if named is CurveShift.WLF:
        c1, c2 = values.tolist()
        found = williams_landel_ferry_log_shift(temperature, reference_c=reference_c, c1=c1, c2=c2)
        apart = temperature - reference_c
        return found, np.column_stack((-apart / (c2 + apart), c1 * apart / (c2 + apart) ** 2))
    c1, c2, defining_c = values.tolist()
    found = kaelble_log_shift(temperature, reference_c=reference_c, defining_c=defining_c, c1=c1, c2=c2)
    here, origin = temperature - defining_c, reference_c - defining_c
    bent, bent_origin = 1.0 / (c2 + np.abs(here)), 1.0 / (c2 + abs(origin))
    by_c2 = c1 * (here * bent**2 - origin * bent_origin**2)
    by_defining = c1 * c2 * (bent**2 - bent_origin**2)
    return found, np.column_stack((-(here * bent - origin * bent_origin), by_c2, by_defining))


def _spline_basis(temperature_c: ArrayLike, nodes_c: ArrayLike) -> Floats:
    """Give what each node's shift adds at each temperature, shape (n, k): a natural cubic spline."""
    nodes = np.asarray(nodes_c, dtype=float)
    if nodes.ndim != 1 or len(nodes) < 2 or not np.all(np.diff(nodes) > 0.0):
        raise InputError("free shifts: at least two temperatures, rising, are needed")
    temperature = np.asarray(temperature_c, dtype=float)
    width, unit, chord, bend = _spline_at_nodes(tuple(nodes.tolist()))
    inside = np.clip(temperature, nodes[0], nodes[-1])
    cell = np.clip(np.searchsorted(nodes, inside, side="right") - 1, 0, len(width) - 1)
    h = width[cell][..., None]
    after = (inside - nodes[cell])[..., None] / h
    before = 1.0 - after
    basis = before * unit[cell] + after * unit[cell + 1]
    basis += h**2 / 6.0 * ((before**3 - before) * bend[cell] + (after**3 - after) * bend[cell + 1])
    steep = chord[cell] + h / 6.0 * (
        (1.0 - 3.0 * before**2) * bend[cell] + (3.0 * after**2 - 1.0) * bend[cell + 1]
    )
    return np.asarray(basis + (temperature - inside)[..., None] * steep)


@lru_cache(maxsize=16)
def _spline_at_nodes(nodes_c: tuple[float, ...]) -> tuple[Floats, Floats, Floats, Floats]:
    """Give widths of the cells, and value, chord and second derivative by the shift at each node.

    One curve asks for its own nodes hundreds of times. Nothing bends at the ends.
    """
    width, unit = np.diff(nodes_c), np.eye(len(nodes_c))
    chord = np.diff(unit, axis=0) / width[:, None]
    bend = np.zeros_like(unit)
    if len(nodes_c) > 2:
        ties = np.diag((width[:-1] + width[1:]) / 3.0)
        ties += np.diag(width[1:-1] / 6.0, 1) + np.diag(width[1:-1] / 6.0, -1)
        bend[1:-1] = np.linalg.solve(ties, np.diff(chord, axis=0))
    return width, unit, chord, bend
