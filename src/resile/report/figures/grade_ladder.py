"""The grade ladder: where each property meets its limit, between the steps of the grade."""

from __future__ import annotations

from resile.records.verdict import GradeStatement
from resile.report.continuous import (
    GOVERNS_WORDS,
    HIGH,
    INTERMEDIATE,
    LOW,
    ContinuousLine,
    chosen_grade,
    continuous_lines,
    name_of_line,
    shown_continuous,
    standing_of_line,
)
from resile.report.figures.grade_axis import AXIS_WIDTH, GradeAxis, band_layers, grade_axis
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    Spec,
    chart,
    empty_chart,
    rows,
    text_mark,
)

_RUNG = 46
_KEY_HEIGHT = 22
_BRACKET_HEIGHT = 42

_COLOURS = {HIGH: STAYS_BEHIND, INTERMEDIATE: SPRINGS_BACK, LOW: STRAIN}
# The point of a triangle looks to the side on which the limit still holds.
_SHAPES = {HIGH: "triangle-left", INTERMEDIATE: "diamond", LOW: "triangle-right"}
_KEY = {
    LOW: "low end: holds down to here",
    INTERMEDIATE: "in between",
    HIGH: "high end: holds up to here",
}


def figure_grade_ladder(statement: GradeStatement) -> Spec:
    """Draw every continuous temperature on one axis with the steps of the grade.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample, with its continuous temperatures.

    Returns
    -------
    dict
        One rung a property, coldest first: a mark with its k = 2 interval and its words. Shape, words and
        colour tell the ends apart; a filled mark governs its end. The claimed or best grade is a bracket.
    """
    lines = [line for line in continuous_lines(statement) if line.at_c is not None]
    if not lines:
        return empty_chart("No continuous temperature could be stated.", width=AXIS_WIDTH)
    lines.sort(key=_order)
    axis = grade_axis(statement, lines)
    bracket = _bracket_layers(statement, axis)
    head = _KEY_HEIGHT + (_BRACKET_HEIGHT if bracket else 0)
    height = head + _RUNG * len(lines) + 6
    layers = [*band_layers(axis, head, height), *_key_layers(lines), *bracket]
    for place, line in enumerate(lines):
        layers += _rung(line, axis, head + _RUNG * place, height)
    words = "; ".join(
        ", ".join(part for part in (f"{name_of_line(line)}: {shown_continuous(line)}", _second(line)) if part)
        for line in lines
    )
    return chart(
        f"Grade ladder, coldest first. {words}.",
        {"width": AXIS_WIDTH, "height": height, "layer": layers},
    )


def _order(line: ContinuousLine) -> tuple[int, float]:
    """Put the governing temperature last at its end, so that its line to the axis crosses no words."""
    at = line.at_c or 0.0
    return (LOW, INTERMEDIATE, HIGH).index(line.one.end), -at if line.one.end == HIGH else at


def _key_layers(lines: list[ContinuousLine]) -> list[Spec]:
    """Draw the key of the shapes that occur, in words, above the rungs."""
    layers: list[Spec] = []
    at = 6
    for end in (LOW, INTERMEDIATE, HIGH):
        if any(line.one.end == end for line in lines):
            layers += [_point(end, {"x": {"value": at}}, y=8, filled=False)]
            layers.append(_words(_KEY[end], at + 10, 8, MUTED))
            at += 26 + round(6.2 * len(_KEY[end]))
    layers.append(_words("filled: governs its end", at - 4, 8, MUTED))
    return layers


def _words(text: str, at: int, y: int, colour: str) -> Spec:
    return {
        "data": {"values": [{}]},
        "mark": text_mark(text, x=at, y=y, align="left", baseline="middle", color=colour),
    }


def _point(end: str, encoding: Spec, *, y: float, filled: bool, data: Spec | None = None) -> Spec:
    colour = _COLOURS[end]
    return {
        "data": data or {"values": [{}]},
        "mark": {
            "type": "point",
            "shape": _SHAPES[end],
            "size": 120 if end != INTERMEDIATE else 90,
            "stroke": colour,
            "strokeWidth": 2,
            "fill": colour if filled else None,
            "filled": False,
            "opacity": 1,
            "y": y,
        },
        "encoding": encoding,
    }


def _bracket_layers(statement: GradeStatement, axis: GradeAxis) -> list[Spec]:
    grade = chosen_grade(statement)
    if grade is None:
        return []
    word = "claimed" if statement.claimed_grade else ("proven" if grade.satisfied else "not proven")
    if statement.claimed_grade and not grade.satisfied:
        word = "claimed, not proven"
    low, high = max(grade.low_temperature_c, axis.low), min(grade.high_temperature_c, axis.high)
    corners = [
        (end, end == grade.low_temperature_c or end == grade.high_temperature_c) for end in (low, high)
    ]
    y = _KEY_HEIGHT + 28
    bar: Spec = {
        "data": rows(at=[low], until=[high]),
        "mark": {"type": "rule", "color": INK, "strokeWidth": 1.5, "y": y},
        "encoding": {"x": axis.x, "x2": {"field": "until"}},
    }
    feet: Spec = {
        "data": rows(at=[end for end, closed in corners if closed]),
        "mark": {"type": "rule", "color": INK, "strokeWidth": 1.5, "y": y, "y2": y + 8},
        "encoding": {"x": axis.x},
    }
    name: Spec = {
        "data": rows(at=[(low + high) / 2.0]),
        "mark": text_mark(f"{word}: {grade.label}", y=y - 4, baseline="bottom", fontWeight=600, color=INK),
        "encoding": {"x": axis.x},
    }
    return [bar, feet, name]


def _second(line: ContinuousLine) -> str:
    """Say what the first line of a rung leaves open: that it governs, that it lies outside the points."""
    critical = line.one.critical
    parts = []
    if line.governs:
        parts.append(GOVERNS_WORDS[line.one.end])
    if not critical.bracketed:
        parts.append(standing_of_line(line))
    return ", ".join(parts)


def _rung(line: ContinuousLine, axis: GradeAxis, top: int, height: int) -> list[Spec]:
    at = line.at_c or 0.0
    own = rows(at=[at])
    y = top + 34
    colour = _COLOURS[line.one.end]
    layers: list[Spec] = []
    if line.governs:
        layers.append(
            {
                "data": own,
                "mark": {
                    "type": "rule",
                    "color": colour,
                    "strokeDash": [2, 3],
                    "y": y,
                    "y2": height,
                },
                "encoding": {"x": axis.x},
            }
        )
    if line.interval is not None:
        layers += _interval_layers(line.interval, axis, y, colour)
    layers.append(
        _point(line.one.end, {"x": axis.x}, y=y, filled=line.governs, data=own),
    )
    return [*layers, *_rung_words(line, axis, top)]


def _interval_layers(interval: tuple[float, float], axis: GradeAxis, y: int, colour: str) -> list[Spec]:
    """Draw the interval; an end that lies beyond the axis is left open, the words give it."""
    low, high = max(interval[0], axis.low), min(interval[1], axis.high)
    inside = [end for end in interval if axis.low <= end <= axis.high]
    return [
        {
            "data": rows(at=[low], until=[high]),
            "mark": {"type": "rule", "color": colour, "strokeWidth": 4, "opacity": 0.35, "y": y},
            "encoding": {"x": axis.x, "x2": {"field": "until"}},
        },
        {
            "data": rows(at=inside),
            "mark": {"type": "rule", "color": colour, "strokeWidth": 1.5, "y": y - 5, "y2": y + 5},
            "encoding": {"x": axis.x},
        },
    ]


def _rung_words(line: ContinuousLine, axis: GradeAxis, top: int) -> list[Spec]:
    name, value, second = name_of_line(line), shown_continuous(line), _second(line)
    weight = 600 if line.governs else 400
    if axis.has_room(line.at_c or 0.0, len(f"{name}: {value}")):
        texts = [(f"{name}: {value}", top + 20, INK, weight)]
        texts += [(second, top + 7, MUTED, 400)] if second else []
    else:
        below = ", ".join(part for part in (value, second) if part)
        texts = [(below, top + 20, INK, weight), (name, top + 7, INK, weight)]
    letters = max(len(text) for text, *_ in texts)
    left = axis.words_to_the_left(line.at_c or 0.0, line.one.end, letters)
    aside = {"align": "right", "dx": 8} if left else {"align": "left", "dx": -8}
    return [
        {
            "data": rows(at=[line.at_c]),
            "mark": text_mark(text, y=y, color=colour, fontWeight=weight, baseline="middle", **aside),
            "encoding": {"x": axis.x},
        }
        for text, y, colour, weight in texts
    ]
