"""What the forms of the laboratory pages offer, and how a chosen residue is taken."""

from __future__ import annotations

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.workflows.laboratory.comparisons.check_materials import CHECKED_QUANTITIES


def _offered(name: str) -> str:
    known = QUANTITIES[name]
    unit = f" [{known.unit}]" if known.unit else ""
    symbol = symbol_of(name)
    return f"{symbol}{unit}" if symbol == known.title else f"{symbol}, {known.title}{unit}"


QUANTITIES_OFFERED = tuple((name, _offered(name)) for name in CHECKED_QUANTITIES)
CONDITIONS = tuple((one.value, CONDITION_WORDS[one]) for one in Condition if one is not Condition.UNKNOWN)
EVERY_CONDITION = ((Condition.UNKNOWN.value, "every residue"), *CONDITIONS)


def condition_of(text: str) -> Condition:
    """Give the residue that was chosen; unknown for anything else."""
    return Condition(text) if text in {one.value for one in Condition} else Condition.UNKNOWN
