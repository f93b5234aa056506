"""What a change in several properties at once may mean."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSign:
    """One sign of a pattern.

    Attributes
    ----------
    quantities : tuple of str
        Names from the glossary; the sign is seen where one of them moved this way.
    moved : str
        ``up``, ``down``, ``changed`` (either way) or ``unchanged``.
    needed : bool
        Whether the pattern falls without it.
    """

    quantities: tuple[str, ...]
    moved: str
    needed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CausePattern:
    """A cause and the signs it leaves.

    Attributes
    ----------
    kind : str
        Short name of the cause.
    sentence : str
        What may have happened.
    change : str
        ``step``, ``drift`` or ``any``.
    tank : str
        ``new``, ``same`` or ``any``: whether the tank changed with the first lot.
    goes_with : str
        ``operator``, ``instrument`` or ``check`` where the change must go with one of these, a cause in the
        laboratory; ``back`` where the level must be back where it was; ``any`` otherwise.
    signs : tuple of PatternSign
        What is to be seen.
    test_to_confirm : str
        What to test or look up.
    source, evidence : str
        Where the pattern comes from, and its evidence mark.
    """

    kind: str
    sentence: str
    change: str
    tank: str
    goes_with: str
    signs: tuple[PatternSign, ...]
    test_to_confirm: str
    source: str
    evidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenMove:
    """How one property moved about a day, as it was seen.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    moved : str
        ``up``, ``down`` or ``unchanged``.
    text : str
        The same in words, for a person.
    """

    quantity: str
    moved: str
    text: str
