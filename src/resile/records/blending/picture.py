"""What a ternary picture of a blend shows: probabilities on a lattice, limits as lines, blends as marks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from resile.records.blending.limit import BlendLimit

Shares = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class TernaryMark:
    """A blend in the picture.

    Attributes
    ----------
    kind : str
        ``"trial"``, ``"recipe"``, ``"alternative"``, ``"today"`` or ``"next"``.
    label : str
        Its name.
    percent : tuple of float
        Shares of the three components [%].
    """

    kind: str
    label: str
    percent: Shares


@dataclass(frozen=True, slots=True)
class TernaryContour:
    """Where the expected value of a property meets a limit.

    Attributes
    ----------
    limit : BlendLimit
        The limit.
    lines : tuple of tuple of (float, float, float)
        Points of each line, as shares of the three components [%].
    """

    limit: BlendLimit
    lines: tuple[tuple[Shares, ...], ...]


@dataclass(frozen=True, slots=True)
class TernaryPicture:
    """Three components, the others held.

    Attributes
    ----------
    corners : tuple of str
        Names of the components: top, left, right.
    floor_percent : tuple of float
        Smallest share of each that is drawn [%].
    span_percent : float
        Size of the triangle: each share runs from its floor to floor + span [%].
    divisions : int
        Steps of the lattice from corner to corner.
    probability : tuple of float
        Probability of the whole grade at each point of the lattice.
    allowed : tuple of bool
        Whether the point lies within dosage bounds and among the trials.
    contours : tuple of TernaryContour
        Limits that are met somewhere in the triangle.
    marks : tuple of TernaryMark
        Trials and recipes.
    held_percent : mapping of str to float
        Shares of the other components, which are held [%].
    required_probability : float
        Probability asked for.
    """

    corners: tuple[str, str, str]
    floor_percent: Shares
    span_percent: float
    divisions: int
    probability: tuple[float, ...]
    allowed: tuple[bool, ...]
    contours: tuple[TernaryContour, ...] = ()
    marks: tuple[TernaryMark, ...] = ()
    held_percent: Mapping[str, float] = field(default_factory=dict)
    required_probability: float = 0.95
