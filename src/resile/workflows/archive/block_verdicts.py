"""A block of samples under one specification and decision rule: every class and whole grade that was tested.

The tables of limits, temperatures and waivers are taken from the loaded `Specification`, line by line; what
the judge does to one sample (`resile.judge.grades`) is done here to all samples of a block that were tested
at a temperature.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.verdicts.comparing import limits_met, margins_to_limits, rounded_values
from resile.compute.statistics.verdicts.deciding import (
    CODES,
    OUTCOMES,
    KnownTo,
    conformity_probabilities,
    conformity_scores,
    outcomes_by_rule,
)
from resile.judge.grades.selection import (
    asked_temperature,
    belongs_to_whole_grade,
    limit_for,
)
from resile.judge.results.uncertainty import LOG_NORMAL_QUANTITIES
from resile.records.determination import Condition
from resile.records.specification import Requirement, ServiceClass
from resile.records.verdict import Outcome
from resile.workflows.archive.block_doubts import Doubt, doubts_of_block
from resile.workflows.archive.block_selection import BlockSelection
from resile.workflows.archive.result_blocks import Codes, Numbers, ResultBlock, Truths
from resile.workflows.judging.agreement import Yardstick


def among(*outcomes: Outcome) -> Truths:
    """Give a table by code of the outcome: whether it is one of these."""
    return np.array([one in outcomes for one in OUTCOMES])


_GOOD = among(Outcome.PASS, Outcome.WAIVED)
_GOOD_CONDITIONALLY = among(Outcome.PASS, Outcome.WAIVED, Outcome.CONDITIONAL_PASS)
FAILED = among(Outcome.FAIL, Outcome.CONDITIONAL_FAIL)
"""By code of the outcome: whether it takes the grade."""


@dataclass(frozen=True, slots=True)
class LineVerdicts:
    """One line of a class, for every sample of the block.

    Attributes
    ----------
    requirement : Requirement
        The line.
    limit : float
        That of the class.
    asked_c : float or None
        Temperature the line asks for [°C].
    result : ndarray of int, shape (s,)
        Place of the result in the block; -1 where there is none.
    outcome : ndarray of int8, shape (s,)
        Places in `resile.compute.statistics.verdicts.deciding.OUTCOMES`.
    value, margin, standard, score, probability : ndarray of float, shape (s,)
        As compared; the score is the distance to the limit in standard uncertainties; not-a-number where
        nothing was compared or no uncertainty is stated.
    """

    requirement: Requirement
    limit: float
    asked_c: float | None
    result: Codes
    outcome: NDArray[np.int8]
    value: Numbers
    margin: Numbers
    standard: Numbers
    score: Numbers
    probability: Numbers


@dataclass(frozen=True, slots=True)
class GradeVerdicts:
    """One tested temperature, or pair of temperatures, for every sample of the block.

    Attributes
    ----------
    high_temperature_c : float
        Climatic high temperature [°C].
    low_temperature_c : float or None
        Low grade temperature [°C]; None for the class at the high temperature alone.
    tested : ndarray of bool, shape (s,)
        Samples that the data speak to.
    lines : dict of str to list of LineVerdicts
        By class, in the order of the document.
    satisfied : dict of str to ndarray of bool, shape (s,)
        By class.
    """

    high_temperature_c: float
    low_temperature_c: float | None
    tested: Truths
    lines: dict[str, list[LineVerdicts]]
    satisfied: dict[str, Truths]


@dataclass(slots=True)
class BlockJudge:
    """Judges one block by one yardstick, and remembers what lines of several classes share."""

    block: ResultBlock
    yardstick: Yardstick
    _doubts: Doubt = field(init=False)
    _selection: BlockSelection = field(init=False)
    _compared: dict[tuple[str, float | None, float, bool], LineVerdicts] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._doubts = doubts_of_block(self.block, self.yardstick)
        self._selection = BlockSelection(self.block, self.yardstick.specification)

    def grades(self) -> Iterator[GradeVerdicts]:
        """Give every class at every tested temperature, then every whole grade the data speak to.

        Yields
        ------
        GradeVerdicts
            Coolest first; temperatures at which no sample was tested are left out.
        """
        specification = self.yardstick.specification
        of_class = [r for r in specification.requirements if not belongs_to_whole_grade(r)]
        for high, tested in self._selection.tested_steps():
            self._compared.clear()  # answers are shared at one high temperature; all would fill the memory
            yield self._grade(of_class, high, None, tested)
            for low in specification.low_temperatures_c.get(high, ()):
                both = tested & self._selection.tested_low(high, low)
                if both.any():
                    yield self._grade(list(specification.requirements), high, low, both)

    def _grade(
        self, requirements: list[Requirement], high: float, low: float | None, tested: Truths
    ) -> GradeVerdicts:
        lines: dict[str, list[LineVerdicts]] = {}
        satisfied: dict[str, Truths] = {}
        for service in self.yardstick.specification.classes:
            own = [self._line(r, limit, service, high, low) for r, limit in _limited(requirements, service)]
            lines[service.name] = own
            satisfied[service.name] = tested & (
                self._class_stands(own) if low is None else self._grade_stands(own)
            )
        return GradeVerdicts(high, low, tested, lines, satisfied)

    def _class_stands(self, lines: list[LineVerdicts]) -> Truths:
        """Tell where the deciding lines are good and nothing tested is not."""
        stands = np.full(len(self.block.samples), any(line.requirement.decides_class for line in lines))
        for line in lines:
            good = self._good(line)
            if not line.requirement.decides_class:
                good |= line.outcome == CODES[Outcome.NOT_TESTED]
            stands &= good
        return stands

    def _grade_stands(self, lines: list[LineVerdicts]) -> Truths:
        """Tell where every line is good: untested is never good for a whole grade."""
        stands = np.full(len(self.block.samples), bool(lines))
        for line in lines:
            stands &= self._good(line)
        return stands

    def _good(self, line: LineVerdicts) -> Truths:
        counts = self.yardstick.decision_rule.conditional_pass_counts
        return np.asarray((_GOOD_CONDITIONALLY if counts else _GOOD)[line.outcome])

    def _line(
        self, requirement: Requirement, limit: float, service: ServiceClass, high: float, low: float | None
    ) -> LineVerdicts:
        asked = asked_temperature(requirement, high, low)
        compared = self._compare(requirement, limit, asked, high, whole=low is not None)
        waived = self._selection.waived(requirement, limit, service, high, low)
        if not waived.any():
            return compared
        nothing = np.where(waived, np.nan, 1.0)
        raw = np.where(compared.result >= 0, self.block.value[compared.result], np.nan)
        return LineVerdicts(
            requirement,
            limit,
            asked,
            compared.result,
            np.where(waived, CODES[Outcome.WAIVED], compared.outcome).astype(np.int8),
            np.where(waived, raw, compared.value),
            compared.margin * nothing,
            compared.standard,
            compared.score * nothing,
            compared.probability * nothing,
        )

    def _compare(
        self, requirement: Requirement, limit: float, asked: float | None, high: float, *, whole: bool
    ) -> LineVerdicts:
        """Compare the results that answer a line with a limit; classes of one limit share it."""
        # Whole grades and classes may ask for different ageing of the same line.
        aged = whole and bool(self.block.aged) and requirement.condition is Condition.LONG_TERM_AGED
        key = (requirement.name, asked, limit, aged)
        if key not in self._compared:
            chosen = self._selection.select(requirement, asked, high, whole=whole)
            self._compared[key] = self._compared_with(requirement, limit, asked, chosen)
        return self._compared[key]

    def _compared_with(
        self, requirement: Requirement, limit: float, asked: float | None, chosen: Codes
    ) -> LineVerdicts:
        rule, block = self.yardstick.decision_rule, self.block
        there = np.flatnonzero(chosen >= 0)
        result = chosen[there]
        raw = block.value[result]
        size = np.abs(raw) if requirement.absolute else raw
        compared = size
        if requirement.decimals is not None:
            compared = rounded_values(
                size, requirement.decimals, rounding=self.yardstick.specification.rounding
            )
        limits = np.full(size.shape, float(limit))
        met = limits_met(compared, limits, bound=requirement.bound)
        known = KnownTo(
            self._doubts[0][result], self._doubts[1][result], requirement.quantity in LOG_NORMAL_QUANTITIES
        )
        scores = conformity_scores(size, limits, known, bound=requirement.bound)
        outcome = outcomes_by_rule(
            met, scores, known.degrees_of_freedom, guard_factor=rule.guard_factor, states=rule.states
        )
        probability = conformity_probabilities(
            raw, limits, known, bound=requirement.bound, absolute=requirement.absolute
        )
        margin = margins_to_limits(compared, limits, bound=requirement.bound)
        whole = np.full(chosen.shape, CODES[Outcome.NOT_TESTED], dtype=np.int8)
        whole[there] = outcome
        spread = (
            self._spread(chosen, there, one)
            for one in (compared, margin, known.standard, scores, probability)
        )
        return LineVerdicts(requirement, limit, asked, chosen, whole, *spread)

    def _spread(self, chosen: Codes, there: Codes, found: Numbers) -> Numbers:
        whole = np.full(chosen.shape, np.nan)
        whole[there] = found
        return whole


def failed(line: LineVerdicts) -> Truths:
    """Tell where a line takes the grade."""
    return np.asarray(FAILED[line.outcome])


def _limited(requirements: list[Requirement], service: ServiceClass) -> Iterator[tuple[Requirement, float]]:
    """Give the lines that have a limit for a class."""
    for requirement in requirements:
        limit = limit_for(requirement, service.name)
        if limit is not None:
            yield requirement, limit
