"""Residues of one binder side by side: ageing stiffens, and by how much is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.across.pairs import Measures, place_words, same_temperature, usable, value_of
from resile.judge.wording import residue_words
from resile.records.determination import Condition, Result
from resile.records.finding import Measure
from resile.records.quantity import QUANTITIES

AGEING_ORDER = (Condition.ORIGINAL, Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED)
COMPARED = (
    "rutting_parameter",
    "complex_modulus",
    "fatigue_parameter",
    "rotational_viscosity",
    "creep_stiffness",
    "m_value",
    "jnr_0.1",
    "jnr_3.2",
    "phase_angle",
    "penetration",
    "softening_point",
)


def ageing_measures(results: Sequence[Result]) -> Iterator[Measures]:
    """Compare each property of two residues that follow each other in ageing, at one temperature.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.

    Yields
    ------
    tuple of Measure
        ``ageing_ratio_<property>`` (aged over younger), its inverse, a tenth and a thousandth of either, and
        both values; for the phase angle and the softening point the rise as well.
    """
    told: set[tuple[Condition, Condition, float | None]] = set()
    for quantity in COMPARED:
        for younger, aged in _pairs(usable(results, quantity)):
            key = (younger.condition, aged.condition, _rounded(younger.temperature_c))
            if quantity == "complex_modulus" and key in told:
                continue  # |G*|/sin δ has said the same
            if quantity == "rutting_parameter":
                told.add(key)
            yield _compared(younger, aged)


def _pairs(results: Sequence[Result]) -> Iterator[tuple[Result, Result]]:
    """Give each residue with the next younger one that was tested at its temperature."""
    for place, condition in enumerate(AGEING_ORDER):
        for aged in (r for r in results if r.condition is condition):
            for earlier in reversed(AGEING_ORDER[:place]):
                younger = next(
                    (r for r in results if r.condition is earlier and same_temperature(r, aged)), None
                )
                if younger is not None:
                    yield younger, aged
                    break


def _compared(younger: Result, aged: Result) -> Measures:
    quantity, unit = aged.quantity, QUANTITIES[aged.quantity].unit
    first, second = value_of(younger), value_of(aged)
    ratio = second / first
    where = (
        f"{place_words(aged, residue=False)}, {residue_words(aged.condition)} "
        f"against {residue_words(younger.condition)} binder"
    )
    far = max(ratio, 1.0 / ratio)
    return (
        Measure(f"ageing_ratio_{quantity}", ratio, "", where),
        Measure(f"ageing_rise_{quantity}", second - first, unit, where),
        Measure("inverse", 1.0 / ratio),
        Measure("tenth", far / 10.0),
        Measure("thousandth", far / 1000.0),
        Measure("younger", first, unit),
        Measure("aged", second, unit),
    )


def _rounded(temperature_c: float | None) -> float | None:
    return None if temperature_c is None else float(round(temperature_c))
