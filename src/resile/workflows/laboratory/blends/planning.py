"""A season planned from a kept blend book: which recipes to keep, and which grade is drawn from which."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any

from resile.errors import InputError
from resile.records.blending.portfolio import GradeDemand, Portfolio
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.blending.planning.portfolio import plan_portfolio
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none
from resile.workflows.laboratory.blends.designing import mark_of_work
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of

MOST_DEMANDS = 20


@dataclass(frozen=True, slots=True)
class SeasonQuestion:
    """What a season asks for, as typed.

    Attributes
    ----------
    demands : str
        One grade a line with its tonnes: ``PG 64H-22  1200``.
    tanks : str
        Tanks that there are; empty for as many as are wanted.
    keeping_cost, change_cost : str
        Cost of keeping one recipe over the season, and of one change of a tank.
    """

    demands: str = ""
    tanks: str = ""
    keeping_cost: str = ""
    change_cost: str = ""


def plan_season(record: LaboratoryRecord, actor: Actor, key: str, question: SeasonQuestion) -> Portfolio:
    """Plan which recipes of a book to keep for a season.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the book.
    question : SeasonQuestion
        Grades with their tonnes, and what tanks cost.

    Returns
    -------
    Portfolio
        Tanks, the grades each qualifies for, and what it costs.

    Raises
    ------
    ResileError
        Where the person may not, a line cannot be read, or a price is missing.
    """
    kept = blend_of(record, actor, key)
    tanks = hand_number_or_none(question.tanks, "tanks")
    with from_outside():
        return plan_portfolio(
            kept.book,
            read_demands(question.demands),
            tanks=None if tanks is None else round(tanks),
            keeping_cost=hand_number_or_none(question.keeping_cost, "cost of keeping a recipe") or 0.0,
            change_cost=hand_number_or_none(question.change_cost, "cost of a change of a tank") or 0.0,
        )


def read_demands(text: str) -> tuple[GradeDemand, ...]:
    """Read grades and tonnes, one pair a line.

    Parameters
    ----------
    text : str
        As typed: the last word of a line is the tonnes.

    Raises
    ------
    InputError
        Where a line holds no number, or there are none or too many.
    """
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        words = line.replace(";", " ").replace("\t", " ").removesuffix(" t").split()
        if not words:
            continue
        if len(words) < 2:
            raise InputError(
                f"line {number}: '{line.strip()}'; needed is a grade and its tonnes, PG 64H-22 1200"
            )
        amount = hand_number(words[-1], f"line {number}, tonnes of {' '.join(words[:-1])}")
        found.append(GradeDemand(" ".join(words[:-1]).rstrip(","), amount))
    if not 1 <= len(found) <= MOST_DEMANDS:
        raise InputError(
            f"type 1 to {MOST_DEMANDS} grades with their tonnes, one a line; there are {len(found)}"
        )
    return tuple(found)


def mark_of_season(kept: KeptBlend, question: SeasonQuestion) -> str:
    """Give what tells one plan from another: the book, the version of the program, and the question."""
    told = json.dumps([mark_of_work(kept.kept.value), asdict(question)])
    return hashlib.sha256(told.encode()).hexdigest()


def season_as_bytes(plan: Portfolio) -> bytes:
    """Write a plan down, so that it need not be worked out again."""
    return json.dumps(_plans().dump_python(plan, mode="json")).encode()


def season_of_bytes(content: bytes) -> Portfolio | None:
    """Read what was written down by `season_as_bytes`; None where it cannot be read."""
    try:
        found: Portfolio = _plans().validate_python(json.loads(content))
    except ValueError:
        return None  # another state of the program wrote it
    return found


@cache
def _plans() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(Portfolio)
