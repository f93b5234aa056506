"""Results gathered into lots, in order of time, with what counts for the set-up of a chart."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from resile.errors import InputError, MeasurementError
from resile.records.control.chart import SETTING_UP, WATCHED
from resile.records.control.production import ProductionResult, WatchedProperty


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """A lot with its results on the watched scale.

    Attributes
    ----------
    label, when : str
        Lot, and day of its first result.
    values, scaled : tuple of float
        Results in the unit of the glossary, and on the watched scale, in order of size.
    keys : tuple of str
        Keys of the results.
    phase : str
        ``set-up`` or ``watched``.
    excluded : str
        Reason why it is left out; empty otherwise.
    stamped : int
        Results that carry a doubt of their own.
    """

    label: str
    when: str
    values: tuple[float, ...]
    scaled: tuple[float, ...]
    keys: tuple[str, ...]
    phase: str
    excluded: str
    stamped: int = 0

    @property
    def mean(self) -> float:
        """Mean on the watched scale."""
        return math.fsum(self.scaled) / len(self.scaled)

    @property
    def counts(self) -> bool:
        """Whether the lot counts for the set-up."""
        return self.phase == SETTING_UP and not self.excluded


def on_scale(value: float, watched: WatchedProperty, *, place: str = "") -> float:
    """Give a value on the watched scale.

    Raises
    ------
    MeasurementError
        Where the logarithm of a value that is not above zero is asked for.
    """
    if not math.isfinite(value):
        raise MeasurementError(f"{place or watched.quantity}: {value} is no number that a chart can hold")
    if watched.scale != "log":
        return value
    if value <= 0.0:
        raise MeasurementError(
            f"{place or watched.quantity}: {value:g} {watched.unit} has no logarithm; "
            "leave the lot out of the table or watch on a linear scale"
        )
    return math.log10(value)


def off_scale(value: float, watched: WatchedProperty) -> float:
    """Give a value of the watched scale in the unit of the glossary."""
    return float(10.0**value) if watched.scale == "log" else value


def gather_lots(
    results: Sequence[ProductionResult],
    watched: WatchedProperty,
    *,
    baseline_since: str = "",
    baseline_until: str = "",
    excluded: Mapping[str, str] | None = None,
) -> tuple[Lot, ...]:
    """Gather results into lots in order of time.

    Parameters
    ----------
    results : sequence of ProductionResult
        In any order; results with one lot are its replicates.
    watched : WatchedProperty
        What is watched.
    baseline_since, baseline_until : str
        Days of the set-up, both included; without a last day every lot belongs to the set-up.
    excluded : mapping of str to str, optional
        Reason by lot or by key of a result. A lot with a result left out is left out as a whole.

    Returns
    -------
    tuple of Lot
        By day of the first result, lots of one moment in the order in which they were given.

    Raises
    ------
    InputError
        Without a result, without one in the set-up, for a day that is none, or where a name of `excluded`
        stands on no lot or result, or has no reason.
    """
    reasons = dict(excluded or {})
    groups: dict[str, list[ProductionResult]] = {}
    for result in results:
        groups.setdefault(result.lot or result.key, []).append(result)
    _check_days(baseline_since, baseline_until)
    _check_reasons(reasons, set(groups) | {result.key for result in results})
    if not groups:
        raise InputError(f"{watched.product} {watched.quantity}: there is no result to put on a chart")
    lots = []
    for label, group in groups.items():
        first = min(result.taken for result in group)
        ordered = sorted(group, key=lambda result: (result.value, result.key))
        lots.append(
            Lot(
                label=label,
                when=first,
                values=tuple(result.value for result in ordered),
                scaled=tuple(on_scale(result.value, watched, place=f"lot {label}") for result in ordered),
                keys=tuple(result.key for result in ordered),
                phase=SETTING_UP if _within(first, baseline_since, baseline_until) else WATCHED,
                excluded=_reason(label, group, reasons),
                stamped=sum(bool(result.stamp) for result in group),
            )
        )
    if not any(lot.phase == SETTING_UP for lot in lots):
        days = sorted(lot.when for lot in lots)
        raise InputError(
            f"{watched.product} {watched.quantity}: no lot lies in the set-up, "
            f"{baseline_since or 'the first'} to {baseline_until or 'the last'}; "
            f"the lots run from {days[0]} to {days[-1]}"
        )
    return tuple(sorted(lots, key=lambda lot: lot.when))


def _check_days(*days: str) -> None:
    for day in days:
        try:
            datetime.date.fromisoformat(day or "2000-01-01")
        except ValueError as error:
            raise InputError(f"set-up: {day!r} is no day; needed is YYYY-MM-DD") from error


def _check_reasons(reasons: Mapping[str, str], known: set[str]) -> None:
    for name, reason in reasons.items():
        if name not in known:
            raise InputError(f"{name}: left out of the chart, but no lot and no result has that name")
        if not reason.strip():
            raise InputError(f"{name}: left out of the chart without a reason; say what was found")


def _within(when: str, since: str, until: str) -> bool:
    return (not since or when >= since) and (not until or when[: len(until)] <= until)


def _reason(label: str, group: Sequence[ProductionResult], reasons: Mapping[str, str]) -> str:
    names = [label, *(result.key for result in group)]
    return "; ".join(dict.fromkeys(reasons[name].strip() for name in names if name in reasons))
