"""One number of a fitted model, with its interval."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ModelParameter:
    """A parameter of a model, or a number that follows from its parameters.

    Attributes
    ----------
    name : str
        Name of the parameter, as in the glossary.
    value : float
        Its value.
    unit : str
        Unit as written for a person; empty for a bare number.
    lower, upper : float or None
        Ends of its 95 % interval; None where it was not fitted or sits on a bound.
    fitted : bool
        False where it was given and not fitted.
    where : str
        What it belongs to, where there are several of one name.
    """

    name: str
    value: float
    unit: str = ""
    lower: float | None = None
    upper: float | None = None
    fitted: bool = True
    where: str = ""
