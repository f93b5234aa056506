"""A problem of least squares and its search: residuals, derivatives, bounds, the way down from a start."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Model = Callable[[Floats], Floats]

_EVALUATIONS = 4000
_ON_BOUND = 1e-7  # share of the span (or of the size) within which a parameter sits on its bound
_IMPOSSIBLE = 1e100  # stands for a residual that cannot be computed: any step there is refused
_POLISHING = 12
_SUM_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class LeastSquaresProblem:
    """Residuals of a model, their derivatives where known, and the bounds of its parameters.

    Attributes
    ----------
    residuals : callable
        Parameters, shape (p,), to residuals, shape (n,).
    jacobian : callable or None
        Parameters to derivatives, shape (n, p); None for numerical ones.
    lower, upper : ndarray of float, shape (p,)
        Bounds; infinite for none.
    tolerance : float
        Relative change of sum and parameters at which a search stops.
    """

    residuals: Model
    jacobian: Model | None
    lower: Floats
    upper: Floats
    tolerance: float = 1e-15

    @property
    def bounded(self) -> bool:
        """Whether any parameter has a bound."""
        return bool(np.isfinite(self.lower).any() or np.isfinite(self.upper).any())

    def misfit(self, values: Floats) -> Floats:
        """Give the residuals; a huge number where the model gives none."""
        found = np.asarray(self.residuals(values), dtype=float)
        return np.where(np.isfinite(found), found, _IMPOSSIBLE)

    def slopes(self, values: Floats) -> Floats:
        """Give the derivatives: the model's own, or central differences, one-sided next to a bound."""
        if self.jacobian is not None:
            found = np.asarray(self.jacobian(values), dtype=float)
            return np.where(np.isfinite(found), found, 0.0)
        step = np.cbrt(np.finfo(float).eps) * np.maximum(np.abs(values), 1e-8)
        columns = []
        for place, size in enumerate(step):
            up, down = values.copy(), values.copy()
            up[place] = min(values[place] + size, self.upper[place])
            down[place] = max(values[place] - size, self.lower[place])
            columns.append((self.misfit(up) - self.misfit(down)) / (up[place] - down[place]))
        return np.stack(columns, axis=1)

    def search(self, start: Floats) -> tuple[Floats, bool]:
        """Give the end of one search and whether it came to rest."""
        from scipy.optimize import least_squares

        settings: dict[str, Any] = {
            "jac": self.slopes,
            "x_scale": "jac",
            "ftol": self.tolerance,
            "xtol": self.tolerance,
            "gtol": self.tolerance,
            "max_nfev": _EVALUATIONS,
        }
        if self.bounded:
            bounds = (self.lower, self.upper)
            found = least_squares(self.misfit, start, method="trf", bounds=bounds, **settings)
            return found.x, found.status > 0
        found = least_squares(self.misfit, start, method="lm", **settings)
        if found.status <= 0 or not _tells_all_parameters(self.slopes(found.x)):
            other = least_squares(self.misfit, start, method="trf", **settings)
            found = other if other.cost < found.cost else found
        return found.x, found.status > 0

    def held(self, values: Floats) -> NDArray[np.bool_]:
        """Say which parameters sit on a bound that the sum of squares pushes them against."""
        span = self.upper - self.lower
        size = np.where(np.isfinite(span), span, np.maximum(np.abs(values), 1.0))
        downhill = -(self.slopes(values).T @ self.misfit(values))
        low = (values - self.lower <= _ON_BOUND * size) & (downhill <= 0.0)
        high = (self.upper - values <= _ON_BOUND * size) & (downhill >= 0.0)
        return np.asarray(low | high)

    def polished(self, values: Floats) -> Floats:
        """Take Gauss-Newton steps in the free parameters for as long as they shrink and are worth it."""
        held = self.held(values)
        nearer_low = values - self.lower < self.upper - values
        values = np.where(held, np.where(nearer_low, self.lower, self.upper), values)
        free = ~held
        misfit, last = self.misfit(values), math.inf
        for _ in range(_POLISHING if free.any() else 0):
            slopes = self.slopes(values)[:, free]
            scale = np.linalg.norm(slopes, axis=0)
            scale[scale == 0.0] = 1.0
            scaled_step = np.linalg.lstsq(slopes / scale, -misfit, rcond=None)[0]
            tried = values.copy()
            tried[free] = np.clip(values[free] + scaled_step / scale, self.lower[free], self.upper[free])
            tried_misfit, size = self.misfit(tried), float(np.linalg.norm(scaled_step))
            # Next to the end the sum moves by less than its rounding: there a shrinking step says so.
            if not (np.sum(tried_misfit**2) <= np.sum(misfit**2) * (1.0 + _SUM_ROUNDING) and size < last):
                break
            values, misfit, last = tried, tried_misfit, size
            if size <= self.tolerance * float(np.linalg.norm(misfit)):
                break  # what such a step moves lies within the tolerance
        return values


def _tells_all_parameters(slopes: Floats) -> bool:
    """Say whether the residuals still answer to every parameter where a search ended."""
    scale = np.linalg.norm(slopes, axis=0)
    if not (np.isfinite(scale).all() and scale.all()):
        return False
    singular = np.linalg.svd(slopes / scale, compute_uv=False)
    return bool(singular[-1] > singular[0] * max(slopes.shape) * np.finfo(float).eps)
