"""What every kind of chart is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from resile.records.control.production import WatchedProperty
from resile.workflows.control.lots import Lot, on_scale


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRequest:
    """What every kind of chart is made from.

    Attributes
    ----------
    watched : WatchedProperty
        What is watched.
    lots : tuple of Lot
        In order of time.
    run_rules : tuple of str
        Names of the run rules that are on.
    parameters : mapping of str to float
        Settings by name.
    """

    watched: WatchedProperty
    lots: tuple[Lot, ...]
    run_rules: tuple[str, ...]
    parameters: Mapping[str, float]

    def centre(self, mean: float) -> float:
        """Give the centre line: the target where one is stated, else the mean of the set-up."""
        target = self.watched.target
        return mean if target is None else on_scale(target, self.watched, place="target")
