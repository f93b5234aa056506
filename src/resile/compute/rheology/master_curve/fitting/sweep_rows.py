"""The rows of one or more sweeps, set in order: exact repeats once, and one isotherm a temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class SweepRows:
    """Rows in the order of rising isotherm temperature, series and frequency.

    Attributes
    ----------
    temperature_c, angular_frequency_rad_s, complex_modulus, phase_angle : ndarray of float, shape (n,)
        As measured [°C], [rad/s], [kPa], [°].
    series : ndarray of int, shape (n,)
        Which of the joined sweeps a row is of.
    node : ndarray of int, shape (n,)
        Place of its temperature among `nodes_c`.
    nodes_c : ndarray of float, shape (k,)
        Mean of the temperatures that lie together, rising [°C].
    repeated_rows : int
        Exact repeats that were left out.
    """

    temperature_c: Floats
    angular_frequency_rad_s: Floats
    complex_modulus: Floats
    phase_angle: Floats
    series: Places
    node: Places
    nodes_c: Floats
    repeated_rows: int

    def isotherms(self) -> list[Places]:
        """Give the rows of each isotherm: one temperature of one series."""
        keys = np.column_stack((self.node, self.series))
        return [np.flatnonzero((keys == key).all(axis=1)) for key in np.unique(keys, axis=0)]


def arrange_sweeps(
    temperature_c: ArrayLike,
    angular_frequency_rad_s: ArrayLike,
    complex_modulus: ArrayLike,
    phase_angle: ArrayLike,
    *,
    series: ArrayLike | None = None,
    isotherm_gap_c: float = 1.0,
) -> SweepRows:
    """Set the rows of sweeps in order.

    Parameters
    ----------
    temperature_c, angular_frequency_rad_s, complex_modulus, phase_angle : array_like of float, shape (n,)
        Temperature as logged [°C], angular frequency [rad/s], modulus [kPa], phase angle [°]; in any order.
    series : array_like of int, shape (n,), or None
        Which sweep each row is of, where several are joined.
    isotherm_gap_c : float
        Rows belong to one isotherm as long as their temperatures, sorted, lie no further apart [°C].

    Returns
    -------
    SweepRows

    Raises
    ------
    MeasurementError
        Where columns differ in length or a number is not finite, not above zero, or a phase angle above 90°.

    Notes
    -----
    A row is a repeat where all four numbers are those of another row, whichever series it is of. Rows keep
    their own temperature: isotherms serve only to place free shifts and to tell residuals.
    """
    columns = [
        np.asarray(a, dtype=float)
        for a in (temperature_c, angular_frequency_rad_s, complex_modulus, phase_angle)
    ]
    if columns[0].ndim != 1 or not len(columns[0]) or any(a.shape != columns[0].shape for a in columns):
        raise MeasurementError(
            "master curve: temperature, frequency, modulus and phase angle differ in length"
        )
    _refuse_impossible(*columns)
    rows = np.column_stack(columns)
    _, first = np.unique(rows, axis=0, return_index=True)
    kept = rows[first]
    which = np.zeros(len(rows), dtype=np.int64) if series is None else np.asarray(series, dtype=np.int64)
    by_temperature = np.argsort(kept[:, 0], kind="stable")
    gaps = np.diff(kept[by_temperature, 0]) > isotherm_gap_c
    node = np.empty(len(kept), dtype=np.int64)
    node[by_temperature] = np.concatenate(([0], np.cumsum(gaps)))
    order = np.lexsort((kept[:, 1], which[first], node))
    kept, node = kept[order], node[order]
    nodes_c = np.bincount(node, weights=kept[:, 0]) / np.bincount(node)
    return SweepRows(
        temperature_c=kept[:, 0].copy(),
        angular_frequency_rad_s=kept[:, 1].copy(),
        complex_modulus=kept[:, 2].copy(),
        phase_angle=kept[:, 3].copy(),
        series=which[first][order],
        node=node,
        nodes_c=nodes_c,
        repeated_rows=len(rows) - len(kept),
    )


def _refuse_impossible(temperature: Floats, frequency: Floats, modulus: Floats, angle: Floats) -> None:
    for values, good, words in (
        (temperature, np.isfinite(temperature), "the temperature must be a number in °C"),
        (
            frequency,
            np.isfinite(frequency) & (frequency > 0.0),
            "the angular frequency must be above zero (rad/s)",
        ),
        (modulus, np.isfinite(modulus) & (modulus > 0.0), "the modulus must be above zero (kPa)"),
        (angle, (angle >= 0.0) & (angle <= 90.0), "the phase angle must lie between 0 and 90°"),
    ):
        bad = np.flatnonzero(~good)
        if len(bad):
            raise MeasurementError(
                f"master curve, row {bad[0] + 1} at {temperature[bad[0]]:g} °C: {words}, "
                f"found {values[bad[0]]:g}"
            )
