"""Each value by itself: its size and its temperature against what the method can give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.across.pairs import OSCILLATION, Measures, method_of, place_words, value_of
from resile.records.determination import Condition, Result
from resile.records.finding import Measure, Severity, worst_severity
from resile.records.quantity import QUANTITIES

NOT_RELATIVE = ("percent_recovery", "phase_angle")
"""Properties whose scatter in per cent of their size says nothing."""


def size_measures(results: Sequence[Result]) -> Iterator[Measures]:
    """Give value and temperature of each typed or supplied result.

    Parameters
    ----------
    results : sequence of Result
        Of one sample; those from raw records alone have been checked there.

    Yields
    ------
    tuple of Measure
        ``value_<property>`` with ``temperature``; the size of a mass change without its sign.
    """
    for result in results:
        if result.value is None or all(d.raw for d in result.determinations):
            continue
        value = abs(result.value) if result.quantity == "mass_change_percent" else result.value
        yield (
            Measure(f"value_{result.quantity}", value, QUANTITIES[result.quantity].unit, place_words(result)),
            *_temperature(result),
        )


def place_measures(results: Sequence[Result]) -> Iterator[Measures]:
    """Give each test temperature once a method.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.

    Yields
    ------
    tuple of Measure
        ``temperature_of_<method>``: oscillation, beam, creep_recovery or viscosity.
    """
    told: set[tuple[str, object, float]] = set()
    for result in results:
        method = method_of(result.quantity)
        if not method or result.temperature_c is None:
            continue
        key = (method, result.condition, round(result.temperature_c, 1))
        if key not in told:
            told.add(key)
            yield (
                Measure(f"temperature_of_{method}", result.temperature_c, "°C", place_words(result)),
                Measure("unsigned", abs(result.temperature_c), "°C"),
                Measure("from_fahrenheit", (result.temperature_c - 32.0) / 1.8, "°C"),
            )


def spread_measures(results: Sequence[Result]) -> Iterator[Measures]:
    """Give the relative range of replicates that no published precision covers.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.

    Yields
    ------
    tuple of Measure
        ``replicate_range_percent`` with the ends.
    """
    told: set[tuple[Condition, float | None]] = set()
    for result in results:
        values = [
            d.value
            for d in result.determinations
            if d.value is not None and d.value > 0.0 and worst_severity(d.findings) is not Severity.INVALID
        ]
        measured = method_of(result.quantity) and not result.quantity.startswith(NOT_RELATIVE)
        if len(values) < 2 or not measured or result.repeatability is not None:
            continue
        if result.quantity in OSCILLATION:
            key = (result.condition, result.temperature_c)
            if key in told:
                continue  # another parameter of the same modulus has said it
            told.add(key)
        wide = 100.0 * (max(values) - min(values)) / value_of(result) if result.value else 0.0
        yield (
            Measure("replicate_range_percent", wide, "%", place_words(result)),
            Measure("replicates", float(len(values))),
            Measure("lowest", min(values), result.unit),
            Measure("highest", max(values), result.unit),
        )


def _temperature(result: Result) -> Measures:
    return () if result.temperature_c is None else (Measure("temperature", result.temperature_c, "°C"),)
