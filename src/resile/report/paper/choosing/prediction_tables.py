"""Predictions in tables and words: values with band, classes, limits, tests and lines."""

from __future__ import annotations

import math

from resile.records.prediction import (
    AskedTemperature,
    Basis,
    ClassChance,
    ExpectedValue,
    LimitTemperature,
    PropertyLine,
    SamplePrediction,
    Standing,
)
from resile.records.temperature_line import TemperatureLine
from resile.report.numbers import (
    NOT_KNOWN,
    fixed,
    shown,
    shown_limit,
    shown_probability,
    shown_step,
    shown_temperature,
)
from resile.report.paper.models.model import RIGHT, Column, Table
from resile.report.words import CONDITION_WORDS, joined, symbol_of

GRADE_STEP_C = 6.0
"""The step that a slope is shown for [°C]."""
NO_TEST = "Always test, do not scale: a prediction chooses the next test and certifies nothing."
STANDING_MARKS = {
    Standing.MEASURED_PASS: "●",
    Standing.MEASURED_FAIL: "✗",
    Standing.PREDICTED_PASS: "◐",
    Standing.PREDICTED_FAIL: "◌",
    Standing.UNKNOWN: "?",
}
BASIS_WORDS = {
    Basis.MEASURED: "● measured",
    Basis.INTERPOLATED: "□ between tests",
    Basis.EXTRAPOLATED: "□ beyond the tests",
    Basis.PRIOR: "□ by a published slope",
    Basis.NONE: "– not predicted",
}


def headline(asked: AskedTemperature) -> str:
    """Give the answer at one temperature in a few words.

    Parameters
    ----------
    asked : AskedTemperature
        Values and classes.

    Returns
    -------
    str
        For example ``at 64 °C 64S is expected (86.1 %)``.
    """
    at = f"at {shown_step(asked.temperature_c)} °C"
    best = asked.expected_class
    if best is not None:
        if best.standing is Standing.MEASURED_PASS:
            return f"{at} {best.label} was measured"
        return f"{at} {best.label} is expected ({shown_probability(best.probability)}){_lost(asked)}"
    if any(one.standing is Standing.UNKNOWN for one in asked.classes):
        return f"{at} nothing can be said"
    return f"{at} no class is expected"


def _lost(asked: AskedTemperature) -> str:
    """Name the class held where it was tested, if it is not expected here."""
    held = next((one for one in asked.classes if one.service_class.name == asked.held_class), None)
    if held is None or held.passes or held.standing is Standing.UNKNOWN:
        return ""
    return f", not {held.label} ({shown_probability(held.probability)})"


def values_table(sample: SamplePrediction) -> Table:
    """Tabulate every property at every asked temperature.

    Parameters
    ----------
    sample : SamplePrediction
        Of one sample.

    Returns
    -------
    Table
        A measured value stands as measured, with what the line says beside it.
    """
    columns = (
        Column("At", RIGHT, 1.0),
        Column("Property", share=1.4),
        Column("Residue", share=1.7),
        Column("Value", RIGHT, 1.2),
        Column("Unit", share=0.8),
        Column("95 % of tests", RIGHT, 1.9),
        Column("Basis", share=2.2),
        Column("Line says", RIGHT, 1.2),
    )
    rows = tuple(
        (
            f"{shown_step(one.temperature_c)} °C",
            symbol_of(value.quantity),
            CONDITION_WORDS[value.condition],
            shown(value.value, value.quantity),
            _unit(value),
            _band_words(value),
            BASIS_WORDS[value.basis],
            _line_says(value),
        )
        for one in sample.temperatures
        for value in one.values
    )
    return Table(
        "Values at the temperatures asked for.",
        columns,
        rows,
        note="A single further test of the same laboratory lies in the band with 95 %. ● measured, "
        "□ predicted.",
    )


def _unit(value: ExpectedValue) -> str:
    from resile.records.quantity import QUANTITIES

    return QUANTITIES[value.quantity].unit


def _band_words(value: ExpectedValue) -> str:
    if value.low is None or value.high is None:
        return NOT_KNOWN
    return f"{shown(value.low, value.quantity)} to {shown(value.high, value.quantity)}"


def _line_says(value: ExpectedValue) -> str:
    if value.basis is not Basis.MEASURED or value.predicted is None:
        return NOT_KNOWN
    said = getattr(value.predicted, "value", None)
    return shown(
        said if said is not None else getattr(value.predicted, "percent_recovery", None), value.quantity
    )


def classes_table(sample: SamplePrediction) -> Table:
    """Tabulate every class at every asked temperature with its probability.

    Parameters
    ----------
    sample : SamplePrediction
        Of one sample.

    Returns
    -------
    Table
        By word, mark and number.
    """
    columns = (
        Column("Class", share=1.0),
        Column("Standing", share=1.8),
        Column("Probability", RIGHT, 1.2),
        Column("Governed by", share=2.4),
        Column("Not known", share=1.6),
    )
    rows = tuple(
        (
            chance.label,
            standing_words(chance.standing),
            shown_probability(chance.probability)
            if chance.standing is not Standing.MEASURED_FAIL
            else NOT_KNOWN,
            governing_words(chance),
            open_words(chance),
        )
        for one in sample.temperatures
        for chance in one.classes
    )
    return Table(
        "Classes at the temperatures asked for.",
        columns,
        rows,
        note="Probability that tests would meet every predicted line of the class, taken as independent; "
        "for a measured class that of conformity. Not known: neither measured nor predicted.",
        strong=tuple(
            place
            for place, chance in enumerate(c for one in sample.temperatures for c in one.classes)
            if any(chance is one.expected_class for one in sample.temperatures)
        ),
    )


def open_words(chance: ClassChance) -> str:
    """Name the properties of a class that are neither measured nor predicted."""
    names = dict.fromkeys(symbol_of(one.requirement.quantity) for one in chance.lines if one.meets is None)
    return joined(list(names)) if names else "none"


def standing_words(standing: Standing) -> str:
    """Give a standing as mark and word."""
    return f"{STANDING_MARKS[standing]} {standing}"


def governing_words(chance: ClassChance) -> str:
    """Name the property with the least probability, and its limit."""
    for line in chance.lines:
        if line.requirement.name == chance.governing:
            sign = "≤" if line.requirement.bound == "maximum" else "≥"
            limit = shown_limit(line.limit, line.requirement.quantity)
            return f"{symbol_of(line.requirement.quantity)} {sign} {limit} {line.requirement.unit}".strip()
    return NOT_KNOWN


def limits_table(sample: SamplePrediction) -> Table | None:
    """Tabulate the temperatures at which properties meet the limits of the classes.

    Parameters
    ----------
    sample : SamplePrediction
        Of one sample.

    Returns
    -------
    Table or None
        None where no property of the specification has a line.
    """
    found = [(line, one) for line in sample.properties for one in line.limits]
    if not found:
        return None
    columns = (
        Column("Property", share=1.3),
        Column("Residue", share=1.7),
        Column("Class", share=0.8),
        Column("Limit", RIGHT, 1.3),
        Column("Met at", RIGHT, 1.1),
        Column("± 95 %", RIGHT, 1.0),
        Column("How", share=2.6),
    )
    rows = tuple(_limit_row(line, one) for line, one in found)
    return Table(
        "Temperatures at which the limits are met (continuous traffic grade).",
        columns,
        rows,
        note="Interpolated between the two tests that bracket the limit; else by the line, and said so.",
    )


def _limit_row(line: PropertyLine, one: LimitTemperature) -> tuple[str, ...]:
    sign = "≤" if one.requirement.bound == "maximum" else "≥"
    limit = f"{sign} {shown_limit(one.limit, one.requirement.quantity)} {one.requirement.unit}".strip()
    how = one.reason if one.temperature_c is None else BASIS_WORDS[one.basis].partition(" ")[2]
    return (
        symbol_of(line.quantity),
        CONDITION_WORDS[line.condition],
        one.service_class or "all",
        limit,
        shown_temperature(one.temperature_c),
        fixed(None if one.standard_c is None else 1.96 * one.standard_c, 1),
        how,
    )


def lines_table(sample: SamplePrediction) -> Table:
    """Tabulate what was tested and the line through it.

    Parameters
    ----------
    sample : SamplePrediction
        Of one sample.

    Returns
    -------
    Table
        Tests, change by one grade step, scatter and where that comes from.
    """
    columns = (
        Column("Property", share=1.2),
        Column("Residue", share=1.5),
        Column("Tested", share=3.0),
        Column("By +6 °C", RIGHT, 1.1),
        Column("Scatter", share=3.4),
    )
    rows = tuple(
        (
            symbol_of(line.quantity),
            CONDITION_WORDS[line.condition],
            "; ".join(
                f"{shown(p.value, line.quantity)} at {shown_temperature(p.temperature_c)}"
                + (f" (n = {sum(p.counted)})" if sum(p.counted) > 1 else "")
                for p in line.points
            ),
            change_words(line),
            line.scatter_note or f"no line: {line.reason}",
        )
        for line in sample.properties
    )
    return Table("Tests and lines.", columns, rows, note=_line_note(sample))


def factor_by_step(slope_per_c: float) -> float:
    """Give the factor by which a property changes over one grade step upwards."""
    return math.exp(GRADE_STEP_C * slope_per_c)


def change_words(line: PropertyLine) -> str:
    """Give the change of a property over one grade step upwards: a factor, or points at 50 % for recovery."""
    drawn = line.line
    if isinstance(drawn, TemperatureLine):
        return f"× {fixed(factor_by_step(drawn.slope_per_c), 2)}"
    if drawn is None:
        return NOT_KNOWN
    return f"{fixed(drawn.slope_per_c * GRADE_STEP_C, 2, signed=True)} logit"


def _line_note(sample: SamplePrediction) -> str:
    return (
        "ln of compliance and of the rutting parameter, and the logit of recovery, are straight lines in "
        f"temperature; a test temperature is uncertain by {fixed(sample.temperature_standard_c, 2)} °C "
        f"(standard); lines are extended by {shown_step(sample.reach_c)} °C at most."
    )
