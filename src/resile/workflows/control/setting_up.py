"""What every kind of chart is made from, and how its parts are put together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.control.chart_constants import chart_constants
from resile.compute.statistics.control.run_rules import rule_holds
from resile.compute.statistics.control.set_up import SetUpLevel, level_from_moving_ranges, moving_ranges
from resile.errors import InputError
from resile.judge.control.signals import signals_beyond, signals_of_rule
from resile.judge.wording import number_words
from resile.records.control.chart import SETTING_UP, ChartSignal, ControlChart, ControlPoint
from resile.records.control.production import WatchedProperty
from resile.records.control.run_rule import RunRule
from resile.records.quantity import QUANTITIES
from resile.specifications.control import chosen_rules, load_run_rules
from resile.workflows.control.lots import Lot, off_scale, on_scale

WIDTH = 3.0
_LIMIT_RULE = "beyond-limits"

Floats = NDArray[np.float64]


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
    within_lots : bool
        True where limits come from the scatter within lots.
    anew_after : frozenset of str
        Lots after which a chart that remembers begins anew.
    """

    watched: WatchedProperty
    lots: tuple[Lot, ...]
    run_rules: tuple[str, ...]
    parameters: Mapping[str, float]
    within_lots: bool = False
    anew_after: frozenset[str] = frozenset()

    @property
    def means(self) -> Floats:
        """Mean of each lot on the watched scale."""
        return np.array([lot.mean for lot in self.lots])

    @property
    def left_out(self) -> NDArray[np.bool_]:
        """Lots that are left out, anywhere on the chart."""
        return np.array([bool(lot.excluded) for lot in self.lots])

    @property
    def in_set_up(self) -> NDArray[np.bool_]:
        """Lots of the set-up, those left out among them."""
        return np.array([lot.phase == SETTING_UP for lot in self.lots])

    def centre(self, mean: float) -> float:
        """Give the centre line: the target where one is stated, else the mean of the set-up."""
        target = self.watched.target
        return mean if target is None else on_scale(target, self.watched, place="target")

    def level(self) -> SetUpLevel:
        """Give level and scatter of the means of lots, from the moving ranges of the set-up."""
        keep = self.in_set_up
        return level_from_moving_ranges(self.means[keep], left_out=self.left_out[keep])

    def shown(self, value: float, beside: float) -> str:
        """Give a value of the watched scale in the unit of the glossary, told apart from another one."""
        words = number_words(off_scale(value, self.watched), off_scale(beside, self.watched))
        return f"{words} {self.watched.unit}".rstrip()

    def centre_words(self) -> str:
        """Say what the centre line is."""
        mean = (
            "mean of the set-up" if self.watched.scale == "linear" else "mean of the logarithms of the set-up"
        )
        return mean if self.watched.target is None else "target"

    def setting(self, allowed: Mapping[str, float]) -> dict[str, float]:
        """Give the settings of a chart, those that were given before those that are usual.

        Raises
        ------
        InputError
            For a setting that this kind of chart does not have.
        """
        unknown = sorted(set(self.parameters) - set(allowed))
        if unknown:
            known = ", ".join(allowed) or "none"
            raise InputError(f"setting {unknown[0]!r} is not one of this chart; it has {known}")
        return {**allowed, **self.parameters}


def title_of(watched: WatchedProperty) -> str:
    """Give the title of a chart: the property in words, at its temperature."""
    quantity = QUANTITIES.get(watched.quantity)
    words = quantity.title if quantity is not None else watched.quantity
    return words if watched.temperature_c is None else f"{words}, {watched.temperature_c:g} °C"


def point_of(lot: Lot, plotted: float, lower: float, centre: float, upper: float) -> ControlPoint:
    """Make the point of a lot."""
    return ControlPoint(
        label=lot.label,
        when=lot.when,
        values=lot.values,
        plotted=float(plotted),
        lower=float(lower),
        centre=float(centre),
        upper=float(upper),
        phase=lot.phase,
        excluded=lot.excluded,
        keys=lot.keys,
    )


@lru_cache(maxsize=64)
def rules_on(names: tuple[str, ...]) -> tuple[RunRule, ...]:
    """Give the rules of a chart with limits: one point beyond them, and what was chosen besides.

    Raises
    ------
    RecordNotFoundError
        Where there is no such set or rule.
    """
    chosen = chosen_rules(names)
    limit = load_run_rules(_LIMIT_RULE).rules
    same = {(rule.kind, rule.count, rule.of, rule.distance) for rule in chosen}
    missing = [rule for rule in limit if (rule.kind, rule.count, rule.of, rule.distance) not in same]
    return (*missing, *chosen)


def signals_of_rules(
    points: Sequence[ControlPoint],
    scores: Floats,
    names: tuple[str, ...],
    shown: Callable[[float, float], str],
) -> tuple[ChartSignal, ...]:
    """Give the signals of all rules that are on; lots left out take no part.

    Parameters
    ----------
    points : sequence of ControlPoint
        All points.
    scores : ndarray of float, shape (n,)
        Distances from the centre line in standard deviations of what is plotted.
    names : tuple of str
        Rules that were chosen.
    shown : callable
        Gives a plotted value in words.

    Returns
    -------
    tuple of ChartSignal
        In order of the points, then of the rules.
    """
    places = [index for index, point in enumerate(points) if not point.excluded]
    found: list[ChartSignal] = []
    for rule in rules_on(names):
        marks = rule_holds(scores[places], rule).tolist()
        found += signals_of_rule(points, rule, marks, places, shown)
    return tuple(sorted(found, key=lambda signal: signal.index))


def moving_range_chart(request: ChartRequest, level: SetUpLevel) -> ControlChart:
    """Make the chart of moving ranges that stands beside a chart of single values."""
    constants = chart_constants(2, width=WIDTH)
    centre = level.standard_deviation * constants.d2
    upper = constants.upper_range * centre
    ranges = moving_ranges(request.means, left_out=request.left_out)
    pairs = [(lot, moved) for lot, moved in zip(request.lots, ranges, strict=True) if not np.isnan(moved)]
    points = tuple(point_of(lot, moved, 0.0, centre, upper) for lot, moved in pairs)
    return scatter_chart(request, "moving-range", "moving range", points, level.standard_deviation)


def scatter_chart(
    request: ChartRequest, kind: str, title: str, points: tuple[ControlPoint, ...], deviation: float
) -> ControlChart:
    """Make a chart of the scatter; a point below its lower limit is no alarm, but worth a look.

    Parameters
    ----------
    request : ChartRequest
        What is watched.
    kind, title : str
        Kind of the chart, and what it shows.
    points : tuple of ControlPoint
        With their limits.
    deviation : float
        Standard deviation of a single value.
    """
    unit = "decades" if request.watched.scale == "log" else request.watched.unit

    signals = signals_beyond(
        points,
        rule=f"{_LIMIT_RULE}/beyond-limit",
        source=rules_on(())[0].source,
        sinces=range(len(points)),
        shown=lambda value, beside: f"{number_words(value, beside)} {unit}".rstrip(),
        what=title,
    )
    return ControlChart(
        kind=kind,
        property=request.watched,
        title=title,
        unit=unit,
        points=points,
        centre=points[0].centre if points else 0.0,
        standard_deviation=deviation,
        basis="limits at three standard deviations of the scatter of the set-up",
        signals=signals,
    )
