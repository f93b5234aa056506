"""The quantity a long table names in words, symbols or with its stress in a column of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass

from resile.readers.headings import fold, read_heading, vocabulary
from resile.records.quantity import RESULT_QUANTITIES

_STRESS_TOLERANCE = 0.01


@dataclass(frozen=True, slots=True)
class QuantityName:
    """A quantity, the unit printed with its name, and what to say of the spelling."""

    quantity: str
    unit_text: str = ""
    remark: str = ""


def name_quantity(text: str, stress_kpa: float | None = None) -> QuantityName | str:
    """Give the quantity a text names, or the reason why it names none.

    Parameters
    ----------
    text : str
        Content of the quantity column.
    stress_kpa : float or None
        Stress of the row, where a column gives it [kPa].

    Returns
    -------
    QuantityName or str
        The reason lists the known names.

    Examples
    --------
    >>> name_quantity("Jnr3.2").quantity
    'jnr_3.2'
    """
    bare = text.strip()
    if not bare:
        return "no quantity is named"
    if bare in RESULT_QUANTITIES:
        return _agreeing(QuantityName(bare), stress_kpa)
    plain = fold(bare).replace(" ", "_")
    if plain in RESULT_QUANTITIES:
        return _agreeing(QuantityName(plain, remark=f"quantity {bare!r} read as {plain}"), stress_kpa)
    base = vocabulary().levelled.get(fold(bare))
    if base is not None:
        return _at_stress(bare, base, stress_kpa)
    reading = read_heading([bare])
    if reading.quantity in RESULT_QUANTITIES:
        remark = reading.remark or f"quantity {bare!r} read as {reading.quantity}"
        return _agreeing(QuantityName(str(reading.quantity), reading.unit_text, remark), stress_kpa)
    known = ", ".join(RESULT_QUANTITIES)
    if reading.candidates:
        return f"quantity {bare!r} {reading.remark}; write {' or '.join(reading.candidates)}"
    return f"quantity {bare!r} is not known; known are {known}"


def _at_stress(bare: str, base: str, stress_kpa: float | None) -> QuantityName | str:
    if stress_kpa is None:
        return (
            f"quantity {bare!r} needs its stress: write {base}_0.1 or {base}_3.2, or add a column stress_kpa"
        )
    for level in ("0.1", "3.2"):
        if math.isclose(stress_kpa, float(level), rel_tol=_STRESS_TOLERANCE):
            return QuantityName(f"{base}_{level}", remark=f"quantity {bare!r} joined with its stress column")
    return f"quantity {bare!r} at {stress_kpa:g} kPa is not known; known are {base}_0.1 and {base}_3.2"


def _agreeing(named: QuantityName, stress_kpa: float | None) -> QuantityName | str:
    level = named.quantity.rpartition("_")[2]
    if stress_kpa is None or level not in {"0.1", "3.2"}:
        return named
    if math.isclose(stress_kpa, float(level), rel_tol=_STRESS_TOLERANCE):
        return named
    return f"quantity {named.quantity} stands beside a stress of {stress_kpa:g} kPa; correct one of them"
