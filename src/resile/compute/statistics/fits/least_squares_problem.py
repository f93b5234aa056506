"""A problem of least squares and its search: residuals, derivatives, bounds, the way down from a start."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Model = Callable[[Floats], Floats]
Answer = TypeVar("Answer")

MOST_EVALUATIONS = 4000
_ON_BOUND = 1e-7  # share of the span (or of the size) within which a parameter sits on its bound
_IMPOSSIBLE = 1e100  # stands for a residual that cannot be computed: any step there is refused
_BEFORE_POLISH = 1e-10  # tolerance of a search whose end is polished
_AT_REST = 1e-6  # cosine between residuals and a column of their derivatives at the end of a search
_POLISHING = 12
_STEP_OF_NOTHING = 1e-10  # share of the residuals that a step moves; the next one would move far less
_SUM_ROUNDING = 1e-12


class LastAnswer(Generic[Answer]):
    """A function of the parameters that keeps its last answer.

    A search asks twice at each place, for the misfit and for its derivatives; both come of one working.

    Parameters
    ----------
    function : callable
        Parameters, shape (p,), to anything that is not changed afterwards.
    """

    def __init__(self, function: Callable[[Floats], Answer]) -> None:
        self._function = function
        self._last: tuple[bytes, Answer] | None = None

    def __call__(self, values: Floats) -> Answer:
        """Give the answer at these parameters."""
        key = values.tobytes()
        if self._last is None or self._last[0] != key:
            self._last = key, self._function(values)
        return self._last[1]


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
    most_evaluations : int
        Places at which a search asks the model, at most.
    """

    residuals: Model
    jacobian: Model | None
    lower: Floats
    upper: Floats
    tolerance: float = 1e-15
    most_evaluations: int = MOST_EVALUATIONS

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
            "max_nfev": self.most_evaluations,
        }
        if self.bounded:
            inside = self._free_search(start)
            if inside is not None:
                return inside, True
            bounds = (self.lower, self.upper)
            found = least_squares(self.misfit, start, method="trf", bounds=bounds, **settings)
            return found.x, found.status > 0
        found = least_squares(self.misfit, start, method="lm", **settings)
        if found.status <= 0 or not _tells_all_parameters(self.slopes(found.x)):
            other = least_squares(self.misfit, start, method="trf", **settings)
            found = other if other.cost < found.cost else found
        return found.x, found.status > 0

    def _free_search(self, start: Floats) -> Floats | None:
        """Search as without bounds, no step over one taken; None where that does not end at rest inside."""
        from scipy.optimize import leastsq

        wall = np.full(np.shape(self.residuals(start)), _IMPOSSIBLE)

        def walled(values: Floats) -> Floats:
            return wall if np.any((values < self.lower) | (values > self.upper)) else self.misfit(values)

        rough = max(self.tolerance, _BEFORE_POLISH)
        values, _, found, _, status = leastsq(
            walled,
            start,
            Dfun=self.slopes,
            full_output=True,
            ftol=rough,
            xtol=rough,
            maxfev=self.most_evaluations,
        )
        if status not in {1, 2, 3} or np.any((values <= self.lower) | (values >= self.upper)):
            return None
        # A wall also ends a search that leans on it: there a column of the derivatives still points downhill.
        slopes, misfit = self.slopes(values), found["fvec"]
        size = np.linalg.norm(slopes, axis=0) * np.linalg.norm(misfit)
        if np.any(np.abs(slopes.T @ misfit) > _AT_REST * size) or self.held(values).any():
            return None
        return np.asarray(values)

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
            if size <= max(self.tolerance, _STEP_OF_NOTHING) * float(np.linalg.norm(misfit)):
                break  # what the next step would move lies within the tolerance
        return values


def _tells_all_parameters(slopes: Floats) -> bool:
    """Say whether the residuals still answer to every parameter where a search ended."""
    scale = np.linalg.norm(slopes, axis=0)
    if not (np.isfinite(scale).all() and scale.all()):
        return False
    singular = np.linalg.svd(slopes / scale, compute_uv=False)
    return bool(singular[-1] > singular[0] * max(slopes.shape) * np.finfo(float).eps)
