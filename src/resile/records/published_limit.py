"""Limits that published sources print, and how a result stands to them: information, not a verdict."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PublishedLimit:
    """One printed limit.

    Attributes
    ----------
    quantity, unit : str
        Name from the glossary, and its unit.
    bound : str
        ``"minimum"`` or ``"maximum"``.
    limit : float
        The number, in `unit`.
    ageing_h : float or None
        Hours of pressure ageing that it belongs to [h]; None where the source does not say.
    source, evidence, note : str
        Who printed it; evidence mark; remark in words.
    hours_tolerance_h : float
        Hours within this of `ageing_h` are the same ageing [h].
    """

    quantity: str
    unit: str
    bound: str
    limit: float
    ageing_h: float | None
    source: str
    evidence: str
    note: str = ""
    hours_tolerance_h: float = 0.0


@dataclass(frozen=True, slots=True)
class LimitStanding:
    """How one result stands to one published limit.

    Attributes
    ----------
    published : PublishedLimit
        The limit.
    met : bool or None
        None where the two cannot be compared.
    reason : str
        Why they cannot; empty where they can.
    """

    published: PublishedLimit
    met: bool | None
    reason: str = ""
