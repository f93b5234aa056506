"""Whether a change of level goes with who tested, on what, or with results under a doubt of their own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from resile.compute.statistics.control.origins import OriginShift, new_origin, shift_of_one_origin
from resile.records.control.chart import ChangePoint
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.workflows.control.lots import on_scale

ORIGINS = ("operator", "instrument")
_WINDOW = 30
"""Results on either side that are looked at even where another change lies nearer; own rule."""
_FEWEST = 3
_STAMPED_MORE = 0.5
"""Share of results under a doubt of their own that since a change is larger by so much; own rule."""

Results = Sequence[ProductionResult]


@dataclass(frozen=True, slots=True)
class MeasuredProperty:
    """A property with its results, for who tested and on what.

    Attributes
    ----------
    watched : WatchedProperty
        Property and scale.
    results : sequence of ProductionResult
        Of everybody; those left out with a reason are not among them.
    """

    watched: WatchedProperty
    results: Results


def who_tested(
    changes: Sequence[ChangePoint], measured: MeasuredProperty | None
) -> tuple[dict[str, str], ...]:
    """Say of each change what it goes with in the laboratory.

    Parameters
    ----------
    changes : sequence of ChangePoint
        Of one property, in order of time.
    measured : MeasuredProperty or None
        Its results; None where they are not known.

    Returns
    -------
    tuple of dict of str to str
        For each change words by ``operator``, ``instrument`` and ``check``; empty where it does not go with
        that, or nobody knows.

    Notes
    -----
    Results of one person that lie off pull the mean of neighbouring lots up and down as they come and go. A
    later change in which the others stay is therefore put down to the person as well.
    """
    if measured is None:
        return tuple({} for _ in changes)
    ordered = sorted(measured.results, key=lambda one: one.taken)
    seen: list[dict[str, str]] = [{} for _ in changes]
    for origin in ORIGINS:
        follower = _Follower(origin, measured.watched)
        for place, change in enumerate(changes):
            near = _between(changes, place, ordered)
            seen[place][origin] = follower.words(change, _windows(change, near, ordered), near)
    for place, change in enumerate(changes):
        seen[place]["check"] = _check_words(*_windows(change, _between(changes, place, ordered), ordered))
    return tuple(seen)


class _Follower:
    """Goes through the changes of a property with one kind of origin, and keeps whose results lie off."""

    def __init__(self, origin: str, watched: WatchedProperty) -> None:
        self.origin = origin
        self.watched = watched
        self.known: tuple[OriginShift, str] | None = None

    def words(
        self, change: ChangePoint, windows: tuple[Results, Results], near: tuple[Results, Results]
    ) -> str:
        """Say how a change goes with the origin; empty where it does not."""
        before, after = windows
        changed = new_origin(self._names(before), self._names(after))
        if changed is not None:
            self.known = None
            return f"{self.origin} {changed[0]} before, {changed[1]} since"
        shift = self._shift(near) or self._shift(windows)
        if shift is not None:
            self.known = shift, change.when
            own, others = (self._moved(one) for one in (shift.own, shift.others))
            return f"results of {self.origin} {shift.origin} moved by {own}, those of the others by {others}"
        if self.known is not None and self._others_stay(near):
            name, since = self.known[0].origin, self.known[1]
            return f"results of {self.origin} {name} lie off since {since}, the others stay"
        return ""

    def _shift(self, sides: tuple[Results, Results]) -> OriginShift | None:
        before, after = sides
        return shift_of_one_origin(
            self._values(before),
            self._values(after),
            before_of=self._names(before),
            after_of=self._names(after),
        )

    def _others_stay(self, near: tuple[Results, Results]) -> bool:
        assert self.known is not None
        shift = self.known[0]
        sides = [
            [
                value
                for value, name in zip(self._values(side), self._names(side), strict=True)
                if name != shift.origin
            ]
            for side in near
        ]
        if min(map(len, sides)) < _FEWEST:
            return True  # too few of the others to have moved the level
        old, new = (math.fsum(side) / len(side) for side in sides)
        return abs(new - old) < 0.5 * abs(shift.own)

    def _values(self, results: Results) -> list[float]:
        return [on_scale(one.value, self.watched) for one in results]

    def _names(self, results: Results) -> list[str]:
        return [str(getattr(one, self.origin)) for one in results]

    def _moved(self, shift: float) -> str:
        if self.watched.scale == "log":
            return f"{100.0 * (10.0**shift - 1.0):+.0f} %"
        return f"{shift:+.2g} {self.watched.unit}".rstrip()


def _between(changes: Sequence[ChangePoint], place: int, ordered: Results) -> tuple[Results, Results]:
    """Give the results before and after a change, up to its neighbours."""
    when = changes[place].when
    since = changes[place - 1].when if place else ""
    until = changes[place + 1].when if place + 1 < len(changes) else ""
    before = [one for one in ordered if since <= one.taken < when]
    after = [one for one in ordered if one.taken >= when and (not until or one.taken < until)]
    return before, after


def _windows(change: ChangePoint, near: tuple[Results, Results], ordered: Results) -> tuple[Results, Results]:
    """Give the results about a change, beyond its neighbours where these are near.

    A neighbouring change of the product moves the results of everybody, and not the difference between them.
    """
    before = [one for one in ordered if one.taken < change.when]
    after = [one for one in ordered if one.taken >= change.when]
    return before[-max(len(near[0]), _WINDOW) :], after[: max(len(near[1]), _WINDOW)]


def _check_words(before: Results, after: Results) -> str:
    """Say that results since the change stand under a doubt that those before did not have."""
    if not before or not after:
        return ""
    stamped = [one.stamp for one in after if one.stamp]
    earlier = sum(bool(one.stamp) for one in before) / len(before)
    if len(stamped) / len(after) - earlier < _STAMPED_MORE:
        return ""
    return f"{len(stamped)} of {len(after)} results since then: {stamped[0]}"
