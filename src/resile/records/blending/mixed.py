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


@dataclass(frozen=True, slots=True)
class RuleAnswer:
    """A property of one blend by one rule.

    Attributes
    ----------
    quantity, unit : str
        What was mixed, and its unit.
    title : str
        The rule in words.
    percent : tuple of float
        Shares of the components by mass [%].
    values : tuple of float
        Property of each component.
    mixed : MixedProperty
        The answer, with validity and source.
    """

    quantity: str
    unit: str
    title: str
    percent: tuple[float, ...]
    values: tuple[float, ...]
    mixed: MixedProperty
