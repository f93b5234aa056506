"""How far a value lies from every limit: one strip a property and temperature."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.verdict import GradeStatement, Outcome, Verdict
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import shown, shown_limit, shown_step
from resile.report.words import OUTCOME_MARKS, comparison_of, coverage_interval, symbol_of

_STRIP_HEIGHT = 70
_WIDTH = WIDTH - 60
_GOOD = (Outcome.PASS, Outcome.CONDITIONAL_PASS, Outcome.WAIVED)
FAR_REPEATABILITIES = 5.0
"""A property passed by more than this many repeatability limits is left to the table."""
_LOG_RATIO = 4.0  # limits that span more than this are drawn on a logarithmic axis


@dataclass(frozen=True, slots=True)
class _Strip:
    """One value and the limits it was held against."""

    title: str
    unit: str
    value: float
    shown_value: str
    interval: tuple[float, float] | None
    limits: tuple[tuple[float, str, str, bool], ...]

    def logarithmic(self, low: float, high: float) -> bool:
        """Compliances and moduli double from class to class: equal steps there are equal ratios."""
        return self.unit in ("1/kPa", "kPa") and low > 0 and high / low > _LOG_RATIO


def figure_margin(statement: GradeStatement) -> Spec:
    """Draw every tested value as a dot with its k = 2 interval beside the limits of the classes.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    dict
        One strip for each property and temperature on which a class hangs, that is not passed or whose
        margin is below `FAR_REPEATABILITIES`; an upright line for each limit with class, limit and outcome
        in words.
    """
    strips = _strips(statement)
    if not strips:
        return empty_chart("Nothing was tested against a limit.", width=_WIDTH)
    words = "; ".join(
        f"{strip.title} {strip.shown_value} {strip.unit}: "
        + ", ".join(f"{name} {word}" for _, name, word, _ in strip.limits)
        for strip in strips
    )
    return chart(
        f"Values beside their limits. {words}.", {"vconcat": [_panel(s) for s in strips], "spacing": 8}
    )


def _strips(statement: GradeStatement) -> list[_Strip]:
    groups: dict[tuple[str, float | None], list[tuple[str, Verdict]]] = {}
    for service in statement.classes:
        for verdict in service.verdicts:
            if verdict.value is not None and verdict.outcome is not Outcome.NOT_TESTED:
                key = (verdict.requirement.quantity, verdict.test_temperature_c)
                groups.setdefault(key, []).append((service.label, verdict))
    decisive = {key: pairs for key, pairs in groups.items() if any(_is_close(v) for _, v in pairs)}
    groups = decisive or groups
    return [_strip(quantity, temperature, pairs) for (quantity, temperature), pairs in groups.items()]


def _is_close(verdict: Verdict) -> bool:
    """Tell whether a picture helps: a class hangs on it, it is not passed, or the margin is narrow."""
    multiples = verdict.margin_repeatabilities
    narrow = multiples is not None and abs(multiples) < FAR_REPEATABILITIES
    return verdict.requirement.decides_class or narrow or verdict.outcome is not Outcome.PASS


def _strip(quantity: str, temperature: float | None, pairs: list[tuple[str, Verdict]]) -> _Strip:
    first = pairs[0][1]
    by_limit: dict[tuple[float, Outcome], list[str]] = {}
    for label, verdict in pairs:
        by_limit.setdefault((verdict.limit, verdict.outcome), []).append(label)
    place = "" if temperature is None else f" at {shown_step(temperature)} °C"
    value = first.value if first.value is not None else 0.0
    return _Strip(
        title=f"{symbol_of(quantity)}{place}",
        unit=first.requirement.unit,
        value=value,
        shown_value=shown(value, quantity),
        interval=coverage_interval(first.result) if first.result is not None else None,
        limits=tuple(
            (
                limit,
                f"{_together(labels)} {comparison_of(first)} {shown_limit(limit)}",
                f"{OUTCOME_MARKS[outcome]} {outcome}",
                outcome in _GOOD,
            )
            for (limit, outcome), labels in sorted(by_limit.items(), key=lambda item: item[0][0])
        ),
    )


def _together(labels: list[str]) -> str:
    return labels[0] if len(labels) == 1 else f"{len(labels)} classes"


def _panel(strip: _Strip) -> Spec:
    ends = [strip.value, *(strip.interval or ()), *(limit for limit, *_ in strip.limits)]
    low, high = min(ends), max(ends)
    if strip.logarithmic(low, high):
        scale: Spec = {"type": "log", "domain": [low / 1.35, high * 1.5], "nice": False}
    else:
        room = 0.16 * (high - low or abs(high) or 1.0)
        scale = {"domain": [low - room, high + room], "nice": False, "zero": False}
    title = f"{strip.title} ({strip.unit})" if strip.unit else strip.title
    x = {
        "field": "at",
        "type": "quantitative",
        "scale": scale,
        "axis": number_axis(title, grid=False, tickCount=6, titleAnchor="start"),
    }
    layers = [*_limit_layers(strip, x), *_value_layers(strip, x)]
    return {"width": _WIDTH, "height": _STRIP_HEIGHT, "layer": layers}


def _limit_layers(strip: _Strip, x: Spec) -> list[Spec]:
    layers: list[Spec] = []
    for limit, name, word, good in strip.limits:
        own = rows(at=[limit])
        colour = SPRINGS_BACK if good else STAYS_BEHIND
        layers += [
            {
                "data": own,
                "mark": {
                    "type": "rule",
                    "color": colour,
                    "strokeWidth": 2,
                    "strokeDash": [1, 0] if good else [5, 3],
                    "y": 32,
                    "y2": _STRIP_HEIGHT,
                },
                "encoding": {"x": x},
            },
            {
                "data": own,
                "mark": text_mark(name, y=8, color=INK, fontWeight=600),
                "encoding": {"x": x},
            },
            {"data": own, "mark": text_mark(word, y=23, color=colour), "encoding": {"x": x}},
        ]
    return layers


def _free_side(strip: _Strip) -> tuple[float, str, int]:
    """Give where the number stands: beyond the end of the interval that has more room to the next limit."""
    low, high = strip.interval or (strip.value, strip.value)
    below = min((abs(low - limit) / limit for limit, *_ in strip.limits if 0 < limit <= low), default=1e9)
    above = min((abs(limit - high) / high for limit, *_ in strip.limits if limit >= high > 0), default=1e9)
    shift = 6 if strip.interval else 10
    return (high, "left", shift) if above >= min(below, 0.5) else (low, "right", -shift)


def _value_layers(strip: _Strip, x: Spec) -> list[Spec]:
    own = rows(at=[strip.value])
    side, align, shift = _free_side(strip)
    layers: list[Spec] = []
    if strip.interval is not None:
        layers.append(
            {
                "data": rows(at=[strip.interval[0]], until=[strip.interval[1]]),
                "mark": {"type": "rule", "color": STRAIN, "strokeWidth": 5, "opacity": 0.35, "y": 60},
                "encoding": {"x": x, "x2": {"field": "until"}},
            }
        )
    return [
        *layers,
        {
            "data": own,
            "mark": {"type": "point", "filled": True, "size": 95, "color": STRAIN, "opacity": 1, "y": 60},
            "encoding": {"x": x},
        },
        {
            "data": rows(at=[side]),
            "mark": text_mark(
                strip.shown_value,
                y=60,
                align=align,
                dx=shift,
                baseline="middle",
                color=STRAIN,
                fontWeight=600,
            ),
            "encoding": {"x": x},
        },
    ]
