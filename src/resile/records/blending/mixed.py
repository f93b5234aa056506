"""A property of a blend as a mixing rule gives it, with what the rule rests on."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MixedProperty:
    """What a mixing rule gives.

    Attributes
    ----------
    rule : str
        Name of the rule.
    values : tuple of float
        One for each recipe, in the unit of the glossary.
    worked_in : str
        Unit in which the rule took its logarithms.
    validity : str
        Where the rule holds.
    source, evidence : str
        Document, and the evidence mark.
    """

    rule: str
    values: tuple[float, ...]
    worked_in: str
    validity: str
    source: str
    evidence: str
