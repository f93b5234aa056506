"""What is declared about errors that results share."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ErrorCorrelation:
    """How the errors of one laboratory's results hang together.

    Attributes
    ----------
    name : str
        For example ``laboratory-bias``.
    text : str
        What it says, in one or two sentences.
    source : str
        What it rests on.
    between_temperatures : float or None
        Correlation of the errors of one property at two temperatures, 0 to 1; None where it follows from
        what the uncertainty rests on: the part common to a laboratory is shared, the rest is not.
    stiffness_and_slope : float
        Correlation of the errors of the critical temperatures of creep stiffness and m-value, -1 to 1.
    between_requirements : float or None
        Share of the variance of every error that one factor common to all requirements explains, 0 to 1;
        None where it is not stated, and then no probability of a whole grade is.
    directions : tuple of (str, float)
        Quantity, and which way the common factor moves it: 1 up, -1 down, 0 not at all.
    """

    name: str
    text: str
    source: str
    between_temperatures: float | None = None
    stiffness_and_slope: float = 0.0
    between_requirements: float | None = None
    directions: tuple[tuple[str, float], ...] = ()

    def direction_of(self, quantity: str) -> float:
        """Give which way the common factor moves a quantity; 0 where nothing is said of it."""
        return dict(self.directions).get(quantity, 0.0)
