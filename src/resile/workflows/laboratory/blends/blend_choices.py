"""What the forms of a blend book offer."""

from __future__ import annotations

from dataclasses import dataclass

from resile.readers.word_lists import load_words
from resile.records.blending.problem import OBJECTIVES
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES, WORD_QUANTITIES
from resile.records.register import Actor, SiteRecord
from resile.report.words import CONDITION_WORDS
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.offer.sites_seen import site_choices

Choices = tuple[tuple[str, str], ...]
OBJECTIVE_WORDS = {
    "cost": "the least cost",
    "margin": "the largest distance to every limit",
    "fewest components": "the fewest components",
    "smallest change": "the smallest change from the recipe of today",
}


@dataclass(frozen=True, slots=True)
class BlendChoices:
    """Values and words of the lists in a form.

    Attributes
    ----------
    kinds, objectives, quantities, conditions, specifications : tuple of (str, str)
        Value and words.
    roads : tuple of (str, str)
        Key, and name with the grade needed.
    """

    kinds: Choices
    objectives: Choices
    quantities: Choices
    conditions: Choices
    specifications: Choices
    roads: Choices


def blend_choices(record: LaboratoryRecord, actor: Actor) -> BlendChoices:
    """Give what the form of a blend book offers.

    Parameters
    ----------
    record, actor
        The record, and who types.

    Raises
    ------
    PermissionRefusedError
        Where the person may keep none.
    """
    require(actor, "offer.write")
    with record.reading() as reading:
        roads = reading.find(SiteRecord, order="name")
    kinds = load_words("resile.readers.blends", "words.toml")["kind"]
    return BlendChoices(
        kinds=tuple((name, name.replace("_", " ")) for name in kinds),
        objectives=tuple((name, OBJECTIVE_WORDS[name]) for name in OBJECTIVES),
        quantities=tuple(sorted(_quantities(), key=lambda one: one[1].casefold())),
        conditions=tuple(
            (one.value, CONDITION_WORDS[one]) for one in Condition if one is not Condition.UNKNOWN
        ),
        specifications=tuple(site_choices()[0]),
        roads=tuple((one.key, f"{one.value.name}, {one.value.grade}") for one in roads if one.value.grade),
    )


def _quantities() -> list[tuple[str, str]]:
    names = (name for name in RESULT_QUANTITIES if name not in WORD_QUANTITIES)
    return [(name, f"{QUANTITIES[name].title} ({QUANTITIES[name].unit or 'ratio'})") for name in names]
