"""What two ways of judging an archive differ in, counted block by block."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.verdicts.deciding import CODES
from resile.judge.grades.selection import belongs_to_whole_grade
from resile.records.rejudging import LineChange, ReasonCount, SampleChange, StandingCount, YearCount
from resile.records.verdict import Outcome
from resile.workflows.archive.block_verdicts import FAILED, LineVerdicts, among
from resile.workflows.archive.rejudged_reasons import Why, changes_of, reasons_of, within_uncertainty
from resile.workflows.archive.result_blocks import Codes, ResultBlock, Truths
from resile.workflows.archive.standings import Pair, Side, deciding_lines

Standing = tuple[str, str, str, str]
"""Labels before and after, and the same without temperatures."""
Sink = Callable[[Sequence[SampleChange]], None]
"""Is given every change, block by block."""

_NOT_TESTED = CODES[Outcome.NOT_TESTED]
_CONDITIONAL = among(Outcome.CONDITIONAL_PASS, Outcome.CONDITIONAL_FAIL)
_DIRECTIONS = {-1: "worse", 1: "better"}


@dataclass(slots=True)
class Counts:
    """Counts that grow block by block.

    Attributes
    ----------
    most : int
        Changes kept of each direction.
    sink : callable or None
        Is given every change.
    """

    most: int
    sink: Sink | None = None
    determinations: int = 0
    results: int = 0
    samples: int = 0
    standings: Counter[Standing] = field(default_factory=Counter)
    whole: Counter[Standing] = field(default_factory=Counter)
    lines: dict[tuple[str, str], list[int]] = field(default_factory=dict)
    about_lines: dict[tuple[str, str], tuple[str, str, float | None, float | None]] = field(
        default_factory=dict
    )
    reasons: dict[tuple[str, str, str], list[int]] = field(default_factory=dict)
    years: dict[tuple[str, str], Codes] = field(default_factory=dict)
    changes: dict[str, list[SampleChange]] = field(default_factory=lambda: {"worse": [], "better": []})
    directions: Counter[str] = field(default_factory=Counter)
    within: int = 0
    lots: set[str] = field(default_factory=set)
    lots_changed: dict[str, set[str]] = field(default_factory=lambda: {"worse": set(), "better": set()})

    def add(self, block: ResultBlock, pairs: Iterator[Pair]) -> None:
        """Count one block."""
        self.determinations += block.determinations
        self.results += block.value.size
        self.samples += len(block.samples)
        self.lots.update(lot for lot in block.lots if lot)
        for pair in pairs:
            _count_standings(self.whole if pair.low_temperature_c is not None else self.standings, pair)
            self._count_lines(pair)
            if pair.low_temperature_c is None:
                direction = pair.direction()
                self._count_years(block, pair, direction)
                for sign in _DIRECTIONS:
                    self._explain(block, pair, direction == sign, sign)

    def _count_lines(self, pair: Pair) -> None:
        """Count how the outcomes of each line move, for the classes that both documents have."""
        names = [one.name for one in pair.after.classes]
        shared = [one.name for one in pair.before.classes if one.name in names]
        for name in shared or [pair.after.classes[0].name]:
            before = {line.requirement.name: line for line in pair.before.lines_of(name)}
            after = {line.requirement.name: line for line in pair.after.lines_of(name)}
            for requirement in dict.fromkeys((*before, *after)):
                self._count_line(name, pair, before.get(requirement), after.get(requirement))

    def _count_line(
        self, name: str, pair: Pair, before: LineVerdicts | None, after: LineVerdicts | None
    ) -> None:
        there = after if after is not None else before
        assert there is not None
        if (pair.low_temperature_c is not None) != belongs_to_whole_grade(there.requirement):
            return  # a line of the class is counted with the class, not once more with each whole grade
        both = pair.tested if pair.before.grade and pair.after.grade else np.zeros_like(pair.tested)
        was, now = _outcomes(before, there), _outcomes(after, there)
        compared = both & ((was != _NOT_TESTED) | (now != _NOT_TESTED))
        known = compared & (was != _NOT_TESTED) & (now != _NOT_TESTED)
        bad_before, bad_after = FAILED[was], FAILED[now]
        worse, better = known & ~bad_before & bad_after, known & bad_before & ~bad_after
        turned = known & (bad_before == bad_after) & (_CONDITIONAL[was] != _CONDITIONAL[now])
        near = (worse | better | turned) & within_uncertainty(there)
        key = (name, there.requirement.name)
        counted = self.lines.setdefault(key, [0] * 5)
        for place, truths in enumerate((compared, worse, better, turned, near)):
            counted[place] += int(truths.sum())
        self.about_lines[key] = (
            there.requirement.title,
            there.requirement.unit,
            None if before is None else before.limit,
            None if after is None else after.limit,
        )

    def _count_years(self, block: ResultBlock, pair: Pair, direction: NDArray[np.int8]) -> None:
        places = np.flatnonzero(pair.tested)
        before, after = (_stands(side) for side in (pair.before, pair.after))
        keys = [(block.tested[place][:4], block.products[place]) for place in places.tolist()]
        numbers = {key: number for number, key in enumerate(dict.fromkeys(keys))}
        group = np.array([numbers[key] for key in keys], dtype=np.int64)
        truths = (np.ones(places.size), before[places], after[places])
        signs = (direction[places] < 0, direction[places] > 0)
        counted = [np.bincount(group, weights=one, minlength=len(numbers)) for one in (*truths, *signs)]
        for key, number in numbers.items():
            found = np.array([one[number] for one in counted]).astype(np.int64)
            self.years[key] = self.years.get(key, np.zeros(5, dtype=np.int64)) + found

    def _explain(self, block: ResultBlock, pair: Pair, changed: Truths, sign: int) -> None:
        """Find the line that decides each change, and say why."""
        direction = _DIRECTIONS[sign]
        self.directions[direction] += int(changed.sum())
        self.lots_changed[direction].update(
            block.lots[place] for place in np.flatnonzero(changed).tolist() if block.lots[place]
        )
        fails, holds = (pair.after, pair.before) if sign < 0 else (pair.before, pair.after)
        for place, service in enumerate(holds.classes):
            own = changed & (holds.standing == place)
            self._explain_class(block, pair, own, (fails, holds, service.name), direction)
        rest = changed & (holds.standing >= len(holds.classes))
        self._explain_class(block, pair, rest, (fails, holds, fails.classes[0].name), direction)

    def _explain_class(
        self, block: ResultBlock, pair: Pair, own: Truths, sides: tuple[Side, Side, str], direction: str
    ) -> None:
        if not own.any():
            return
        fails, holds, name = sides
        lines = fails.lines_of(name)
        held = {line.requirement.name: line for line in holds.lines_of(name)}
        deciding = deciding_lines(fails, name, own)
        for place in np.unique(deciding[own]).tolist():
            here = own & (deciding == place)
            line = lines[place] if place >= 0 else None
            for reason, part in reasons_of(line, held, here, holds.specification.identifier):
                self._keep(block, pair, part, (line, held, reason), direction)

    def _keep(
        self,
        block: ResultBlock,
        pair: Pair,
        part: Truths,
        why: Why,
        direction: str,
    ) -> None:
        line, held, reason = why
        near = int((part & within_uncertainty(line)).sum()) if line is not None else 0
        title = line.requirement.title if line is not None else ""
        counted = self.reasons.setdefault((direction, title, reason), [0, 0])
        counted[0] += int(part.sum())
        counted[1] += near
        self.within += near
        places = np.flatnonzero(part)
        room = self.most - len(self.changes[direction])
        if self.sink is None:
            places = places[: max(room, 0)]
        found = changes_of(block, pair, places, (line, held, reason), direction)
        self.changes[direction].extend(found[: max(room, 0)])
        if self.sink is not None:
            self.sink(found)

    def standing_counts(self, counted: Counter[Standing]) -> tuple[StandingCount, ...]:
        """Give a crosswise table, hottest and most severe last."""
        return tuple(StandingCount(*key, count) for key, count in counted.items())

    def line_changes(self) -> tuple[LineChange, ...]:
        """Give how the lines move, in the order of the document."""
        return tuple(
            LineChange(key[0], key[1], *self.about_lines[key], *counted)
            for key, counted in self.lines.items()
        )

    def reason_counts(self) -> tuple[ReasonCount, ...]:
        """Give the reasons, the most frequent first."""
        found = [ReasonCount(*key, *counted) for key, counted in self.reasons.items()]
        return tuple(
            sorted(found, key=lambda one: (one.direction != "worse", -one.count, one.title, one.reason))
        )

    def year_counts(self) -> tuple[YearCount, ...]:
        """Give what changes by year and product."""
        return tuple(
            YearCount(*key, *(int(one) for one in counted)) for key, counted in sorted(self.years.items())
        )


def _count_standings(counted: Counter[Standing], pair: Pair) -> None:
    width = len(pair.after.words)
    codes = pair.before.standing[pair.tested] * width + pair.after.standing[pair.tested]
    for code, count in zip(*np.unique(codes, return_counts=True), strict=True):
        was, now = int(code) // width, int(code) % width
        key = (pair.before.words[was], pair.after.words[now])
        counted[(*key, pair.before.class_words[was], pair.after.class_words[now])] += int(count)


def _outcomes(line: LineVerdicts | None, other: LineVerdicts) -> NDArray[np.int8]:
    """Give the outcomes of a line; one that does not stand in a document takes no grade there."""
    if line is not None:
        return line.outcome
    return np.where(other.outcome == _NOT_TESTED, _NOT_TESTED, CODES[Outcome.WAIVED]).astype(np.int8)


def _stands(side: Side) -> Truths:
    return np.asarray(side.standing < len(side.classes))
