"""The axis of the grade ladder: temperatures with the steps of the grade as bands and ticks."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.verdict import GradeStatement
from resile.report.continuous import HIGH, INTERMEDIATE, LOW, ContinuousLine, chosen_grade
from resile.report.figures.style import HAIRLINE, WIDTH, Spec, rows
from resile.report.numbers import MINUS

AXIS_WIDTH = WIDTH - 40
_LETTER = 6.2
"""Width a letter needs at most, in the mean over a line [px]."""
_STEP_C = 6.0
"""Distance of the grade steps where the specification lists none there [°C] (AASHTO M 320, Table 1)."""
_LABELS = f"replace(format(datum.value, '~r'), /[-\\u2212]/, '{MINUS}')"


@dataclass(frozen=True, slots=True)
class GradeAxis:
    """The temperatures drawn, and where the steps of the grade lie in them."""

    low: float
    high: float
    steps: tuple[float, ...]
    ticks: tuple[float, ...]

    @property
    def x(self) -> Spec:
        """The shared encoding of all marks; the axis itself is drawn once, with the bands."""
        domain = [self.low, self.high]
        return {
            "field": "at",
            "type": "quantitative",
            "scale": {"domain": domain, "nice": False, "zero": False},
        }

    def words_to_the_left(self, at: float, end: str, letters: int) -> bool:
        """Tell on which side of a mark its words stand: inwards where there is room, else outwards."""
        left = AXIS_WIDTH * (at - self.low) / (self.high - self.low)
        needed = _LETTER * letters
        return left >= needed if end == HIGH else AXIS_WIDTH - left < needed

    def has_room(self, at: float, letters: int) -> bool:
        """Tell whether words beside a mark stay inside the picture, on one side at least."""
        left = AXIS_WIDTH * (at - self.low) / (self.high - self.low)
        return max(left, AXIS_WIDTH - left) >= _LETTER * letters


def grade_axis(statement: GradeStatement, lines: list[ContinuousLine]) -> GradeAxis:
    """Give an axis wide enough for temperatures, intervals and claimed grade."""
    ends = [end for line in lines for end in (line.at_c or 0.0, *(line.interval or ()))]
    grade = chosen_grade(statement)
    ends += [] if grade is None else _ends_of_grade(grade.high_temperature_c, grade.low_temperature_c, lines)
    known = sorted(_known_steps(statement))
    low = max([s for s in known if s < min(ends)], default=min(ends) - _STEP_C) - 2.0
    high = min([s for s in known if s > max(ends)], default=max(ends) + _STEP_C) + 2.0
    # Beyond the hottest or coldest step there is room for the interval, not for a far step.
    low, high = max(low, min(ends) - 2 * _STEP_C), min(high, max(ends) + 2 * _STEP_C)
    steps = tuple(step for step in known if low <= step <= high)
    between = any(line.one.end == INTERMEDIATE for line in lines)
    tens = range(-100, 200, 10)
    gap = [float(t) for t in tens if between and all(abs(t - s) > _STEP_C for s in known) and low < t < high]
    return GradeAxis(low, high, steps, tuple(sorted([*steps, *gap])))


def _ends_of_grade(high: float, low: float, lines: list[ContinuousLine]) -> list[float]:
    """Give the ends of the grade that belong into the picture: those at which something was measured."""
    drawn = {line.one.end for line in lines}
    return [end for end, name in ((high, HIGH), (low, LOW)) if name in drawn]


def _known_steps(statement: GradeStatement) -> set[float]:
    specification = statement.specification
    cold = {step for steps in specification.low_temperatures_c.values() for step in steps}
    if not cold:  # the steps of Table 1 of AASHTO M 320
        cold = {-10.0 - _STEP_C * count for count in range(7)}
    return {float(step) for step in (*specification.high_temperatures_c, *cold)}


def band_layers(axis: GradeAxis, head: int, height: int) -> list[Spec]:
    """Draw the axis: every other grade step as a band, and a hair line at each."""
    pairs = [
        (axis.steps[i], axis.steps[i + 1])
        for i in range(len(axis.steps) - 1)
        if axis.steps[i + 1] - axis.steps[i] <= 1.5 * _STEP_C and i % 2 == 0
    ]
    shown_axis = {
        "title": "temperature on the scale of the grade (°C); bands and ticks are grade steps",
        "values": list(axis.ticks),
        "labelExpr": _LABELS,
        "grid": False,
        "labelOverlap": False,
        "orient": "bottom",
    }
    layers: list[Spec] = [
        {
            "data": rows(at=list(axis.steps)),
            "mark": {"type": "rule", "color": HAIRLINE, "y": head, "y2": height},
            "encoding": {"x": {**axis.x, "axis": shown_axis}},
        }
    ]
    if pairs:
        band = {"type": "rect", "color": HAIRLINE, "opacity": 0.4, "y": head, "y2": height}
        layers.append(
            {
                "data": rows(at=[a for a, _ in pairs], until=[b for _, b in pairs]),
                "mark": band,
                "encoding": {"x": axis.x, "x2": {"field": "until"}},
            }
        )
    return layers
