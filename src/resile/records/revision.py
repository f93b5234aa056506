"""A report that replaces another: which one, why, and what changed between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from resile.records.reading import HeldFile, SourceFile

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True, slots=True)
class Replacement:
    """What an order says of the report that it replaces.

    Attributes
    ----------
    number : str
        Number of the replaced report; empty where the order says it in a sentence only.
    reason : str
        Why it is replaced.
    report : Path or HeldFile or None
        The JSON that was written with it; what changed is told only where it is named.
    """

    number: str
    reason: str
    report: Path | HeldFile | None = None

    @property
    def words(self) -> str:
        """Number and reason in one line."""
        return ": ".join(part for part in (self.number, self.reason) if part)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that a report states, small enough to be held against the same thing in another.

    Attributes
    ----------
    kind : str
        ``identity``, ``grade``, ``verdict``, ``result``, ``uncertainty``, ``determination``, ``continuous``,
        ``ageing``, ``finding``, ``rule``, ``specification``, ``file`` or ``software``.
    subject : str
        Of what: class and requirement, key of the order, name of a file.
    value : float or str or None
        What is stated.
    unit : str
        Unit of `value`.
    quantity : str
        Name from the glossary; empty where it is none.
    condition : str
        Residue; empty where there is none.
    temperature_c : float or None
        Test temperature [°C].
    """

    kind: str
    subject: str
    value: float | str | None
    unit: str = ""
    quantity: str = ""
    condition: str = ""
    temperature_c: float | None = None

    @property
    def key(self) -> tuple[str, str, str, str, float | None]:
        """What makes it the same thing in two reports."""
        return self.kind, self.subject, self.quantity, self.condition, self.temperature_c


@dataclass(frozen=True, slots=True)
class IssuedReport:
    """A report as its JSON states it.

    Attributes
    ----------
    number, date : str
        Number and date of issue.
    revision_number : int
        0 for a first issue.
    revision_of : str
        Number of the first issue; its own where it is that.
    entries : tuple of Entry
        What it states, in order; number, date and the reason of a revision are not among them.
    source : SourceFile or None
        The JSON file.
    """

    number: str
    date: str
    revision_number: int
    revision_of: str
    entries: tuple[Entry, ...]
    source: SourceFile | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that two reports state differently.

    Attributes
    ----------
    before, after : Entry or None
        None where only the other report states it.
    """

    before: Entry | None
    after: Entry | None

    @property
    def entry(self) -> Entry:
        """The one that is there: the newer, or else the older."""
        one = self.after or self.before
        assert one is not None  # one of them always is
        return one


@dataclass(frozen=True, slots=True)
class Revision:
    """How a report stands to the one that it replaces.

    Attributes
    ----------
    replaces : Replacement
        The replaced report, and why.
    number : int or None
        How often the first issue has been revised; None where the replaced report was not at hand.
    of : str
        Number of the first issue.
    replaced_date : str
        Date of issue of the replaced report; empty where not known.
    changes : tuple of Change
        What changed; empty also where nothing was compared.
    compared : bool
        True where the JSON of the replaced report was at hand.
    source : SourceFile or None
        That JSON.
    """

    replaces: Replacement
    number: int | None = None
    of: str = ""
    replaced_date: str = ""
    changes: tuple[Change, ...] = ()
    compared: bool = False
    source: SourceFile | None = None
