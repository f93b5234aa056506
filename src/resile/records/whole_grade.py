"""How sure one can be that all requirements of a grade hold at once."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WholeGradeProbability:
    """Probability that every one of several true values satisfies its limit.

    Attributes
    ----------
    probability : float or None
        With the correlation that was stated; None where none was stated, or a requirement is `missing`.
    lowest, highest : float
        What it must lie between, whatever the correlation; with requirements `missing`, the bounds hold for
        the others alone.
    if_independent : float
        Product of the single probabilities: what it would be without any correlation.
    each : tuple of float
        Probability of each requirement on its own.
    weakest : int
        Place of the least probable requirement, counted from 0.
    basis : str
        ``"product"``, ``"common factor"``, ``"simulation"`` or ``"bounds only"``.
    standard_error : float or None
        Standard error of the simulation; None for an exact product or bounds.
    draws : int or None
        Draws of the simulation.
    missing : tuple of str
        Names of the requirements without a known uncertainty, or without a result: nothing here speaks of
        them, and there is no probability of the whole grade.
    probability_of_known : float or None
        With the correlation that was stated, of the requirements that are not `missing`.
    """

    probability: float | None
    lowest: float
    highest: float
    if_independent: float
    each: tuple[float, ...]
    weakest: int
    basis: str
    standard_error: float | None = None
    draws: int | None = None
    missing: tuple[str, ...] = ()
    probability_of_known: float | None = None

    @property
    def whole(self) -> bool:
        """Whether it speaks of every requirement of the grade."""
        return not self.missing
