"""A claimed grade in words, ``PG 64-22`` or ``64V``, held strictly against what a specification has."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from resile.errors import InputError
from resile.records.specification import ServiceClass, Specification

_DASHES = str.maketrans({"\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "\N{NON-BREAKING HYPHEN}": "-"})
_LOW_END = re.compile(r"-\d+(\.\d+)?$")


@dataclass(frozen=True, slots=True)
class GradeClaim:
    """One grade of a specification.

    Attributes
    ----------
    label : str
        As the specification writes it.
    high_temperature_c : float
        Climatic high temperature [°C].
    service_class : ServiceClass
        Class of the specification.
    low_temperature_c : float or None
        Low grade temperature [°C]; None where the claim is a class, the high-temperature part alone.
    """

    label: str
    high_temperature_c: float
    service_class: ServiceClass
    low_temperature_c: float | None


def full_grade_label(
    specification: Specification, high_temperature_c: float, service_class: ServiceClass, low_c: float
) -> str:
    """Give the name of a whole grade, for example ``PG 64V-22``.

    Parameters
    ----------
    specification : Specification
        Holds the template.
    high_temperature_c, low_c : float
        The two ends [°C].
    service_class : ServiceClass
        Class of the specification.

    Returns
    -------
    str
        With a plain hyphen as minus, as the trade writes it.
    """
    return specification.full_label.format(
        temperature=f"{high_temperature_c:g}", service_class=service_class.name, low=f"{low_c:g}"
    )


def parse_grade_claim(text: str, specification: Specification) -> GradeClaim:
    """Find the grade that a claim names.

    Parameters
    ----------
    text : str
        ``PG 64-22``, ``64V-22``, ``64V``; capitals, blanks and a leading ``PG`` do not matter.
    specification : Specification
        The rule set; only grades that it has can be claimed.

    Returns
    -------
    GradeClaim
        The whole grade, or the class.

    Raises
    ------
    InputError
        Where the specification has no such grade; says which ones it has there.
    """
    wanted = _plain(text)
    for claim in _every(specification):
        if wanted and _plain(claim.label) == wanted:
            return claim
    raise InputError(_refusal(text, wanted, specification))


def _plain(text: str) -> str:
    """Leave only what tells grades apart: no blanks, no capitals, no leading PG."""
    return "".join(text.translate(_DASHES).casefold().split()).removeprefix("pg")


def _every(specification: Specification) -> Iterator[GradeClaim]:
    for high in specification.high_temperatures_c:
        for service in specification.classes:
            label = specification.label.format(temperature=f"{high:g}", service_class=service.name)
            yield GradeClaim(label, high, service, None)
            for low in specification.low_temperatures_c.get(high, ()):
                yield GradeClaim(full_grade_label(specification, high, service, low), high, service, low)


def _refusal(text: str, wanted: str, specification: Specification) -> str:
    name = f"{specification.document} ({specification.edition})"
    if not specification.low_temperatures_c and _LOW_END.search(wanted):
        return (
            f"claim '{text}': {name} grades the high temperature alone; "
            f"claim a class such as {_like(specification)}"
        )
    number = re.match(r"\d+", wanted)
    high = float(number.group()) if number else None
    if high not in specification.high_temperatures_c:
        steps = ", ".join(f"{step:g}" for step in specification.high_temperatures_c)
        return (
            f"claim '{text}': {name} has no such grade; its high temperatures are {steps} °C, "
            f"as in {_like(specification)}"
        )
    parts = [f"claim '{text}': {name} has no such grade; needed is one such as {_like(specification, high)}"]
    lows = specification.low_temperatures_c.get(high, ())
    if lows:
        parts.append(f"low grades of {high:g} are {', '.join(f'{low:g}' for low in lows)}")
    names = [service.name for service in specification.classes if service.name]
    if names:
        parts.append(f"classes are {', '.join(names)}")
    return "; ".join(parts)


def _like(specification: Specification, high_c: float | None = None) -> str:
    """Give a label that the specification has, as an example."""
    steps = specification.high_temperatures_c
    high = steps[len(steps) // 2] if high_c is None else high_c
    mild = specification.classes[0]
    lows = specification.low_temperatures_c.get(high, ())
    if lows:
        return full_grade_label(specification, high, mild, lows[len(lows) // 2])
    return specification.label.format(temperature=f"{high:g}", service_class=mild.name)
