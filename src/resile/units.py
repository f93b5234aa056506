"""The only unit conversions: what a printed unit means, and the number that brings it to ours.

Each dimension has one kept unit: s, kPa (stress), ratio (strain), °C, N·m, rad, mm, 1/kPa, Pa·s, g, rad/s,
mL/min, r/min, mN (force), 0.1 mm (penetration).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Unit:
    """One printed unit.

    Attributes
    ----------
    name : str
        Spelling for a person.
    dimension : str
        ``time``, ``stress``, ``ratio``, ``temperature``, ``torque``, ``angle``, ``length``, ``compliance``,
        ``viscosity``, ``mass``, ``angular_frequency``, ``flow``, ``rotational_speed``, ``force``,
        ``penetration``.
    factor : float
        Value in the kept unit is ``factor * printed + offset``.
    offset : float
        Non-zero for temperatures only.
    """

    name: str
    dimension: str
    factor: float
    offset: float = 0.0


KEPT_UNITS: dict[str, str] = {
    "time": "s",
    "stress": "kPa",
    "ratio": "1",
    "temperature": "°C",
    "torque": "N·m",
    "angle": "rad",
    "length": "mm",
    "compliance": "1/kPa",
    "viscosity": "Pa·s",
    "mass": "g",
    "angular_frequency": "rad/s",
    "flow": "mL/min",
    "rotational_speed": "r/min",
    "force": "mN",
    "penetration": "0.1 mm",
    "kinematic_viscosity": "mm²/s",
    "density": "kg/m³",
}

STANDARD_GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall: 1 g weighs 9.80665 mN. CGPM 1901; ISO 80000-3."""

_UNITS: tuple[tuple[Unit, tuple[str, ...]], ...] = (
    (Unit("s", "time", 1.0), ("s", "sec", "secs", "second", "seconds", "sek", "с", "сек", "秒")),
    (Unit("ms", "time", 1e-3), ("ms", "мс", "毫秒")),
    (Unit("min", "time", 60.0), ("min", "mins", "minute", "minutes", "мин", "分", "分钟")),
    (Unit("h", "time", 3600.0), ("h", "hr", "hour", "hours", "std", "ч", "час", "小时")),
    (Unit("Pa", "stress", 1e-3), ("pa", "па", "帕")),
    (Unit("kPa", "stress", 1.0), ("kpa", "кпа", "千帕")),
    (Unit("MPa", "stress", 1e3), ("mpa", "мпа", "兆帕")),
    (Unit("bar", "stress", 100.0), ("bar", "бар")),
    (Unit("mbar", "stress", 0.1), ("mbar", "hpa", "мбар")),
    (Unit("psi", "stress", 6.894757293168361), ("psi", "lbf/in2", "lbf/in²")),
    (Unit("mmHg", "stress", 0.133322387415), ("mmhg", "mm hg", "torr", "мм рт. ст.")),
    (Unit("ratio", "ratio", 1.0), ("1", "-", "–", "mm/mm", "m/m", "ratio", "fraction", "rad/rad", "abs")),
    (Unit("%", "ratio", 1e-2), ("%", "pct", "percent", "per cent", "proc", "prozent", "％")),
    (Unit("‰", "ratio", 1e-3), ("‰", "permil", "per mille", "promille")),
    (Unit("µstrain", "ratio", 1e-6), ("µstrain", "ustrain", "microstrain", "µε", "µm/m")),
    (
        Unit("°C", "temperature", 1.0),
        ("°c", "c", "degc", "deg c", "celsius", "ºc", "˚c", "®c", "℃", "oc", "°с", "grad c"),
    ),
    (Unit("K", "temperature", 1.0, -273.15), ("k", "kelvin")),
    (Unit("°F", "temperature", 5.0 / 9.0, -160.0 / 9.0), ("°f", "degf", "deg f", "℉")),
    (Unit("N·m", "torque", 1.0), ("nm", "n·m", "n.m", "n*m", "n m", "n-m", "н·м", "нм")),
    (Unit("mN·m", "torque", 1e-3), ("mnm", "mn·m", "mn.m", "mn*m", "mn m", "mn-m", "мн·м", "мнм")),
    (
        Unit("µN·m", "torque", 1e-6),
        ("µnm", "unm", "µn·m", "un·m", "µn.m", "un.m", "µn*m", "µn m", "un m", "µn-m", "un-m", "мкн·м"),
    ),
    (Unit("rad", "angle", 1.0), ("rad", "radian", "radians", "рад", "弧度")),
    (Unit("mrad", "angle", 1e-3), ("mrad", "мрад")),
    (Unit("µrad", "angle", 1e-6), ("µrad", "μrad", "urad")),
    (Unit("°", "angle", math.pi / 180.0), ("°", "deg", "degree", "degrees", "grad", "º", "˚", "度", "град")),
    (Unit("mm", "length", 1.0), ("mm", "мм", "毫米")),
    (Unit("cm", "length", 10.0), ("cm", "см")),
    (Unit("µm", "length", 1e-3), ("µm", "μm", "um", "мкм")),
    (Unit("m", "length", 1e3), ("m", "м")),
    (
        Unit("1/kPa", "compliance", 1.0),
        ("1/kpa", "kpa-1", "kpa^-1", "kpa⁻¹", "perkpa", "per kpa", "/kpa", "1/кпа", "кпа-1"),
    ),
    (Unit("1/Pa", "compliance", 1e3), ("1/pa", "pa-1", "pa^-1", "pa⁻¹", "perpa", "per pa", "/pa", "1/па")),
    (Unit("1/MPa", "compliance", 1e-3), ("1/mpa", "mpa-1", "mpa^-1", "mpa⁻¹")),
    (Unit("Pa·s", "viscosity", 1.0), ("pa·s", "pa.s", "pa s", "pas", "pa*s", "па·с")),
    (Unit("mPa·s", "viscosity", 1e-3), ("mpa·s", "mpa.s", "mpa s", "mpas", "mpa*s", "cp", "cps", "мпа·с")),
    (Unit("P", "viscosity", 0.1), ("p", "poise")),
    (
        Unit("mm²/s", "kinematic_viscosity", 1.0),
        ("mm²/s", "mm2/s", "mm^2/s", "cst", "centistokes", "мм²/с", "сст"),
    ),
    (Unit("St", "kinematic_viscosity", 100.0), ("st", "stokes", "cm²/s", "cm2/s", "ст")),
    (Unit("m²/s", "kinematic_viscosity", 1e6), ("m²/s", "m2/s", "m^2/s")),
    (Unit("kg/m³", "density", 1.0), ("kg/m³", "kg/m3", "kg/m^3", "kg m-3", "g/l", "кг/м³", "кг/м3")),
    (
        Unit("g/cm³", "density", 1e3),
        ("g/cm³", "g/cm3", "g/cm^3", "g/ml", "kg/l", "kg/dm³", "t/m³", "г/см³", "г/см3"),
    ),
    (Unit("g", "mass", 1.0), ("g", "gram", "grams", "г", "克")),
    (Unit("kg", "mass", 1e3), ("kg", "кг")),
    (Unit("mg", "mass", 1e-3), ("mg", "мг")),
    (Unit("mL/min", "flow", 1.0), ("ml/min", "cm3/min", "cm³/min", "cc/min", "мл/мин")),
    (Unit("L/min", "flow", 1e3), ("l/min", "dm3/min", "dm³/min", "л/мин")),
    (Unit("r/min", "rotational_speed", 1.0), ("r/min", "rpm", "1/min", "min-1", "rev/min", "об/мин")),
    (Unit("mN", "force", 1.0), ("mn", "мн")),
    (Unit("N", "force", 1e3), ("n", "н", "newton")),
    (Unit("gf", "force", STANDARD_GRAVITY_M_S2), ("gf", "g-force", "gram-force", "pond")),
    (
        Unit("0.1 mm", "penetration", 1.0),
        ("0.1 mm", "0,1 mm", "0.1mm", "0,1mm", "1/10 mm", "dmm", "0,1 мм", "0.1 мм"),
    ),
    (Unit("rad/s", "angular_frequency", 1.0), ("rad/s", "rad s", "rad_s", "1/s", "s-1", "рад/с")),
    (Unit("Hz", "angular_frequency", 2.0 * math.pi), ("hz", "гц")),
)

# "mPa" and "MPa" differ in case only, as do "mPa·s" and "MPa·s": exact spellings win over folded ones.
_EXACT: dict[str, Unit] = {
    "MPa": Unit("MPa", "stress", 1e3),
    "mPa": Unit("mPa", "stress", 1e-6),
}
# Folding turns the micro sign into the Greek letter: the table is folded like what it is asked for.
_FOLDED: dict[str, Unit] = {spelling.casefold(): unit for unit, spellings in _UNITS for spelling in spellings}
_BRACKETS = re.compile(r"^[\s\[\](){}<>]+|[\s\[\](){}<>]+$")


def find_unit(text: str) -> Unit | None:
    """Give the unit that a printed text means.

    Parameters
    ----------
    text : str
        A unit as printed, with or without brackets, for example ``"[kPa]"``.

    Returns
    -------
    Unit or None
        None where the text is not a unit we know.
    """
    bare = _BRACKETS.sub("", text)
    if bare in _EXACT:
        return _EXACT[bare]
    return _FOLDED.get(re.sub(r"\s+", " ", bare.casefold()))


def convert(value: float, unit: Unit) -> float:
    """Give a printed value in the kept unit of its dimension."""
    return value * unit.factor + unit.offset


def weight_of(unit: Unit) -> Unit:
    """Give the unit of force that a unit of mass stands for on a load: what the mass weighs.

    Parameters
    ----------
    unit : Unit
        A unit of mass.

    Returns
    -------
    Unit
        The same spelling, as a force by standard gravity.

    Examples
    --------
    >>> round(convert(100.0, weight_of(Unit("g", "mass", 1.0))), 3)
    980.665
    """
    return Unit(unit.name, "force", unit.factor * STANDARD_GRAVITY_M_S2)
