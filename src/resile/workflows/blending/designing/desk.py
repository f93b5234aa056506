"""A frame made ready for recipes: windows of the limits, region, and the value of a batch in its unit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.conformity import Conformity, conformity_of
from resile.compute.blending.design.kept_windows import KeptWindow, kept_windows
from resile.compute.blending.design.region import RecipeRegion, region_of
from resile.compute.statistics.probability.student import student_quantile
from resile.records.blending.problem import BlendProblem
from resile.workflows.blending.designing.framing import Frame

Floats = NDArray[np.float64]

COVERED = 0.95
"""Probability of the interval shown for the value of a batch."""


@dataclass(frozen=True, slots=True)
class RecipeDesk:
    """A frame with what every recipe of it needs.

    Attributes
    ----------
    frame : Frame
        Book, limits, surfaces, problem.
    windows : tuple of KeptWindow
        Limits by property.
    region : RecipeRegion or None
        Where recipes may lie.
    """

    frame: Frame
    windows: tuple[KeptWindow, ...]
    region: RecipeRegion | None

    @property
    def problem(self) -> BlendProblem:
        """What is asked."""
        return self.frame.problem

    def found(self, shares: Floats) -> Conformity:
        """Give how sure recipes are; shape (m, q)."""
        return conformity_of(self.windows, shares, acceptance_test=self.problem.acceptance_test)


def recipe_desk(frame: Frame) -> RecipeDesk:
    """Make a frame ready for recipes."""
    return RecipeDesk(
        frame, kept_windows(frame.problem.limits, frame.problem.surfaces), region_of(frame.problem)
    )


def batch_values(window: KeptWindow, found: Conformity, row: int) -> tuple[Floats, Floats, Floats]:
    """Give expected value and interval of a batch in the unit of the glossary."""
    half = student_quantile(0.5 + 0.5 * COVERED, float(found.degrees_of_freedom[row])) * found.standard[row]
    ends = found.mean[row], found.mean[row] - half, found.mean[row] + half
    if window.surface.scale == "logarithm":
        with np.errstate(over="ignore"):
            return np.exp(ends[0]), np.exp(ends[1]), np.exp(ends[2])
    return ends
