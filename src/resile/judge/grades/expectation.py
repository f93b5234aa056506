"""What a prediction comes to in sentences, and the single test that tells most."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.judge.wording import (
    limit_words,
    number_words,
    property_words,
    residue_words,
    span_words,
    temperature_words,
)
from resile.records.determination import Condition
from resile.records.prediction import (
    AskedTemperature,
    Basis,
    ClassChance,
    LimitChance,
    NextTest,
    SamplePrediction,
    Standing,
)
from resile.records.specification import Specification
from resile.records.temperature_line import TemperatureLine

_HARDLY_OPEN = 0.45
"""Further than this from one half a probability leaves little to settle. Own choice."""
_BOUND_WORDS = {"maximum": "at most", "minimum": "at least"}


def probability_words(probability: float) -> str:
    """Give a probability in per cent, never as certain: ``under 0.1 %``, ``97.5 %``, ``over 99.9 %``.

    Parameters
    ----------
    probability : float
        0 to 1.

    Returns
    -------
    str
        With one decimal below 10 and above 90 %, whole else.
    """
    percent = 100.0 * probability
    if percent < 0.1:
        return "under 0.1 %"
    if percent > 99.9:
        return "over 99.9 %"
    shown = f"{percent:.1f}" if percent < 9.95 or percent > 90.0 else f"{percent:.0f}"
    return f"{shown.removesuffix('.0')} %"


def next_test(chances: Sequence[ClassChance], temperature_c: float) -> NextTest | None:
    """Give the test that tells most: that of the predicted property nearest to a limit.

    Parameters
    ----------
    chances : sequence of ClassChance
        At the temperature.
    temperature_c : float
        Temperature asked for [°C].

    Returns
    -------
    NextTest or None
        A property that decides a class and is neither measured nor predicted comes first; None where
        everything that decides was measured.
    """
    lines = [(chance, line) for chance in chances for line in chance.lines if line.verdict is None]
    deciding = [(c, line) for c, line in lines if line.requirement.decides_class]
    unknown = [(c, line) for c, line in deciding if line.probability is None]
    if unknown:
        chance, line = unknown[0]
        return _test(line, temperature_c, f"without it nothing can be said of {chance.label}")
    told = [(c, line) for c, line in lines if line.probability is not None]
    if not told or not deciding:
        return None
    chance, line = min(told, key=lambda one: abs((one[1].probability or 0.0) - 0.5))
    if abs((line.probability or 0.0) - 0.5) > _HARDLY_OPEN:
        return _test(line, temperature_c, "it confirms what is expected with little doubt")
    probability = probability_words(line.probability or 0.0)
    limit = f"{_BOUND_WORDS[line.requirement.bound]} {limit_words(line.limit)}"
    return _test(line, temperature_c, f"it settles {chance.label} ({limit}), now met with {probability}")


def _test(line: LimitChance, temperature_c: float, why: str) -> NextTest:
    asked = line.requirement
    reason = (
        f"{property_words(asked.quantity)} on {residue_words(asked.condition)} binder at "
        f"{temperature_words(temperature_c)}: {why}"
    )
    return NextTest(asked.quantity, asked.condition, temperature_c, reason)


def answer_words(asked: AskedTemperature, prediction: SamplePrediction) -> str:
    """Give the situation at one temperature in sentences.

    Parameters
    ----------
    asked : AskedTemperature
        Values and classes.
    prediction : SamplePrediction
        Specification, lines and the required probability.

    Returns
    -------
    str
        What is expected of the property that decides, whether the class held where it was tested still
        holds, which class is carried, what a binder would need, and the next test.
    """
    sentences = [_expected(asked, prediction)]
    if asked.temperature_c not in prediction.specification.high_temperatures_c:
        at = temperature_words(asked.temperature_c)
        sentences.append(f"{at} is no grade step of {prediction.specification.identifier}.")
    sentences += _still(asked, prediction.specification)
    sentences.append(_carried(asked, prediction.required_probability))
    sentences += _needed(asked, prediction)
    if asked.next_test is not None:
        sentences.append(f"Next test: {asked.next_test.reason}.")
    return " ".join(sentence for sentence in sentences if sentence)


def _deciding(chance: ClassChance) -> LimitChance | None:
    """Give the line that governs among those that decide the class."""
    lines = [line for line in chance.lines if line.requirement.decides_class and line.expected is not None]
    return min(lines, key=lambda one: 1.0 if one.probability is None else one.probability, default=None)


def _expected(asked: AskedTemperature, prediction: SamplePrediction) -> str:
    at = temperature_words(asked.temperature_c)
    line = next((found for one in asked.classes if (found := _deciding(one)) is not None), None)
    value = line.expected if line is not None else None
    if line is None or value is None or value.value is None:
        said = value.reason if value is not None else _not_tested(prediction)
        why = f": {said}" if said else ""
        return f"At {at} nothing can be said of the property that decides the class{why}."
    name = f"{property_words(value.quantity)} of {residue_words(value.condition)} binder"
    unit = line.requirement.unit
    shown = f"{number_words(value.value)} {unit}".strip()
    if value.basis is Basis.MEASURED:
        return f"At {at} {name} was measured: {shown}."
    how = {
        Basis.INTERPOLATED: "between two tests",
        Basis.EXTRAPOLATED: "beyond the tests",
        Basis.PRIOR: f"by the published slope of {_kind_words(prediction)}",
    }[value.basis]
    band = span_words((value.low or 0.0, value.high or 0.0))
    return f"At {at} {name} is expected at {shown} ({how}; 95 % of single tests lie from {band})."


def _not_tested(prediction: SamplePrediction) -> str:
    """Say on which residue the deciding property was tested instead, or that it was not tested."""
    deciding = [
        r for r in prediction.specification.requirements if r.decides_class and r.temperature == "high"
    ]
    if not deciding:
        return ""
    asked = deciding[0]
    name = property_words(asked.quantity)
    others = [one.condition for one in prediction.properties if one.quantity == asked.quantity]
    if not others:
        return f"{name} was not tested"
    tested = " and ".join(
        "binder of unstated residue" if one is Condition.UNKNOWN else f"{residue_words(one)} binder"
        for one in others
    )
    return f"{name} was tested on {tested}, and {residue_words(asked.condition)} binder is asked for"


def _kind_words(prediction: SamplePrediction) -> str:
    return prediction.kind.title if prediction.kind is not None else "its kind"


def _still(asked: AskedTemperature, specification: Specification) -> list[str]:
    """Say whether the class held where it was tested still holds."""
    if asked.held_class is None or asked.tested_c is None or asked.tested_c == asked.temperature_c:
        return []
    held = specification.label.format(temperature=f"{asked.tested_c:g}", service_class=asked.held_class)
    chance = next((one for one in asked.classes if one.service_class.name == asked.held_class), None)
    if chance is None or chance.standing is Standing.UNKNOWN:
        return [f"Tests at {temperature_words(asked.tested_c)} show {held}."]
    if chance.standing in (Standing.MEASURED_PASS, Standing.MEASURED_FAIL):
        verb = "also show" if chance.passes else "do not show"
        return [f"Tests at {temperature_words(asked.tested_c)} show {held}; here they {verb} {chance.label}."]
    return [
        f"Tests at {temperature_words(asked.tested_c)} show {held}; the probability that it still meets "
        f"{chance.label} is {probability_words(chance.probability or 0.0)}."
    ]


def _carried(asked: AskedTemperature, required: float) -> str:
    expected, sure = asked.expected_class, asked.sure_class
    if expected is None:
        if all(one.standing is Standing.UNKNOWN for one in asked.classes):
            return ""
        return f"It is expected to carry no class here{_because(asked.classes[0]) if asked.classes else ''}."
    how = (
        "It was measured to carry"
        if expected.standing is Standing.MEASURED_PASS
        else "It is expected to carry"
    )
    chance = (
        f" ({probability_words(expected.probability)})"
        if expected.probability is not None and expected.standing is Standing.PREDICTED_PASS
        else ""
    )
    if sure is expected:
        return f"{how} {expected.label}{chance}."
    share = probability_words(required)
    rest = f"{sure.label} is what it carries with {share} or more" if sure else f"no class reaches {share}"
    return f"{how} {expected.label}{chance}; {rest}."


def _because(chance: ClassChance) -> str:
    """Name the property that keeps the mildest class from being carried."""
    line = next((one for one in chance.lines if one.requirement.name == chance.governing), None)
    if line is None or line.meets is not False or line.expected is None or line.expected.value is None:
        return ""
    asked = line.requirement
    value = number_words(line.expected.value, line.limit)
    return (
        f": {property_words(asked.quantity)} of {residue_words(line.expected.condition)} binder is "
        f"{line.expected.basis} at {value} {asked.unit}".rstrip()
        + f", and {_BOUND_WORDS[asked.bound]} {limit_words(line.limit)} is asked for {chance.label}"
    )


def _needed(asked: AskedTemperature, prediction: SamplePrediction) -> list[str]:
    """Say what a binder must show to be sure of the class that is held elsewhere."""
    chance = next((one for one in asked.classes if one.service_class.name == asked.held_class), None)
    line = _deciding(chance) if chance is not None else None
    if chance is None or line is None or line.needed_value is None or line.expected is None:
        return []
    if (chance.probability or 0.0) >= prediction.required_probability:
        return []
    name, unit = property_words(line.requirement.quantity), line.requirement.unit
    there = _at_tested(line, asked, prediction)
    beside = (
        f" (about {number_words(there)} at {temperature_words(asked.tested_c)})"
        if there and asked.tested_c
        else ""
    )
    direction = "harder or more elastic" if line.requirement.bound == "maximum" else "harder"
    return [
        f"To meet {chance.label} with {probability_words(prediction.required_probability)}, a binder "
        f"with the same slope needs an expected {name} of {_BOUND_WORDS[line.requirement.bound]} "
        f"{number_words(line.needed_value)} {unit} here{beside}: a {direction} one."
    ]


def _at_tested(line: LimitChance, asked: AskedTemperature, prediction: SamplePrediction) -> float | None:
    """Bring the needed value back along the slope to the temperature tested nearest."""
    if line.expected is None or line.needed_value is None or asked.tested_c is None:
        return None
    for one in prediction.properties:
        same = one.quantity == line.expected.quantity and one.condition is line.expected.condition
        if same and isinstance(one.line, TemperatureLine):
            return line.needed_value * math.exp(one.line.slope_per_c * (asked.tested_c - asked.temperature_c))
    return None
