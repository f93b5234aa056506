"""The quantities resile knows: one name for one thing in code, table, page and manual.

The glossary in ``docs/glossary.md`` is tested against this table.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """One row of the glossary.

    Attributes
    ----------
    name : str
        Name in code, tables, JSON and TOML.
    symbol : str
        Symbol for a page.
    unit : str
        The unit values are kept in; empty for a bare number or a word.
    title : str
        Words for a person.
    source : str
        Where the definition comes from.
    """

    name: str
    symbol: str
    unit: str
    title: str
    source: str = ""


_T350 = "AASHTO T 350, section 9, from memory (high)"
_T315 = "AASHTO T 315"

_SIGNAL = (
    Quantity("time_s", "t", "s", "running time"),
    Quantity("stress_kpa", "τ", "kPa", "shear stress"),
    Quantity("strain", "γ", "", "shear strain (ratio)"),
    Quantity("temperature_c", "T", "°C", "specimen temperature"),
    Quantity("torque_nm", "M", "N·m", "torque on the plate"),
    Quantity("angle_rad", "θ", "rad", "rotation of the plate"),
    Quantity("plate_diameter_mm", "d", "mm", "plate diameter"),
    Quantity("gap_mm", "h", "mm", "gap between the plates"),
    Quantity("cycle_number", "N", "", "cycle number in the file"),
    Quantity("segment_number", "", "", "step or segment number in the file"),
    Quantity("point_number", "", "", "point number in the file"),
)

_CREEP_RECOVERY = (
    Quantity("jnr_0.1", "Jnr0.1", "1/kPa", "non-recoverable creep compliance at 0.1 kPa", _T350),
    Quantity("jnr_3.2", "Jnr3.2", "1/kPa", "non-recoverable creep compliance at 3.2 kPa", _T350),
    Quantity("percent_recovery_0.1", "R0.1", "%", "percent recovery at 0.1 kPa", _T350),
    Quantity("percent_recovery_3.2", "R3.2", "%", "percent recovery at 3.2 kPa", _T350),
    Quantity("jnr_difference_percent", "Jnr,diff", "%", "difference in compliance, 0.1 to 3.2 kPa", _T350),
    Quantity("recovery_difference_percent", "Rdiff", "%", "difference in recovery, 0.1 to 3.2 kPa", _T350),
    Quantity(
        "jnr_slope_percent",
        "Jnr,slope",
        "%/kPa",
        "slope of compliance between 0.1 and 3.2 kPa",
        "Stempihar, Underwood and others, Transportation Research Record 2018, from memory (high)",
    ),
    Quantity("traffic_class", "", "", "traffic class as reported (a letter or word)"),
)

_OTHER_RESULTS = (
    Quantity("rutting_parameter", "|G*|/sin δ", "kPa", "rutting parameter at 10 rad/s", _T315),
    Quantity("complex_modulus", "|G*|", "kPa", "complex shear modulus at 10 rad/s", _T315),
    Quantity("phase_angle", "δ", "°", "phase angle at 10 rad/s", _T315),
    Quantity("rotational_viscosity", "η", "Pa·s", "rotational viscosity", "AASHTO T 316"),
    Quantity("flash_point", "", "°C", "flash point, Cleveland open cup", "AASHTO T 48"),
    Quantity("mass_change_percent", "Δm", "%", "mass change in short-term ageing", "AASHTO T 240"),
    Quantity("fatigue_parameter", "|G*|·sin δ", "kPa", "fatigue parameter at 10 rad/s", _T315),
    Quantity("creep_stiffness", "S", "MPa", "creep stiffness after 60 s of loading", "AASHTO T 313"),
    Quantity("m_value", "m", "", "slope of creep stiffness after 60 s of loading", "AASHTO T 313"),
    Quantity("failure_strain_percent", "εf", "%", "failure strain in direct tension", "AASHTO T 314"),
    Quantity(
        "glover_rowe_parameter",
        "G-R",
        "kPa",
        "Glover-Rowe parameter, |G*| cos² δ/sin δ",
        "FHWA Turner-Fairbank recycling data set (2025); Rowe 2011, from memory (high)",
    ),
    Quantity(
        "capillary_viscosity",
        "η",
        "Pa·s",
        "dynamic viscosity in a vacuum capillary, at 60 °C",
        "AASHTO T 202",
    ),
    Quantity("kinematic_viscosity", "ν", "mm²/s", "kinematic viscosity, at 135 °C", "AASHTO T 201"),
    Quantity(
        "viscosity_ratio",
        "η/η0",
        "",
        "viscosity at 60 °C after short-term ageing over that before",
        "definition; supplier certificates",
    ),
    Quantity(
        "retained_penetration_percent",
        "",
        "%",
        "penetration after short-term ageing as a share of that before",
        "EN 12591, from memory (high)",
    ),
    Quantity("density", "ρ", "kg/m³", "density", "EN 15326, from memory (medium)"),
    Quantity("penetration", "pen", "0.1 mm", "penetration at 25 °C", "EN 1426"),
    Quantity("softening_point", "T(R&B)", "°C", "softening point, ring and ball", "EN 1427"),
    Quantity(
        "storage_softening_difference_c",
        "ΔT(R&B)",
        "°C",
        "softening point after hot storage in a tube, top less bottom",
        "EN 13399, from memory (high)",
    ),
    Quantity("elastic_recovery_percent", "ER", "%", "elastic recovery in the ductilometer", "AASHTO T 301"),
)

_D7643 = "ASTM D7643, from memory (high)"
_REPORTED = (
    Quantity("reported_high_temperature", "", "°C", "continuous high grade temperature as reported", _D7643),
    Quantity("reported_low_temperature", "", "°C", "continuous low grade temperature as reported", _D7643),
    Quantity(
        "reported_stiffness_temperature",
        "Tc,S",
        "°C",
        "test temperature at the limit of stiffness, as reported",
        _D7643,
    ),
    Quantity(
        "reported_m_value_temperature",
        "Tc,m",
        "°C",
        "test temperature at the limit of the m-value, as reported",
        _D7643,
    ),
    Quantity("reported_delta_tc", "ΔTc", "°C", "Tc,S less Tc,m as reported"),
    Quantity("reported_outcome", "", "", "pass or fail as reported (1 or 0)"),
)

_DERIVED = (
    Quantity(
        "delta_tc",
        "ΔTc",
        "°C",
        "critical temperature of stiffness less that of the m-value",
        _D7643,
    ),
)

_AGEING = (
    Quantity("ageing_temperature_c", "", "°C", "temperature of the oven or vessel during ageing"),
    Quantity("ageing_time_h", "", "h", "time of ageing in the oven or vessel"),
)
AGEING_QUANTITIES: tuple[str, ...] = tuple(q.name for q in _AGEING)
"""How a residue was made: from ageing records, never in a table of results."""

_ALL = (*_SIGNAL, *_CREEP_RECOVERY, *_OTHER_RESULTS, *_REPORTED, *_DERIVED, *_AGEING)
QUANTITIES: dict[str, Quantity] = {quantity.name: quantity for quantity in _ALL}
"""Every quantity by name."""

REPORTED_QUANTITIES: tuple[str, ...] = ("traffic_class", *(q.name for q in _REPORTED))
"""Conclusions as somebody else drew them: compared with the results, never judged themselves."""

WORD_QUANTITIES = frozenset({"traffic_class", "reported_outcome"})
"""Quantities printed as a word."""

RESULT_QUANTITIES: tuple[str, ...] = tuple(q.name for q in (*_CREEP_RECOVERY, *_OTHER_RESULTS, *_REPORTED))
"""Names allowed in the quantity column of a table of results."""

REQUIREMENT_QUANTITIES: tuple[str, ...] = (*RESULT_QUANTITIES, *(q.name for q in _DERIVED))
"""Names that a requirement may limit: results, and what is derived from several of them."""
