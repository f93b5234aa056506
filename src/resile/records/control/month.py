"""What a month brought: signals, changes, failures, margins, sampling, loads; and what to do."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.control.capability import CapabilityStatement
from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.target import TargetStatement


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthSignal:
    """A signal of a month.

    Attributes
    ----------
    lot, day : str
        Where it was raised.
    text : str
        What was seen.
    answer : str
        What was found when it was looked into; empty while nobody has.
    """

    lot: str
    day: str
    text: str
    answer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthChart:
    """A chart in a month.

    Attributes
    ----------
    key, title : str
        Key of the chart; the property in words.
    state : str
        Where it stands at the end of the month, in words.
    chart : ControlChart or None
        Until the end of the month; None where it cannot be drawn yet.
    open_lots : tuple of str
        Lots with a signal that nobody has answered.
    lots : int
        Lots of the month on it.
    signals : tuple of MonthSignal
        Raised in the month.
    changes : tuple of ChangePoint
        Dated in the month.
    settings : tuple of str
        What was changed about the chart in the month.
    capability : CapabilityStatement or None
        None without a limit.
    target : TargetStatement or None
        None where the scatter of the test is not known.
    """

    key: str
    title: str
    state: str
    chart: ControlChart | None
    open_lots: tuple[str, ...] = ()
    lots: int = 0
    signals: tuple[MonthSignal, ...] = ()
    changes: tuple[ChangePoint, ...] = ()
    settings: tuple[str, ...] = ()
    capability: CapabilityStatement | None = None
    target: TargetStatement | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedLot:
    """A lot that failed.

    Attributes
    ----------
    lot, numbers, day : str
        Lot, numbers of its samples, day of sampling.
    loads : int
        Loads that left from it.
    """

    lot: str
    numbers: str
    day: str
    loads: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadMisfit:
    """Something about a load that does not fit.

    Attributes
    ----------
    load, day, weight, said, action : str
        Number of the load and day it left; how much it weighs; what was found; what to do.
    """

    load: str
    day: str
    weight: str
    said: str
    action: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthOfProduct:
    """A product in a month.

    Attributes
    ----------
    key, name, grade : str
        Key, name, and grade under which it is sold.
    lots, judged : int
        Lots sampled, and how many of them were judged.
    failed : tuple of FailedLot
        Lots that failed.
    charts : tuple of MonthChart
        Its charts.
    sampling : tuple of str
        Where sampling stands and what is due, a sentence each.
    loads, loads_in_order : int
        Loads that left, and of how many everything fits.
    misfits : tuple of LoadMisfit
        What does not fit.
    to_do : tuple of str
        What to do, the most urgent first.
    """

    key: str
    name: str
    grade: str
    lots: int
    judged: int
    failed: tuple[FailedLot, ...]
    charts: tuple[MonthChart, ...]
    sampling: tuple[str, ...]
    loads: int
    loads_in_order: int
    misfits: tuple[LoadMisfit, ...]
    to_do: tuple[str, ...]

    @property
    def signals(self) -> int:
        """Signals of the month."""
        return sum(len(one.signals) for one in self.charts)


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthReport:
    """What a month brought.

    Attributes
    ----------
    month : str
        Year and month, ``2026-03``.
    laboratory : str
        Name of the laboratory.
    products : tuple of MonthOfProduct
        Products sampled or loaded in the month, or on a chart; those with something to do first.
    laboratory_lines : tuple of str
        What is due or was found in the laboratory, a sentence each.
    invented : bool
        True where it tells of the demonstration.
    """

    month: str
    laboratory: str
    products: tuple[MonthOfProduct, ...]
    laboratory_lines: tuple[str, ...] = ()
    invented: bool = False
