"""What the fit of a master curve searches: residuals and derivatives of all rows, starts and bounds."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.master_curve.fitting.starting_values import starting_shape
from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.rheology.master_curve.forms.fitted_shift import FittedShift
from resile.compute.rheology.master_curve.forms.shape_slopes import SHAPES, ShapeSlopes, shape_slopes
from resile.compute.rheology.master_curve.forms.shapes import GLASSY_MODULUS_KPA
from resile.compute.statistics.fits.least_squares import fit_least_squares
from resile.compute.statistics.fits.least_squares_problem import LastAnswer
from resile.errors import MeasurementError
from resile.records.fit import LeastSquaresFit
from resile.records.models.master_curve import CurveShape

Floats = NDArray[np.float64]


class JointProblem:
    """Residuals and exact derivatives of one fit; numbers moved: the shape's, then the shift's.

    Parameters
    ----------
    rows : SweepRows
        The sweeps.
    shape : CurveShape
        Name of the shape.
    moving : FittedShift
        The shift over these rows.
    glassy_modulus_kpa : float or None
        Glassy modulus in shear [kPa]; None to move it.
    weights : tuple of float
        Misfit that counts as one: of ``log10 |G*|`` [decades] and of the phase angle [°].
    """

    def __init__(
        self,
        rows: SweepRows,
        shape: CurveShape,
        moving: FittedShift,
        glassy_modulus_kpa: float | None,
        weights: tuple[float, float],
    ) -> None:
        self.rows, self.shape, self.moving, self.weights = rows, shape, moving, weights
        self.log_glassy = None if glassy_modulus_kpa is None else math.log10(glassy_modulus_kpa)
        self.x = np.log10(rows.angular_frequency_rad_s)
        self.y, self.d = np.log10(rows.complex_modulus), rows.phase_angle
        self.skipped = 0 if self.log_glassy is None else 1
        self.count = len(SHAPES[shape].parameters) - self.skipped
        self._seen = LastAnswer(self._see)

    def shape_parameters(self, moved: Floats) -> Floats:
        """Give all parameters of the shape, the glassy modulus with them."""
        own = moved[: self.count]
        return own if self.log_glassy is None else np.concatenate(([self.log_glassy], own))

    def residuals(self, moved: Floats) -> Floats:
        """Give fitted less measured, over the weights: moduli, then phase angles."""
        seen, _ = self._seen(moved)
        modulus, phase = self.weights
        return np.concatenate(((seen.log_modulus - self.y) / modulus, (seen.phase_deg - self.d) / phase))

    def jacobian(self, moved: Floats) -> Floats:
        """Give the derivatives of the residuals by the numbers moved."""
        seen, slopes = self._seen(moved)
        modulus, phase = self.weights
        rows, own = len(self.x), self.count
        found = np.empty((2 * rows, own + slopes.shape[1]))
        found[:rows, :own] = seen.log_modulus_by[:, self.skipped :] / modulus
        found[rows:, :own] = seen.phase_by[:, self.skipped :] / phase
        found[:rows, own:] = (seen.log_modulus_along / modulus)[:, None] * slopes
        found[rows:, own:] = (seen.phase_along / phase)[:, None] * slopes
        return found

    def bounds(self) -> tuple[Floats, Floats]:
        """Give lower and upper bounds of the numbers moved."""
        form, (low, high) = SHAPES[self.shape], self.moving.bounds()
        return (
            np.concatenate((form.lower[self.skipped :], low)),
            np.concatenate((form.upper[self.skipped :], high)),
        )

    def starts(self) -> Floats:
        """Give numbers from which a search begins, one start a row."""
        glassy = math.log10(GLASSY_MODULUS_KPA) if self.log_glassy is None else self.log_glassy
        starts = []
        for start in self.moving.starts():
            reduced = self.x + self.moving.at_rows(start)[0]
            own = starting_shape(self.shape, reduced, self.y, self.d, log_glassy_modulus=glassy)
            starts.append(np.concatenate((own[self.skipped :], start)))
        return np.array(starts)

    def solve(self) -> LeastSquaresFit:
        """Fit; refused where there are too few rows."""
        lower, upper = self.bounds()
        to_join = len(self.rows.nodes_c) + 2  # without a shape
        needed = max(len(lower) // 2 + 1, to_join)
        if len(self.x) < needed:
            raise MeasurementError(
                f"master curve: {len(self.x)} rows for {len(lower)} parameters; needed are at least "
                f"{needed} rows"
            )
        return fit_least_squares(
            self.residuals, self.starts(), jacobian=self.jacobian, lower=lower, upper=upper
        )

    def _see(self, moved: Floats) -> tuple[ShapeSlopes, Floats]:
        shift, slopes = self.moving.at_rows(moved[self.count :])
        return shape_slopes(self.shape, self.x + shift, self.shape_parameters(moved)), slopes
