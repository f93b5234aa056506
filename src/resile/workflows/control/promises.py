"""What a chart promises: how many lots to a false alarm, and to a shift of a given size."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache

from resile.compute.statistics.control.cumulative_sum import cumulative_sum_run_length, decision_interval
from resile.compute.statistics.control.rule_run_length import rule_run_length, simulated_run_length
from resile.compute.statistics.control.weighted_average import (
    weighted_average_run_length,
    weighted_average_width,
)
from resile.errors import InputError
from resile.records.control.promise import RunLengthPromise
from resile.records.control.run_rule import RunRuleSet
from resile.specifications.control import list_run_rules
from resile.workflows.control.setting_up import rules_on

SHIFTS = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0)
_SEED = 1
_WEIGHT, _SLACK = 0.2, 0.5
_SHEWHART = 370.398
"""Points to a false alarm with limits at three standard deviations: charts that remember are set to it."""
_NEIGHBOURS = ("trend", "alternating")


def weighted_average_settings(given: Mapping[str, float]) -> dict[str, float]:
    """Give weight and width of a chart of weighted averages.

    Raises
    ------
    InputError
        For a setting that this chart does not have.
    """
    _refuse(given, ("weight", "width"))
    weight = float(given.get("weight", _WEIGHT))
    return {"weight": weight, "width": float(given["width"]) if "width" in given else _usual_width(weight)}


def cumulative_sum_settings(given: Mapping[str, float]) -> dict[str, float]:
    """Give slack, interval and head start of a cumulative-sum chart, in standard deviations.

    Raises
    ------
    InputError
        For a setting that this chart does not have.
    """
    _refuse(given, ("slack", "interval", "head_start"))
    slack = float(given.get("slack", _SLACK))
    interval = float(given["interval"]) if "interval" in given else _usual_interval(slack)
    return {"slack": slack, "interval": interval, "head_start": float(given.get("head_start", 0.0))}


def false_alarm_every(chart: str, run_rules: Sequence[str], parameters: Mapping[str, float]) -> float:
    """Give the average number of lots from one false alarm to the next.

    Parameters
    ----------
    chart : str
        Kind of chart.
    run_rules : sequence of str
        Names of rules that are on.
    parameters : mapping of str to float
        Settings, complete.

    Returns
    -------
    float
        In-control average run length with limits that are known.
    """
    return _length(chart, tuple(run_rules), tuple(sorted(parameters.items())), 0.0)[0]


def run_length_promise(
    *,
    chart: str = "individuals",
    run_rules: Sequence[str] = (),
    parameters: Mapping[str, float] | None = None,
    shifts: Sequence[float] = SHIFTS,
    replicates: int = 1,
) -> RunLengthPromise:
    """Say how many lots a chart runs, on average, to a false alarm and to shifts of given sizes.

    Parameters
    ----------
    chart : str
        Kind of chart.
    run_rules : sequence of str
        Names of rules that are on beside the limits.
    parameters : mapping of str to float, optional
        Settings by name.
    shifts : sequence of float
        Shifts of the level, in standard deviations of a single value.
    replicates : int
        Results of a lot whose mean is plotted.

    Returns
    -------
    RunLengthPromise
        For no shift first, then for each of the shifts.

    Raises
    ------
    InputError
        For an unknown chart or setting, rules on a chart that remembers, or shifts that are no numbers.
    """
    if replicates < 1 or not all(math.isfinite(shift) for shift in shifts):
        raise InputError("run length: one replicate or more, and shifts that are numbers are needed")
    settings = _settings(chart, run_rules, dict(parameters or {}))
    sizes = (0.0, *(float(shift) for shift in shifts if shift))
    found = [
        _length(chart, tuple(run_rules), tuple(sorted(settings.items())), size * math.sqrt(replicates))
        for size in sizes
    ]
    drawn = any(error for _, error in found)
    return RunLengthPromise(
        chart=chart,
        run_rules=tuple(run_rules),
        parameters=settings,
        shifts=sizes,
        lengths=tuple(length for length, _ in found),
        standard_errors=tuple(error for _, error in found),
        basis=(
            "4000 drawn charts, because rules about neighbours are on"
            if drawn
            else "exact to the digits shown"
        )
        + "; independent normal values, limits known, shift from the first watched lot on",
    )


def _settings(chart: str, run_rules: Sequence[str], given: dict[str, float]) -> dict[str, float]:
    if chart in ("weighted-average", "cumulative-sum"):
        if run_rules:
            raise InputError("rules about runs do not apply to charts whose points hold those before them")
        return (
            weighted_average_settings(given)
            if chart == "weighted-average"
            else cumulative_sum_settings(given)
        )
    if chart not in ("individuals", "mean-and-range", "mean-and-deviation"):
        raise InputError(f"chart {chart!r} has no run length here")
    _refuse(given, ())
    return {}


def _refuse(given: Mapping[str, float], known: Sequence[str]) -> None:
    unknown = sorted(set(given) - set(known))
    if unknown:
        raise InputError(
            f"setting {unknown[0]!r} is not one of this chart; it has {', '.join(known) or 'none'}"
        )


@lru_cache(maxsize=256)
def _length(
    chart: str, run_rules: tuple[str, ...], parameters: tuple[tuple[str, float], ...], shift: float
) -> tuple[float, float]:
    """Give a run length and its standard error."""
    settings = dict(parameters)
    if chart == "weighted-average":
        length = weighted_average_run_length(
            weight=settings["weight"], width=settings["width"], shift=shift, growing=True
        )
        return length, 0.0
    if chart == "cumulative-sum":
        length = cumulative_sum_run_length(
            slack=settings["slack"],
            interval=settings["interval"],
            head_start=settings["head_start"],
            shift=shift,
        )
        return length, 0.0
    rules = rules_on(run_rules)
    if any(rule.kind in _NEIGHBOURS for rule in rules):
        drawn = simulated_run_length(rules, seed=_SEED, shift=shift)
        return drawn.mean, drawn.standard_error
    return rule_run_length(rules, shift=shift), 0.0


@lru_cache(maxsize=32)
def _usual_width(weight: float) -> float:
    return round(weighted_average_width(weight=weight, false_alarm_every=_SHEWHART), 3)


@lru_cache(maxsize=32)
def _usual_interval(slack: float) -> float:
    return round(decision_interval(slack=slack, false_alarm_every=_SHEWHART), 3)


def rule_sets_with_promises() -> tuple[list[RunRuleSet], list[RunLengthPromise]]:
    """List every set of run rules with what a chart of single values promises when all of it is on."""
    sets = list_run_rules()
    return sets, [run_length_promise(run_rules=(rules.identifier,), shifts=(1.0,)) for rules in sets]
