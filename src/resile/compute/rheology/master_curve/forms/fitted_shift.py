"""The shift as a fit moves it: free shifts one fewer than temperatures: one is the reference."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.fitting.starting_values import neighbouring_shifts, starting_shift
from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.rheology.master_curve.forms.shifts import SHIFTS, free_log_shift, shift_slopes
from resile.errors import MeasurementError
from resile.records.models.master_curve import CurveShift
from resile.records.models.parameter import ModelParameter

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FittedShift:
    """A shift over the rows of sweeps.

    Attributes
    ----------
    shift : CurveShift
        Its name.
    rows : SweepRows
        The sweeps.
    reference_c : float
        Temperature of shift zero [°C].
    spread : ndarray of float, shape (p, m)
        Parameters of the shift by the m numbers that a fit moves.
    linear : ndarray of float, shape (n, m), or None
        Shift of every row by the moved numbers, where that does not depend on them: worked out once for all
        steps of a fit.
    """

    shift: CurveShift
    rows: SweepRows
    reference_c: float
    spread: Floats
    linear: Floats | None = None

    @classmethod
    def of(cls, shift: CurveShift, rows: SweepRows, reference_c: float) -> FittedShift:
        """Prepare a shift for a fit; too few temperatures are refused with what would do."""
        form, found = SHIFTS[shift], len(rows.nodes_c)
        if found < form.temperatures:
            listed = ", ".join(f"{node:.1f}" for node in rows.nodes_c)
            advice = (
                "measure the sweep at another temperature, or join the files of one binder"
                if found < SHIFTS[CurveShift.FREE].temperatures
                else "choose another shift, or measure at more temperatures"
            )
            raise MeasurementError(
                f"master curve: {found} temperature{'s' if found > 1 else ''} found ({listed} °C), shift "
                f"{shift} needs {form.temperatures}; {advice}"
            )
        if shift is not CurveShift.FREE:
            return cls(shift, rows, reference_c, np.eye(len(form.parameters)))
        spread = free_shift_spread(rows.nodes_c, reference_c=reference_c)
        _, slopes = shift_slopes(
            shift, rows.temperature_c, np.zeros(found), reference_c=reference_c, nodes_c=rows.nodes_c
        )
        return cls(shift, rows, reference_c, spread, np.asarray(slopes @ spread))

    @property
    def nodes_c(self) -> tuple[float, ...]:
        """Temperatures of free shifts [°C]; empty for other shifts."""
        return tuple(self.rows.nodes_c.tolist()) if self.shift is CurveShift.FREE else ()

    def starts(self) -> Floats:
        """Give numbers from which a fit begins, shape (s, m)."""
        rough = neighbouring_shifts(self.rows, reference_c=self.reference_c)
        rows = starting_shift(self.shift, self.rows.nodes_c, rough, reference_c=self.reference_c)
        return np.asarray(np.linalg.lstsq(self.spread, rows.T, rcond=None)[0].T)

    def bounds(self) -> tuple[Floats, Floats]:
        """Give lower and upper bounds of these numbers."""
        coldest, warmest = float(self.rows.temperature_c.min()), float(self.rows.temperature_c.max())
        pole = max(1.0, self.reference_c - coldest + 1.0)
        lower, upper = {
            CurveShift.FREE: ([-60.0] * self.spread.shape[1], [60.0] * self.spread.shape[1]),
            CurveShift.WLF: ([1e-3, pole], [1e3, 1e5]),
            CurveShift.ARRHENIUS: ([1e-3], [1e4]),
            CurveShift.KAELBLE: ([1e-3, 1.0, coldest - 60.0], [1e3, 1e5, warmest + 60.0]),
        }[self.shift]
        return np.array(lower), np.array(upper)

    def at_rows(self, moved: Floats) -> tuple[Floats, Floats]:
        """Give the shift of every row, shape (n,), and its derivatives by the moved numbers, (n, m)."""
        if self.linear is not None:
            return np.asarray(self.linear @ moved), self.linear
        found, slopes = shift_slopes(
            self.shift,
            self.rows.temperature_c,
            self.spread @ moved,
            reference_c=self.reference_c,
            nodes_c=self.rows.nodes_c,
        )
        return found, np.asarray(slopes @ self.spread)

    def parameters(self, moved: Floats, covariance: Floats, factor: float) -> tuple[ModelParameter, ...]:
        """Give the parameters with intervals of `factor` standard errors."""
        form, values = SHIFTS[self.shift], self.spread @ moved
        half = factor * np.sqrt(np.diag(self.spread @ covariance @ self.spread.T))
        free = self.shift is CurveShift.FREE
        names = form.parameters * len(values) if free else form.parameters
        units = form.units * len(values) if free else form.units
        places = [f"{node:.1f} °C" for node in self.rows.nodes_c] if free else [""] * len(values)
        # A free shift at the reference is zero by definition: it has no interval, and was not fitted.
        return tuple(
            ModelParameter(name, 0.0, unit, fitted=False, where=where)
            if free and wide == 0.0
            else with_interval(name, value, unit, wide, where)
            for name, value, unit, wide, where in zip(
                names, values.tolist(), units, half.tolist(), places, strict=True
            )
        )


def free_shift_spread(nodes_c: ArrayLike, *, reference_c: float) -> Floats:
    """Give the free shifts out of the numbers that a fit moves: one fewer, because one is the reference.

    Parameters
    ----------
    nodes_c : array_like of float, shape (k,)
        Temperatures of the free shifts, rising [°C].
    reference_c : float
        Temperature of shift zero [°C].

    Returns
    -------
    ndarray of float, shape (k, k - 1)
        Shifts at the nodes by the numbers moved; whatever these are, the shift is zero at the reference.
    """
    nodes = np.asarray(nodes_c, dtype=float)
    unit = np.eye(len(nodes))
    at_reference = np.array([free_log_shift(reference_c, nodes_c=nodes, log_shifts=one) for one in unit])
    held = int(np.argmin(np.abs(nodes - reference_c)))
    return np.asarray(np.delete(unit - at_reference[None, :], held, axis=1))


def with_interval(name: str, value: float, unit: str, half_width: float, where: str = "") -> ModelParameter:
    """Give a fitted parameter with its interval.

    Parameters
    ----------
    name, unit, where : str
        Name, unit and place of the parameter.
    value : float
        Its value.
    half_width : float
        Half of the width of the interval; not-a-number where there is none.

    Returns
    -------
    ModelParameter
    """
    if not np.isfinite(half_width):
        return ModelParameter(name, value, unit, where=where)
    return ModelParameter(name, value, unit, value - half_width, value + half_width, where=where)
