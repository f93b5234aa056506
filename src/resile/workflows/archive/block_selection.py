"""Which results of a block answer which line: residue, temperature, validity, and the waivers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from resile.compute.statistics.verdicts.comparing import limits_met
from resile.judge.grades.selection import asked_temperature, needs_low_temperature
from resile.judge.results.conditioning import aged_for_another_grade, other_hours
from resile.records.ageing import LongTermAgeingRecord
from resile.records.determination import Condition
from resile.records.specification import Requirement, ServiceClass, Specification
from resile.workflows.archive.result_blocks import CONDITIONS, QUANTITY_NAMES, Codes, ResultBlock, Truths

_SLACK_C = 1e-9


@dataclass(slots=True)
class BlockSelection:
    """What of a block a specification asks for."""

    block: ResultBlock
    specification: Specification
    _selected: dict[tuple[str, float | None], Codes] = field(default_factory=dict)
    _masks: dict[str, Truths] = field(default_factory=dict)
    _other: dict[tuple[float, float | None, str], bool] = field(default_factory=dict)

    def tested_steps(self) -> Iterator[tuple[float, Truths]]:
        """Give the high grade steps that were tested, and for which samples.

        Yields
        ------
        tuple of (float, ndarray of bool)
            Coolest first [°C]; a truth a sample.
        """
        asked = {r.quantity for r in self.specification.requirements if r.temperature == "high"}
        if not asked:  # nothing in the document depends on the climate
            every = {r.quantity for r in self.specification.requirements}
            tested = self._any_sample(self._of_quantities(every))
            yield from ((step, tested) for step in self.specification.high_temperatures_c if tested.any())
            return
        of_high = self._of_quantities(asked)
        for step in self.specification.high_temperatures_c:
            tested = self._any_sample(of_high & self._near(step))
            if tested.any():
                yield step, tested

    def tested_low(self, high: float, low: float) -> Truths:
        """Tell which samples were tested at the low or the intermediate end of a grade."""
        found = np.zeros(len(self.block.samples), dtype=bool)
        for requirement in self.specification.requirements:
            if needs_low_temperature(requirement):
                here = self._of_line(requirement) & self._near(asked_temperature(requirement, high, low))
                found |= self._any_sample(here)
        return found

    def select(self, requirement: Requirement, asked: float | None, high: float, *, whole: bool) -> Codes:
        """Give the result that answers a line of each sample: the residue asked for, else a stand-in.

        Parameters
        ----------
        requirement : Requirement
            The line.
        asked : float or None
            Temperature it asks for [°C].
        high : float
            Climatic high temperature [°C].
        whole : bool
            Whether a whole grade is judged: then the long-term ageing must be the one it asks for.

        Returns
        -------
        ndarray of int, shape (s,)
            Place in the block; -1 where there is none.
        """
        key = (requirement.name, asked)
        if key not in self._selected:
            chosen = np.full(len(self.block.samples), -1, dtype=np.int64)
            here = self._of_quantities({requirement.quantity}) & self.block.valid & self._near(asked)
            for condition in reversed((requirement.condition, *requirement.also_accepts)):
                places = np.flatnonzero(here & self._of_condition(condition))[::-1]
                chosen[self.block.sample[places]] = places  # the first of them is written last
            self._selected[key] = chosen
        otherwise = self._aged_otherwise(requirement, high, whole=whole)
        return np.where(otherwise, -1, self._selected[key]) if otherwise.any() else self._selected[key]

    def _aged_otherwise(self, requirement: Requirement, high: float, *, whole: bool) -> Truths:
        """Tell which samples were long-term aged otherwise than a line asks for, or nobody knows how."""
        samples = len(self.block.samples)
        if requirement.condition is not Condition.LONG_TERM_AGED:
            return np.zeros(samples, dtype=bool)
        unknown = other_hours(requirement, self.specification.ageing_tolerance_h, None)
        found = np.full(samples, bool(unknown))
        for record, places in self.block.aged if whole else ():
            found[places] = self._is_other(requirement, high, record)
        return found

    def _is_other(self, requirement: Requirement, high: float, record: LongTermAgeingRecord) -> bool:
        if other_hours(requirement, self.specification.ageing_tolerance_h, record):
            return True
        key = (high, record.temperature_c, record.method)
        if key not in self._other:
            self._other[key] = aged_for_another_grade(high, self.specification, record)
        return self._other[key]

    def waived(
        self, requirement: Requirement, limit: float, service: ServiceClass, high: float, low: float | None
    ) -> Truths:
        """Tell where a line is waived, as `resile.judge.grades.waivers.waiver_for` does."""
        waiver = requirement.waived_when
        classes, quantity = waiver.get("service_classes"), waiver.get("quantity")
        if isinstance(classes, list | tuple) and service.name in classes:
            return np.ones(len(self.block.samples), dtype=bool)
        if not isinstance(quantity, str):
            return np.zeros(len(self.block.samples), dtype=bool)
        at: float | None = high
        if needs_low_temperature(requirement):
            at = asked_temperature(requirement, high, low)
        residues = np.zeros(self.block.value.shape, dtype=bool)
        for condition in (requirement.condition, *requirement.also_accepts):
            residues |= self._of_condition(condition)
        here = residues & self.block.valid & self._near(at)
        other = here & self._of_quantities({quantity}) & self._within(waiver)
        waived = self._any_sample(other)
        up_to = waiver.get("own_up_to")
        if isinstance(up_to, int | float):
            waived &= self._own_within(requirement, here, limit, float(up_to))
        return waived

    def _within(self, waiver: Mapping[str, object]) -> Truths:
        below, at_least = waiver.get("below"), waiver.get("at_least")
        found = np.zeros(self.block.value.shape, dtype=bool)
        if isinstance(below, int | float):
            found |= self.block.value < below
        if isinstance(at_least, int | float):
            found |= limits_met(self.block.value, float(at_least), bound="minimum")
        return found

    def _own_within(self, requirement: Requirement, here: Truths, limit: float, up_to: float) -> Truths:
        """Tell where the property itself misses its limit, but not the number up to which it may."""
        places = np.flatnonzero(here & self._of_quantities({requirement.quantity}))[::-1]
        first = np.full(len(self.block.samples), -1, dtype=np.int64)
        first[self.block.sample[places]] = places
        value = np.where(first >= 0, self.block.value[first], np.nan)
        found = ~limits_met(value, limit, bound=requirement.bound)
        return np.asarray((first >= 0) & found & limits_met(value, up_to, bound=requirement.bound))

    def _of_line(self, requirement: Requirement) -> Truths:
        found = np.zeros(self.block.value.shape, dtype=bool)
        for condition in (requirement.condition, *requirement.also_accepts):
            found |= self._of_condition(condition)
        return found & self._of_quantities({requirement.quantity})

    def _of_quantities(self, names: set[str]) -> Truths:
        found = [self._of_quantity(name) for name in sorted(names)]
        return found[0] if len(found) == 1 else np.asarray(np.logical_or.reduce(found))

    def _of_quantity(self, name: str) -> Truths:
        if name not in self._masks:
            self._masks[name] = np.asarray(self.block.quantity == QUANTITY_NAMES.index(name))
        return self._masks[name]

    def _of_condition(self, condition: Condition) -> Truths:
        if condition not in self._masks:
            self._masks[condition] = np.asarray(self.block.condition == CONDITIONS.index(condition))
        return self._masks[condition]

    def _near(self, asked: float | None) -> Truths:
        if asked is None:
            return np.ones(self.block.value.shape, dtype=bool)
        tolerance = self.specification.temperature_tolerance_c + _SLACK_C
        return np.asarray(np.abs(self.block.temperature_c - asked) <= tolerance)

    def _any_sample(self, results: Truths) -> Truths:
        found = np.zeros(len(self.block.samples), dtype=bool)
        found[self.block.sample[results]] = True
        return found
