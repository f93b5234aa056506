"""One property of a blend, and the limit it has to keep."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True)
class Response:
    """A property of a blend that trial blends are tested for.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue it is tested on.
    temperature_c : float or None
        Test temperature [°C]; None where the property has none.
    """

    quantity: str
    condition: Condition
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class BlendLimit:
    """A limit that a recipe must keep.

    Attributes
    ----------
    response : Response
        What is limited.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    value : float
        The limit, in the unit of the glossary.
    title : str
        Words for a person.
    clause : str
        Document, table and row; ``"own limit"`` where the book states it.
    end : str
        ``"high"``, ``"intermediate"``, ``"low"`` or ``"any"``: the part of the grade it belongs to.
    absolute : bool
        Compare the absolute value (mass change).
    note : str
        What must be known beside it: a waiver that depends on another result, a footnote.
    asked : float or None
        What is asked for, where `value` was raised for hot storage; None where it is `value`.
    """

    response: Response
    bound: str
    value: float
    title: str = ""
    clause: str = ""
    end: str = "any"
    absolute: bool = False
    note: str = ""
    asked: float | None = None
