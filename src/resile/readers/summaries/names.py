"""The quantity a long table names in words, symbols or with its stress in a column of its own."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from resile.readers.conditions import read_condition
from resile.readers.grids.headings import read_heading
from resile.readers.grids.vocabulary import fold, vocabulary
from resile.records.determination import Condition
from resile.records.quantity import RESULT_QUANTITIES

_STRESS_TOLERANCE = 0.01
_ASIDE = re.compile(r"\(([^()]+)\)|[,;]\s*([^,;]+)$")
_AT_TEMPERATURE = re.compile(
    r"(?:,|\bat|@|\bbei|\bà)?\s*\(?([-−]?\d+(?:[.,]\d+)?)\s*(?:°|º)\s*C\)?", re.IGNORECASE
)


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


@dataclass(frozen=True, slots=True)
class LineTitle:
    """A line of a certificate, ``Jnr3.2 at 64 °C (RTFO)``, taken apart.

    Attributes
    ----------
    quantity_text : str
        What is left once temperature and residue are taken out.
    temperature_c : float or None
        Temperature it names [°C].
    condition : Condition
        Residue it names; ``UNKNOWN`` where it names none.
    """

    quantity_text: str
    temperature_c: float | None = None
    condition: Condition = Condition.UNKNOWN


def take_apart(text: str) -> LineTitle:
    """Take temperature and residue out of the title of a certificate's line.

    Examples
    --------
    >>> take_apart("Jnr3.2 at 64 °C (RTFO)").temperature_c
    64.0
    """
    condition = Condition.UNKNOWN
    for found in _ASIDE.finditer(text):
        named, _ = read_condition(found[1] or found[2])
        if named is not Condition.UNKNOWN:
            condition, text = named, text.replace(found[0], " ")
            break
    at = _AT_TEMPERATURE.search(text)
    celsius = float(at[1].replace(",", ".").replace("−", "-")) if at else None
    text = text.replace(at[0], " ") if at else text
    return LineTitle(" ".join(text.split()).strip(" ,;"), celsius, condition)


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
