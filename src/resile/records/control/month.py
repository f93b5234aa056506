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
    mark : str
        Its number on the picture, or its letter on the chart of the scatter.
    answer : str
        What was found when it was looked into; empty while nobody has.
    """

    lot: str
    day: str
    text: str
    mark: str = ""
    answer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthLevel:
    """Where a property stood in a month, beside the month before.

    Attributes
    ----------
    level, before : float or None
        Mean of the lots that count, geometric on a log scale, in the unit of the glossary; None without lots.
    lots, lots_before : int
        Lots that count.
    moved : str
        ``up`` or ``down`` where the scatter of lots does not explain the difference; empty otherwise.
    """

    level: float | None
    before: float | None
    lots: int
    lots_before: int
    moved: str = ""


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
        As drawn: the values of the newest lots until the end of the month, with the numbers of the signals;
        None where it cannot be drawn yet.
    changed : MonthLevel or None
        Where the property stood, beside the month before; None without a chart.
    answered : str
        Lot up to which signals were looked into; empty for none.
    open_lots : tuple of str
        Lots with a signal that nobody has answered.
    lots : int
        Lots of the month on it.
    signals : tuple of MonthSignal
        Raised in the month.
    changes : tuple of ChangePoint
        Dated in the month.
    back : tuple of str
        Days of those changes that led back to the level of the set-up.
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
    changed: MonthLevel | None = None
    answered: str = ""
    open_lots: tuple[str, ...] = ()
    lots: int = 0
    signals: tuple[MonthSignal, ...] = ()
    changes: tuple[ChangePoint, ...] = ()
    back: tuple[str, ...] = ()
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
    lots, judged, lots_before : int
        Lots sampled, how many of them were judged, and lots sampled in the month before.
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
    lots_before: int
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
    laboratory_to_do : tuple of str
        What the laboratory has to do about itself, a sentence each.
    laboratory_lines : tuple of str
        What was found in the laboratory and what will be due, a sentence each.
    how_to_look : str
        How a signal is looked into.
    newest_month : str
        Month of the newest lot in the record; empty where there is none.
    invented : bool
        True where it tells of the demonstration.
    """

    month: str
    laboratory: str
    products: tuple[MonthOfProduct, ...]
    laboratory_to_do: tuple[str, ...] = ()
    laboratory_lines: tuple[str, ...] = ()
    how_to_look: str = ""
    newest_month: str = ""
    invented: bool = False
