"""Two methods on one residue at one temperature: what one gives bounds the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from resile.judge.across.pairs import Measures, matching, place_words, usable, value_of
from resile.records.determination import Result
from resile.records.finding import Measure

ANGULAR_FREQUENCY_RAD_S = 10.0
"""A Newtonian liquid has Jnr = ω/(|G*|/sin δ) = 10/(|G*|/sin δ) at the frequency of a grade. Definition."""
_GLASSY_STIFFNESS_MPA = 3000.0
"""Three times the glassy shear modulus of 1 GPa. Christensen and Anderson, from memory (high)."""


def method_measures(results: Sequence[Result]) -> Iterator[Measures]:
    """Compare creep and recovery with oscillation, and stiffness with its slope.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.

    Yields
    ------
    tuple of Measure
        ``creep_product_<stress>`` with the recovery where known; ``creep_stress_ratio``, the compliance at
        the high over that at the low stress; ``recovery_beside_angle_<stress>`` with the phase angle;
        ``beam_shape`` from stiffness and m-value.
    """
    for stress in ("0.1", "3.2"):
        yield from _creep_products(results, stress)
    yield from _stress_ratios(results)
    yield from _recoveries(results)
    yield from _beam_shapes(results)


def _creep_products(results: Sequence[Result], stress: str) -> Iterator[Measures]:
    for jnr in usable(results, f"jnr_{stress}"):
        rutting = matching(results, jnr, "rutting_parameter")
        if rutting is None or value_of(rutting) <= 0.0:
            continue
        if stress == "3.2" and matching(results, jnr, "jnr_0.1") is not None:
            continue  # the low stress is nearer to the linear range of the oscillation
        product = value_of(jnr) * value_of(rutting) / ANGULAR_FREQUENCY_RAD_S
        where = place_words(jnr, quantity=False)
        recovery = matching(results, jnr, "percent_recovery_3.2")
        known = () if recovery is None else (Measure("recovery", value_of(recovery), "%"),)
        yield (
            Measure(f"creep_product_{stress}", product, "", where),
            Measure("thousandth_of_product", product / 1000.0),
            Measure("thousandfold_of_product", product * 1000.0),
            Measure("jnr", value_of(jnr), "1/kPa"),
            Measure("rutting", value_of(rutting), "kPa"),
            *known,
        )


def _stress_ratios(results: Sequence[Result]) -> Iterator[Measures]:
    for high in usable(results, "jnr_3.2"):
        low = matching(results, high, "jnr_0.1")
        if low is not None and value_of(low) > 0.0:
            yield (
                Measure(
                    "creep_stress_ratio",
                    value_of(high) / value_of(low),
                    "",
                    place_words(high, quantity=False),
                ),
                Measure("low", value_of(low), "1/kPa"),
                Measure("high", value_of(high), "1/kPa"),
            )


def _recoveries(results: Sequence[Result]) -> Iterator[Measures]:
    for stress in ("0.1", "3.2"):
        for recovery in (r for r in results if r.quantity == f"percent_recovery_{stress}"):
            angle = matching(results, recovery, "phase_angle")
            if angle is not None and recovery.value is not None:
                yield (
                    Measure(f"recovery_beside_angle_{stress}", recovery.value, "%", place_words(recovery)),
                    Measure("phase_angle", value_of(angle), "°"),
                )


def _beam_shapes(results: Sequence[Result]) -> Iterator[Measures]:
    """Give the rheological index that stiffness and m-value imply.

    ``R = log 2 · log(S/3000)/log(1 − m)``, S in MPa: NCHRP Report 982, from memory (high); it follows from
    the Christensen-Anderson model with S = 3 G and m = δ/90°.
    """
    for stiffness in usable(results, "creep_stiffness"):
        slope = matching(results, stiffness, "m_value")
        size = value_of(stiffness)
        if slope is None or not 0.0 < value_of(slope) < 1.0 or size >= _GLASSY_STIFFNESS_MPA:
            continue
        shape = math.log10(2.0) * math.log(size / _GLASSY_STIFFNESS_MPA) / math.log(1.0 - value_of(slope))
        yield (
            Measure("beam_shape", shape, "", place_words(stiffness, quantity=False)),
            Measure("stiffness", size, "MPa"),
            Measure("slope", value_of(slope)),
        )
