"""Two ways of judging one block set side by side: who stands how before and after, and which line decides."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.verdicts.deciding import CODES
from resile.judge.grades.grade_claim import full_grade_label
from resile.records.rejudging import NO_CLASS, NOT_ASKED, NOT_SETTLED, SATISFIED
from resile.records.specification import ServiceClass, Specification
from resile.records.verdict import Outcome
from resile.workflows.archive.block_verdicts import BlockJudge, GradeVerdicts, LineVerdicts, failed
from resile.workflows.archive.result_blocks import Codes, ResultBlock, Truths
from resile.workflows.judging.agreement import Yardstick

_CONDITIONAL_PASS, _NOT_TESTED = CODES[Outcome.CONDITIONAL_PASS], CODES[Outcome.NOT_TESTED]


@dataclass(frozen=True, slots=True)
class Side:
    """One way of judging, at one temperature or pair of temperatures.

    Attributes
    ----------
    specification : Specification
        Whose lines.
    grade : GradeVerdicts or None
        None where the document has no such temperature, or no sample was tested there.
    words : list of str
        Standings that there are: labels from mild to severe, then not settled, no class, not asked.
    standing : ndarray of int, shape (s,)
        Place in `words` of each sample.
    conditional_counts : bool
        Whether its rule lets a class rest on a conditional pass.
    """

    specification: Specification
    grade: GradeVerdicts | None
    words: list[str]
    standing: Codes
    conditional_counts: bool

    @property
    def class_words(self) -> list[str]:
        """Standings without temperatures, in the places of `words`."""
        return [*class_names(self.specification), *self.words[len(self.classes) :]]

    @property
    def classes(self) -> tuple[ServiceClass, ...]:
        """Classes from mild to severe."""
        return self.specification.classes

    def lines_of(self, service_class: str) -> list[LineVerdicts]:
        """Give the lines of a class; those of the mildest where there is no such class."""
        if self.grade is None:
            return []
        return self.grade.lines.get(service_class, self.grade.lines[self.classes[0].name])


@dataclass(frozen=True, slots=True)
class Pair:
    """Both ways of judging, at one temperature or pair of temperatures.

    Attributes
    ----------
    high_temperature_c : float
        Climatic high temperature [°C].
    low_temperature_c : float or None
        Low grade temperature [°C]; None for classes at the high temperature alone.
    before, after : Side
        The two.
    tested : ndarray of bool, shape (s,)
        Samples that either speaks of.
    """

    high_temperature_c: float
    low_temperature_c: float | None
    before: Side
    after: Side
    tested: Truths

    @property
    def same_classes(self) -> bool:
        """True where both documents name their classes alike."""
        return [one.name for one in self.before.classes] == [one.name for one in self.after.classes]

    def direction(self) -> NDArray[np.int8]:
        """Give -1 where a sample turns to the worse, 1 to the better, 0 where it stands as it stood.

        Returns
        -------
        ndarray of int8, shape (s,)
            Documents that name classes otherwise are compared by whether any class is satisfied. What one of
            them does not ask is no change.
        """
        before, after = (_strength(side, by_class=self.same_classes) for side in (self.before, self.after))
        both = self.tested & ~np.isnan(before) & ~np.isnan(after)
        return np.where(both, np.sign(np.nan_to_num(after) - np.nan_to_num(before)), 0).astype(np.int8)


def paired(block: ResultBlock, before: Yardstick, after: Yardstick) -> Iterator[Pair]:
    """Judge a block in two ways, temperature by temperature.

    Parameters
    ----------
    block : ResultBlock
        Results of whole samples.
    before, after : Yardstick
        The two ways.

    Yields
    ------
    Pair
        Coolest first; whole grades after the classes of their high temperature.
    """
    grades = [BlockJudge(block, yardstick).grades() for yardstick in (before, after)]
    held = [next(one, None) for one in grades]
    while any(one is not None for one in held):
        place = min(_place(one) for one in held if one is not None)
        here = [one if one is not None and _place(one) == place else None for one in held]
        found = next(one for one in here if one is not None)
        high, low = found.high_temperature_c, found.low_temperature_c
        sides = [
            side_of(yardstick, grade, len(block.samples), high, low)
            for yardstick, grade in zip((before, after), here, strict=True)
        ]
        tested = np.logical_or.reduce([one.tested for one in here if one is not None])
        yield Pair(high, low, sides[0], sides[1], tested)
        held = [
            next(going, None) if one is not None else kept
            for going, one, kept in zip(grades, here, held, strict=True)
        ]


def side_of(
    yardstick: Yardstick,
    grade: GradeVerdicts | None,
    samples: int,
    high_c: float,
    low_c: float | None,
) -> Side:
    """Say how each sample stands: the most severe class satisfied, or why there is none.

    Parameters
    ----------
    yardstick : Yardstick
        Holds the classes and how they are written.
    grade : GradeVerdicts or None
        Their verdicts.
    samples : int
        How many samples the block has.
    high_c, low_c : float, float or None
        The temperatures [°C].

    Returns
    -------
    Side
        With a standing a sample.
    """
    specification = yardstick.specification
    words = [_label(specification, one, high_c, low_c) for one in specification.classes]
    words += [NOT_SETTLED, NO_CLASS, NOT_ASKED]
    standing = np.full(samples, len(words) - 1, dtype=np.int64)
    if grade is not None:
        fails = np.zeros(samples, dtype=bool)
        for line in grade.lines[specification.classes[0].name]:
            fails |= failed(line)
        standing[grade.tested] = np.where(fails[grade.tested], len(words) - 2, len(words) - 3)
        for place, service in enumerate(specification.classes):
            standing[grade.satisfied[service.name]] = place
    return Side(specification, grade, words, standing, yardstick.decision_rule.conditional_pass_counts)


def class_names(specification: Specification) -> tuple[str, ...]:
    """Give the names of the classes of a document, from mild to severe."""
    return tuple(service.name or SATISFIED for service in specification.classes)


def deciding_lines(side: Side, service_class: str, samples: Truths) -> Codes:
    """Give the line that keeps each sample from a class.

    Parameters
    ----------
    side : Side
        Where the class is not reached.
    service_class : str
        Its name.
    samples : ndarray of bool, shape (s,)
        Samples in question.

    Returns
    -------
    ndarray of int, shape (s,)
        Place among the lines of the class: the first that fails, else the first conditional pass that does
        not count, else the first untested line without which there is no class; -1 where none does.
    """
    lines = side.lines_of(service_class)
    found = np.full(samples.shape, -1, dtype=np.int64)
    for place, line in enumerate(lines):
        found[samples & (found < 0) & failed(line)] = place
    if not side.conditional_counts:
        for place, line in enumerate(lines):
            found[samples & (found < 0) & (line.outcome == _CONDITIONAL_PASS)] = place
    for place, line in enumerate(lines):
        if line.requirement.decides_class:
            found[samples & (found < 0) & (line.outcome == _NOT_TESTED)] = place
    return found


def _place(grade: GradeVerdicts) -> tuple[float, bool, float]:
    low = grade.low_temperature_c
    return grade.high_temperature_c, low is not None, -low if low is not None else 0.0


def _label(specification: Specification, service: ServiceClass, high_c: float, low_c: float | None) -> str:
    if low_c is not None:
        return full_grade_label(specification, high_c, service, low_c)
    return specification.label.format(temperature=f"{high_c:g}", service_class=service.name)


def _strength(side: Side, *, by_class: bool) -> NDArray[np.float64]:
    """Order standings: no class, not settled, then the classes; not-a-number where nothing is asked."""
    classes = len(side.classes)
    ranks = [float(place + 1) if by_class else 1.0 for place in range(classes)]
    return np.array([*ranks, 0.0, -1.0, np.nan])[side.standing]
