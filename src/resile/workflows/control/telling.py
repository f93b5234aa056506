"""Run rules, and what charts promise, as they are shown to a person and to a machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.records.control.promise import RunLengthPromise
from resile.records.control.run_rule import RunRuleSet
from resile.workflows.control.promises import rule_sets_with_promises


@dataclass(frozen=True, slots=True)
class RulesTold:
    """The sets of run rules, each with what it promises.

    Attributes
    ----------
    sets : tuple of RunRuleSet
        In the order of their names.
    promises : tuple of RunLengthPromise
        One for each set, with all of it on.
    """

    sets: tuple[RunRuleSet, ...]
    promises: tuple[RunLengthPromise, ...]

    def to_terminal(self) -> Any:
        """Give a readable sheet."""
        from resile.report.terminal.control.chart import render_run_rules

        return render_run_rules(self.sets, self.promises)

    def to_json(self) -> list[dict[str, Any]]:
        """Give sets and promises for machines."""
        from resile.report.machine.control.chart import run_length_to_json, run_rules_to_json

        return [
            {**run_rules_to_json(rules), "run_length": run_length_to_json(promise)}
            for rules, promise in zip(self.sets, self.promises, strict=True)
        ]


@dataclass(frozen=True, slots=True)
class PromiseTold:
    """What one chart promises.

    Attributes
    ----------
    promise : RunLengthPromise
        Run lengths by shift.
    """

    promise: RunLengthPromise

    def to_terminal(self) -> Any:
        """Give a readable sheet."""
        from resile.report.terminal.control.chart import render_run_length

        return render_run_length(self.promise)

    def to_json(self) -> dict[str, Any]:
        """Give the run lengths for machines."""
        from resile.report.machine.control.chart import run_length_to_json

        return run_length_to_json(self.promise)


def run_rules_told() -> RulesTold:
    """List every set of run rules with what it promises."""
    sets, promises = rule_sets_with_promises()
    return RulesTold(tuple(sets), tuple(promises))
