"""What is known lot by lot of production under control, as tables in full precision."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from resile.records.archive_answers import AnswerTable
from resile.records.control.capability import CapabilityStatement
from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.sampling import LotOfLoads, SamplingState
from resile.records.control.surrogate import QuickTests
from resile.records.control.target import TargetStatement

ControlContent = CapabilityStatement | TargetStatement | QuickTests | SamplingState

_POINTS = (
    "lot",
    "taken",
    "values",
    "plotted",
    "lower",
    "centre",
    "upper",
    "phase",
    "excluded",
    "signals",
    "results",
)
_CHANGES = ("when", "earliest", "latest", "before", "after", "kind", "step_probability", "suggestions")


def tables_of_chart(chart: ControlChart, changes: Sequence[ChangePoint] = ()) -> tuple[AnswerTable, ...]:
    """Give points, signals, changes and lots left out of a chart.

    Parameters
    ----------
    chart : ControlChart
        Points, limits, signals.
    changes : sequence of ChangePoint
        Changes of level, with suggested causes.

    Returns
    -------
    tuple of AnswerTable
        Points first; plotted values and limits on the watched scale, values in the unit of the glossary.
    """
    raised: dict[int, list[str]] = {}
    for signal in chart.signals:
        raised.setdefault(signal.index, []).append(signal.rule)
    points = [
        (
            one.label,
            one.when,
            " ".join(map(repr, one.values)),
            one.plotted,
            _finite(one.lower),
            one.centre,
            _finite(one.upper),
            one.phase,
            one.excluded,
            " ".join(sorted(set(raised.get(place, ())))),
            " ".join(one.keys),
        )
        for place, one in enumerate(chart.points)
    ]
    signals = [
        (number, chart.points[one.index].label, chart.points[one.index].when, one.text, one.rule, one.source)
        for number, one in enumerate(chart.signals, 1)
    ]
    moved = [
        (
            one.when,
            one.earliest,
            one.latest,
            one.before,
            one.after,
            one.kind,
            one.step_probability,
            "; ".join(each.kind for each in one.suggestions),
        )
        for one in changes
    ]
    left_out = [(one.label, one.when, one.excluded) for one in chart.points if one.excluded]
    return (
        AnswerTable(_POINTS, tuple(points), title="Lots"),
        *_unless_empty(("number", "lot", "taken", "signal", "rule", "source"), signals, "Signals"),
        *_unless_empty(_CHANGES, moved, "Changes"),
        *_unless_empty(("lot", "taken", "reason"), left_out, "Left out"),
    )


def tables_of_content(content: ControlContent) -> tuple[AnswerTable, ...]:
    """Give what an answer works out lot by lot, or case by case.

    Parameters
    ----------
    content : CapabilityStatement, TargetStatement, QuickTests or SamplingState
        As worked out.

    Returns
    -------
    tuple of AnswerTable
        The one a person looks for first.
    """
    if isinstance(content, CapabilityStatement):
        lots = zip(content.lots, content.values, strict=True)
        return (AnswerTable(("lot", "value"), tuple(lots), title="Lots"),)
    if isinstance(content, TargetStatement):
        return _of_target(content)
    if isinstance(content, QuickTests):
        return _of_quick(content)
    return _of_sampling(content)


def lots_of_loads_table(lots: Sequence[LotOfLoads]) -> AnswerTable:
    """Give lots made of loads.

    Parameters
    ----------
    lots : sequence of LotOfLoads
        In order.
    """
    rows = tuple((one.lot, " ".join(one.loads), one.opened, one.quantity_t, one.ended_by) for one in lots)
    return AnswerTable(("lot", "loads", "opened", "quantity_t", "ended_by"), rows, title="Lots")


def _of_target(content: TargetStatement) -> tuple[AnswerTable, ...]:
    changed = [(one.changed, one.target, one.margin, one.cheapest) for one in content.sensitivity]
    curve = [
        (
            one.mean,
            one.margin,
            one.outcomes.conforms,
            one.outcomes.passes,
            one.outcomes.both,
            one.outcomes.producers_risk,
            one.outcomes.customers_risk,
            one.given_away,
            one.failures,
            one.claims,
            one.total,
        )
        for one in content.curve
    ]
    named = ("mean", "margin", "conforms", "passes", "both", "producers_risk", "customers_risk")
    costs = ("given_away", "failures", "claims", "total")
    columns = (*named, *costs) if content.prices is not None else named
    return (
        AnswerTable(("changed", "target", "margin", "cheapest"), tuple(changed), title="Were it otherwise"),
        AnswerTable(columns, tuple(row[: len(columns)] for row in curve), title="Means"),
    )


def _of_quick(content: QuickTests) -> tuple[AnswerTable, ...]:
    hints = [
        (one.lot, one.taken, one.hint, one.value, one.low, one.high, one.place, one.probability, one.slow)
        for one in content.hints
    ]
    fitted = [
        (one.lot, one.observed, one.predicted, one.error, one.leverage, one.place) for one in content.left_out
    ]
    hinted = ("lot", "taken", "hint", "value", "low", "high", "place", "probability", "slow")
    return (
        AnswerTable(hinted, tuple(hints), title="Hints"),
        AnswerTable(
            ("lot", "observed", "predicted", "error", "leverage", "place"),
            tuple(fitted),
            title="Lots left out",
        ),
    )


def _of_sampling(content: SamplingState) -> tuple[AnswerTable, ...]:
    due = [(one.lot, one.kind, one.sentence, one.at_once) for one in content.due]
    lots = [
        (one.lot, one.outcome, one.opened, one.taken, one.tank, one.quantity_t, one.extra, severity)
        for one, severity in zip(content.lots, content.lot_severities, strict=True)
    ]
    history = [(one.after_lot, one.when, one.severity, one.reason, one.source) for one in content.history]
    return (
        AnswerTable(("lot", "kind", "sentence", "at_once"), tuple(due), title="Due"),
        AnswerTable(
            ("lot", "outcome", "opened", "taken", "tank", "quantity_t", "extra", "severity"),
            tuple(lots),
            title="Lots",
        ),
        AnswerTable(("after_lot", "when", "severity", "reason", "source"), tuple(history), title="Severity"),
    )


def _unless_empty(
    columns: tuple[str, ...], rows: Sequence[tuple[object, ...]], title: str
) -> Iterable[AnswerTable]:
    return (AnswerTable(columns, tuple(rows), title=title),) if rows else ()


def _finite(value: float) -> float | None:
    return value if abs(value) != float("inf") else None
