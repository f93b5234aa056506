"""How far a watched property stays within its limit, and where the plant had better aim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import ResileError
from resile.records.control.capability import CapabilityStatement
from resile.records.control.production import WatchedProperty
from resile.records.control.target import TargetStatement
from resile.records.determination import Condition
from resile.records.register import Kept, OwnPrecision
from resile.report.paper.models.model import Page
from resile.storage.reading import Reading
from resile.workflows.control.answers import ControlAnswer
from resile.workflows.control.capability import capability
from resile.workflows.control.scatter import scatter_on_scale
from resile.workflows.control.target import target_to_aim_at
from resile.workflows.laboratory.control.produced import watched_property
from resile.workflows.laboratory.control.remembered import remembered
from resile.workflows.laboratory.control.shown import SeenChart

SHARE = 0.95
"""Share of loads that is to conform and to pass, unless another is asked for."""


@dataclass(frozen=True, slots=True)
class SeenMargin:
    """Capability and target of a watched property.

    Attributes
    ----------
    capability : CapabilityStatement or None
        None where there is no limit, or too few lots.
    target : TargetStatement or None
        None where the scatter of the test is not known, or leaves nothing for the plant.
    test_scatter : str
        Where the scatter of the test comes from, in words; empty where it is not known.
    refusal : str
        Why there is none.
    """

    capability: CapabilityStatement | None
    target: TargetStatement | None
    test_scatter: str = ""
    refusal: str = ""

    @property
    def pages(self) -> dict[str, Page]:
        """Give capability and target on paper, where there are any."""
        found: dict[str, Page] = {}
        if self.capability:
            found["capability"] = ControlAnswer(self.capability).page(date="")
        if self.target:
            found["target"] = ControlAnswer(self.target).page(date="")
        return found


def margin_of(reading: Reading, seen: SeenChart, today: str, *, share: float = SHARE) -> SeenMargin:
    """Say how far a watched property stays within its limit.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction: the laboratory's own precision is looked up there.
    seen : SeenChart
        The chart; results left out of its set-up are left out here.
    today : str
        Day, ISO 8601.
    share : float
        Of loads that are to conform and to pass.
    """
    held = seen.kept.value
    watched = watched_property(held, seen.product)
    if watched.limit is None:
        return SeenMargin(None, None, refusal="no limit is watched")
    own = reading.find(OwnPrecision, quantity=held.quantity)
    in_force = tuple(one for one in own if _in_force(one.value, watched, today))
    key = ("margin", watched, held, seen.results.results, share, tuple(in_force))
    return remembered(key, lambda: _margin(seen, watched, in_force, share))


def _margin(
    seen: SeenChart, watched: WatchedProperty, own: Sequence[Kept[OwnPrecision]], share: float
) -> SeenMargin:
    held = seen.kept.value
    present = {one.key for one in seen.results.results}
    excluded = {one.result: one.reason for one in held.excluded if one.result in present}
    standard, words = _test_scatter([one.value for one in own], watched)
    try:
        stated = capability(seen.results.results, watched, test_standard=standard, excluded=excluded)
    except ResileError as error:
        return SeenMargin(None, None, words, str(error))
    if standard is None or not stated.plant_deviation:
        return SeenMargin(stated, None, words)
    try:
        target = target_to_aim_at(
            watched, plant_deviation=stated.plant_deviation, test_standard=standard, share=share
        )
    except ResileError as error:
        return SeenMargin(stated, None, words, str(error))
    return SeenMargin(stated, target, words)


def _test_scatter(own: Sequence[OwnPrecision], watched: WatchedProperty) -> tuple[float | None, str]:
    """Take the laboratory's own scatter where one is in force, else the published repeatability."""
    try:
        if own:
            found = own[-1]
            given = f"{100.0 * found.intermediate!r}%" if found.relative else repr(found.intermediate)
            standard, _ = scatter_on_scale(given, watched, what="test")
            return standard, f"the laboratory's own scatter, found until {found.until}"
        standard, words = scatter_on_scale("repeatability", watched, what="test")
        return standard, words
    except ResileError as error:
        return None, str(error)


def _in_force(own: OwnPrecision, watched: WatchedProperty, today: str) -> bool:
    dated = own.until < today and (not own.valid_until or today[:10] <= own.valid_until)
    return dated and own.intermediate > 0.0 and own.condition in (watched.condition, Condition.UNKNOWN)
