"""Results of one sample set side by side, and how their places are told."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from resile.judge.wording import property_words, residue_words, temperature_words
from resile.records.determination import Condition, Result
from resile.records.finding import Measure

SAME_TEMPERATURE_C = 0.2
"""Results no further apart are of one temperature [°C]: tables print 76.02 for 76, and T 313 allows ± 0.1 °C
to each bath. Common practice."""

OSCILLATION = ("rutting_parameter", "complex_modulus", "phase_angle", "fatigue_parameter")
BEAM = ("creep_stiffness", "m_value")

Measures = tuple[Measure, ...]
"""What one comparison gave: the rules are asked of each comparison by itself."""


def usable(results: Sequence[Result], quantity: str) -> list[Result]:
    """Give the results of a property that have a number above zero, coldest first.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.
    quantity : str
        Name from the glossary.

    Returns
    -------
    list of Result
        Those without a temperature come first.
    """
    own = [r for r in results if r.quantity == quantity and r.value is not None and r.value > 0.0]
    return sorted(own, key=lambda r: -273.15 if r.temperature_c is None else r.temperature_c)


def same_temperature(first: Result, second: Result) -> bool:
    """Tell whether two results are of one temperature, or neither has one."""
    if first.temperature_c is None or second.temperature_c is None:
        return first.temperature_c is second.temperature_c
    return abs(first.temperature_c - second.temperature_c) <= SAME_TEMPERATURE_C


def matching(results: Sequence[Result], one: Result, quantity: str) -> Result | None:
    """Give the result of another property of the same residue at the same temperature.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.
    one : Result
        The result to set it beside.
    quantity : str
        Name from the glossary.

    Returns
    -------
    Result or None
        None where there is none with a number.
    """
    for other in results:
        alike = other.quantity == quantity and other.condition is one.condition
        if alike and other.value is not None and same_temperature(one, other):
            return other
    return None


def place_words(result: Result, *, quantity: bool = True, residue: bool = True) -> str:
    """Name sample, property, residue and temperature of a result.

    Parameters
    ----------
    result : Result
        Any.
    quantity, residue : bool
        Leave one out where the sentence tells it.

    Returns
    -------
    str
        For example ``tank, |G*|/sin δ of original binder at 64 °C``.
    """
    named = property_words(result.quantity) if quantity else ""
    if residue and result.condition is not Condition.UNKNOWN:
        words = f"{residue_words(result.condition)} binder"
        named = f"{named} of {words}" if named else words
    at = "" if result.temperature_c is None else f"at {temperature_words(result.temperature_c)}"
    told = " ".join(part for part in (named, at) if part)
    return f"{result.sample}, {told}" if told else result.sample


def value_of(result: Result) -> float:
    """Give the number of a result that is known to have one."""
    return 0.0 if result.value is None else result.value


def neighbours(results: Sequence[Result]) -> Iterator[tuple[Result, Result]]:
    """Give the neighbouring temperatures of a property of one residue, the colder first.

    Parameters
    ----------
    results : sequence of Result
        Of one property, coldest first.
    """
    families: dict[Condition, list[Result]] = {}
    for result in results:
        if result.temperature_c is not None:
            families.setdefault(result.condition, []).append(result)
    for family in families.values():
        yield from itertools.pairwise(family)


def method_of(quantity: str) -> str:
    """Name the test that measures a property at a temperature; empty for the others.

    Parameters
    ----------
    quantity : str
        Name from the glossary.

    Returns
    -------
    str
        ``oscillation``, ``beam``, ``creep_recovery`` or ``viscosity``.
    """
    if quantity in OSCILLATION:
        return "oscillation"
    if quantity in BEAM:
        return "beam"
    if quantity.startswith(("jnr_0", "jnr_3", "percent_recovery")):
        return "creep_recovery"
    return "viscosity" if quantity == "rotational_viscosity" else ""
