"""Numbers worked out from the results of a sample, shown beside them and not judged."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True)
class DerivedNumber:
    """One number, or a range, that follows from results.

    Attributes
    ----------
    name : str
        ``penetration_index``, ``mixing_temperature`` or ``compaction_temperature``.
    title : str
        Words for a person.
    condition : Condition
        Residue that was tested.
    lowest, highest : float
        Ends of the range, in `unit`; equal for a single number.
    unit : str
        Empty for a bare number.
    rule : str
        From which results, and how.
    source : str
        Document of the rule, with its evidence.
    working : bool
        True for a temperature at which binder is handled: the caution for modified binder belongs beside it.
    """

    name: str
    title: str
    condition: Condition
    lowest: float
    highest: float
    unit: str
    rule: str
    source: str
    working: bool = False
