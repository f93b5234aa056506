"""Words on control charts that screen, paper and terminal share."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.control.chart import CHANGES_SOUGHT_IN, SETTING_UP, ChangePoint, ControlChart
from resile.report.numbers import fixed, three_figures
from resile.report.words import CONDITION_WORDS, symbol_of

KIND_WORDS = {
    "individuals": "single values, with moving ranges",
    "mean-and-range": "means of replicates, with ranges",
    "mean-and-deviation": "means of replicates, with standard deviations",
    "weighted-average": "exponentially weighted average",
    "cumulative-sum": "cumulative sums",
    "joint": "several properties as one distance",
}
LOOK = "A signal says: look here. It says nothing about conformity, and no cause is proved by a pattern."
_SETTINGS = {
    "width": "limits at {} standard deviations",
    "weight": "weight {}",
    "slack": "slack {} standard deviations",
    "interval": "decision interval {} standard deviations",
    "head_start": "head start {}",
    "false_alarm": "chance of a false alarm {} at a lot",
}


def chart_name(chart: ControlChart) -> str:
    """Give what is watched: property and product."""
    words = symbol_of(chart.property.quantity) if chart.kind != "joint" else chart.title
    if chart.property.temperature_c is not None:
        words += f" at {chart.property.temperature_c:g} °C"
    return f"{words} of {chart.property.product}" if chart.property.product else words


def chart_answer(chart: ControlChart) -> str:
    """Give the answer of a chart in one sentence: whether anything is to be looked at, and where."""
    watched = [s for s in chart.signals if chart.points[s.index].phase != SETTING_UP]
    of_watched = sum(point.phase != SETTING_UP for point in chart.points)
    name = chart_name(chart)
    if not chart.signals:
        where = f"{of_watched} watched lots" if of_watched else f"{len(chart.points)} lots of the set-up"
        return f"{name}: no signal in {where}."
    newest = chart.points[chart.signals[-1].index]
    count = len(chart.signals)
    many = "one signal" if count == 1 else f"{count} signals"
    inside = count - len(watched)
    in_set_up = f", {inside} of them in the set-up" if inside and inside < count else ""
    in_set_up = ", in the set-up" if inside == count else in_set_up
    return f"{name}: {many}{in_set_up}; the newest at lot {newest.label} ({newest.when}). Look there first."


def change_sentence(change: ChangePoint, unit: str) -> str:
    """Give a change in one sentence."""
    way = "rose" if change.after > change.before else "fell"
    slowly = "drifted" if change.kind == "drift" else way
    what = f"{slowly} from {three_figures(change.before)} to {three_figures(change.after)} {unit}".rstrip()
    about = "began about" if change.kind == "drift" else "about"
    confidence = fixed(100.0 * change.confidence, 0)
    return (
        f"The level {what}, {about} {change.when} (between {change.earliest} and {change.latest}, "
        f"{confidence} %){_kind_words(change)}."
    )


def _kind_words(change: ChangePoint) -> str:
    """Say how sure it is that a change came at once or slowly; nothing where that was not weighed."""
    step = change.step_probability
    if step is None:
        return ""
    if change.kind == "either":
        return "; at once or slowly cannot be told from these lots"
    drift = change.kind == "drift"
    sure = fixed(100.0 * min(1.0 - step if drift else step, 0.99), 0)
    words = "slowly rather than at once" if drift else "at once rather than slowly"
    return f"; {words}, {'over ' if sure == '99' else ''}{sure} %"


def chart_facts(chart: ControlChart) -> tuple[tuple[str, str], ...]:
    """Give what a chart rests on, as labels with values."""
    in_set_up = sum(point.phase == SETTING_UP for point in chart.points)
    settings = "; ".join(
        _SETTINGS[name].format(three_figures(value))
        for name, value in chart.parameters.items()
        if name in _SETTINGS and (name != "head_start" or value)
    )
    every = chart.false_alarm_every
    facts = [
        ("Chart", KIND_WORDS.get(chart.kind, chart.kind)),
        ("Lots", f"{in_set_up} in the set-up, {len(chart.points) - in_set_up} watched"),
        ("Centre and scatter", chart.basis),
        ("Settings", settings or "none"),
        ("False alarm", f"every {fixed(every, 0)} lots on average" if every is not None else "not known"),
    ]
    if len(chart.points) > CHANGES_SOUGHT_IN:
        facts.append(("Changes of level", f"sought in the newest {CHANGES_SOUGHT_IN} lots"))
    if chart.kind != "joint":
        facts.insert(1, ("Residue", CONDITION_WORDS[chart.property.condition]))
    return tuple(facts)


def left_out(chart: ControlChart) -> tuple[tuple[str, str, str], ...]:
    """Give lot, day and reason of every lot that is left out."""
    return tuple((point.label, point.when, point.excluded) for point in chart.points if point.excluded)


def suggestion_lines(changes: Sequence[ChangePoint]) -> tuple[str, ...]:
    """Give each suggested cause once, with what was seen and the test that would confirm it."""
    lines = []
    for change in changes:
        for one in change.suggestions:
            lines.append(
                f"{change.when}, {one.kind}: {one.sentence} Seen: {'; '.join(one.seen)}. "
                f"To confirm: {one.test_to_confirm} ({one.source})"
            )
    return tuple(dict.fromkeys(lines))
