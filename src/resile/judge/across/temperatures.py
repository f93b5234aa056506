"""One residue over temperature: a binder softens with heat, and by how much a step is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.across.pairs import Measures, neighbours, place_words, usable, value_of
from resile.judge.wording import property_words, temperature_words
from resile.records.determination import Result
from resile.records.finding import Measure

FALLING = (
    "rutting_parameter",
    "complex_modulus",
    "fatigue_parameter",
    "creep_stiffness",
    "rotational_viscosity",
)
"""Properties that fall as the temperature rises."""
RISING = ("jnr_0.1", "jnr_3.2", "m_value")
STEP_C = 6.0
"""A grade step [°C]. AASHTO M 320, Table 1."""
_LEAST_GAP_C = 3.0
"""Closer temperatures are no step: the doubt of both values would be carried over a long way. Own rule."""


def temperature_measures(results: Sequence[Result]) -> Iterator[Measures]:
    """Compare each property at neighbouring temperatures.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.

    Yields
    ------
    tuple of Measure
        ``wrong_way_percent`` (how far a property moves against the temperature) and
        ``factor_per_step_<property>`` (softening for 6 °C of heating), with both values.
    """
    told: set[tuple[str, float]] = set()
    for quantity in (*FALLING, *RISING):
        for colder, hotter in neighbours(usable(results, quantity)):
            low, high = colder.temperature_c or 0.0, hotter.temperature_c or 0.0
            if high - low < _LEAST_GAP_C:
                continue
            key = (colder.condition, round(low))
            if quantity == "complex_modulus" and key in told:
                continue  # |G*|/sin δ has said the same
            if quantity == "rutting_parameter":
                told.add(key)
            yield _compared(colder, hotter, high - low)


def _compared(colder: Result, hotter: Result, gap_c: float) -> Measures:
    cold, hot = value_of(colder), value_of(hotter)
    softening = cold / hot if colder.quantity in FALLING else hot / cold
    where = (
        f"{place_words(colder)} and {temperature_words(hotter.temperature_c or 0.0)}"
        if colder.temperature_c is not None
        else property_words(colder.quantity)
    )
    return (
        Measure("wrong_way_percent", 100.0 * (1.0 / softening - 1.0), "%", where),
        Measure(f"factor_per_step_{colder.quantity}", softening ** (STEP_C / gap_c), "", where),
        Measure("colder", cold, colder.unit),
        Measure("hotter", hot, hotter.unit),
    )
