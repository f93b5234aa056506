"""A control chart: points with their limits, signals, and changes with what may have caused them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from resile.records.control.production import WatchedProperty
from resile.records.finding import Finding

SETTING_UP, WATCHED = "set-up", "watched"
CHANGES_SOUGHT_IN = 4000
"""Newest lots in which changes of level are sought: the work grows with the square of their number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlPoint:
    """One point of a chart: a lot.

    Attributes
    ----------
    label : str
        Lot.
    when : str
        Day (and time) of sampling.
    values : tuple of float
        The results of the lot, in the unit of the glossary.
    plotted : float
        What the chart shows, on the watched scale: the value, its logarithm, a mean, a range, a sum.
    lower, centre, upper : float
        Control limits and centre line at this point, on the watched scale; an infinite limit is none.
    phase : str
        ``set-up`` or ``watched``.
    excluded : str
        Reason why the point is left out of the set-up; empty otherwise.
    keys : tuple of str
        Keys of the results.
    """

    label: str
    when: str
    values: tuple[float, ...]
    plotted: float
    lower: float
    centre: float
    upper: float
    phase: str
    excluded: str = ""
    keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartSignal:
    """A place where a chart says: look here. It says nothing about conformity.

    Attributes
    ----------
    index : int
        Index of the point at which the signal is raised.
    rule : str
        Name of the rule.
    text : str
        The signal in a sentence.
    source : str
        Where the rule comes from.
    since : int
        Index of the first point that belongs to it.
    """

    index: int
    rule: str
    text: str
    source: str
    since: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlChart:
    """A control chart.

    Attributes
    ----------
    kind : str
        ``individuals``, ``mean-and-range``, ``mean-and-deviation``, ``weighted-average``,
        ``cumulative-sum``, ``joint``; of a chart beside another ``moving-range``, ``range`` or ``deviation``.
    property : WatchedProperty
        What is watched.
    title : str
        What the chart shows, in words.
    unit : str
        Unit of what is plotted; empty for a bare number.
    points : tuple of ControlPoint
        In order of time.
    centre : float
        Centre line, on the watched scale.
    standard_deviation : float
        Standard deviation of a single plotted value from the set-up, on the watched scale.
    basis : str
        How centre and standard deviation were found, in a sentence.
    signals : tuple of ChartSignal
        In order of the points.
    beside : ControlChart or None
        The chart of the scatter that belongs to it.
    parameters : mapping of str to float
        Settings of the chart by name: ``weight``, ``width``, ``slack``, ``interval``, ``head_start`` …
    false_alarm_every : float or None
        Points, on average, from one false alarm to the next with what is on; None where it is not known.
    findings : tuple of Finding
        Doubts about the chart.
    """

    kind: str
    property: WatchedProperty
    title: str
    unit: str
    points: tuple[ControlPoint, ...]
    centre: float
    standard_deviation: float
    basis: str
    signals: tuple[ChartSignal, ...] = ()
    beside: ControlChart | None = None
    parameters: Mapping[str, float] = field(default_factory=dict)
    false_alarm_every: float | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseSuggestion:
    """A cause that fits what was seen, with the test that would confirm it; never a verdict.

    Attributes
    ----------
    kind : str
        Short name of the cause.
    sentence : str
        What may have happened.
    seen : tuple of str
        The signs that were seen, each in words.
    test_to_confirm : str
        What to test or look up.
    source : str
        Where the pattern comes from, with its evidence mark.
    """

    kind: str
    sentence: str
    seen: tuple[str, ...]
    test_to_confirm: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePoint:
    """A change of level (or a slow drift) of a watched property, dated.

    Attributes
    ----------
    index : int
        Index of the first point after the change.
    when : str
        Day (and time) of that point.
    earliest, latest : str
        Days between which the change lies, with the stated confidence.
    before, after : float
        Level before and after, in the unit of the glossary.
    confidence : float
        Confidence of the interval [ratio].
    kind : str
        ``step``, ``drift``, or ``either`` where the lots do not tell.
    step_probability : float or None
        Probability that it was a step and no slow drift, both taken as equally likely beforehand; None where
        they were not compared.
    suggestions : tuple of CauseSuggestion
        What may have caused it.
    """

    index: int
    when: str
    earliest: str
    latest: str
    before: float
    after: float
    confidence: float
    kind: str = "step"
    step_probability: float | None = None
    suggestions: tuple[CauseSuggestion, ...] = ()
