"""The table of mixing rules: what each mixes, in which unit, where it holds and who says so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from resile.errors import MeasurementError


@dataclass(frozen=True, slots=True)
class MixingRule:
    """One rule, and what is known of its reach.

    Attributes
    ----------
    name, title, source, evidence : str
        Name by which it is chosen, words for a person, document, evidence mark.
    transform : str
        What is averaged: ``"value"``, ``"logarithm"`` or ``"log-log"``.
    quantities : tuple of str
        Quantities of the glossary that it mixes.
    worked_in : str
        Unit the transform is taken in.
    factor : float
        Units of `worked_in` in one unit of the glossary.
    validity : str
        Where it holds, in words.
    needs_interaction : bool
        True where an interaction of the components must be given or fitted.
    """

    name: str
    title: str
    transform: str
    quantities: tuple[str, ...]
    worked_in: str
    factor: float
    validity: str
    source: str
    evidence: str
    needs_interaction: bool = False


_VISCOSITIES = ("capillary_viscosity", "rotational_viscosity")
_D4887 = (
    "ASTM D4887: percent agent by mass from a viscosity blend chart at 60 °C; the chart is log-log viscosity"
)
_UNIT_TRAP = "; another unit gives another result, so the unit belongs to the name"
_ALL = (
    MixingRule(
        "log-compliance",
        "logarithm of compliance by mass",
        "logarithm",
        ("jnr_3.2", "jnr_0.1"),
        "1/kPa",
        1.0,
        "two neat bases, as a first guess; no published table of two bases with Jnr is established",
        "by analogy with viscosity; common practice, no source",
        "derived",
    ),
    MixingRule(
        "log-viscosity",
        "logarithm of viscosity by mass (Arrhenius)",
        "logarithm",
        _VISCOSITIES,
        "Pa·s",
        1.0,
        "binders of like kind, at one temperature; not for a soft agent in a hard binder",
        "Chaffin and others 1995, Transportation Research Record, abstract",
        "read",
    ),
    MixingRule(
        "grunberg-nissan",
        "logarithm of viscosity with an interaction of each pair",
        "logarithm",
        _VISCOSITIES,
        "Pa·s",
        1.0,
        "aged binder and agent at 60 °C (47 pairs); the interaction depends on the gap of viscosity: fit it",
        "Grunberg and Nissan; Chaffin and others 1995, Transportation Research Record, abstract",
        "read",
        needs_interaction=True,
    ),
    MixingRule(
        "log-log-viscosity-cp",
        "log-log of viscosity in centipoise",
        "log-log",
        _VISCOSITIES,
        "cP",
        1000.0,
        "aged binder with a softening agent of low viscosity, at 60 °C" + _UNIT_TRAP,
        _D4887,
        "recalled",
    ),
    MixingRule(
        "log-log-viscosity-p",
        "log-log of viscosity in poise",
        "log-log",
        _VISCOSITIES,
        "P",
        10.0,
        "as in centipoise, but not the practice of the standard: for comparison" + _UNIT_TRAP,
        _D4887,
        "recalled",
    ),
    MixingRule(
        "log-log-viscosity-cst",
        "log-log of kinematic viscosity in centistokes",
        "log-log",
        ("kinematic_viscosity",),
        "cSt",
        1.0,
        "as in centipoise; without the 0.7 cSt of ASTM D341, which is nothing above 100 cSt" + _UNIT_TRAP,
        _D4887,
        "recalled",
    ),
    MixingRule(
        "en13108-penetration",
        "logarithm of penetration by mass",
        "logarithm",
        ("penetration",),
        "0.1 mm",
        1.0,
        "penetration-graded binder with reclaimed binder",
        "EN 13108-1, annex A",
        "recalled",
    ),
    MixingRule(
        "en13108-softening-point",
        "softening point by mass",
        "value",
        ("softening_point",),
        "°C",
        1.0,
        "penetration-graded binder with reclaimed binder; not with polymer",
        "EN 13108-1, annex A",
        "recalled",
    ),
    MixingRule(
        "linear-temperature",
        "critical temperature by share of reclaimed binder",
        "value",
        ("reported_high_temperature", "reported_low_temperature"),
        "°C",
        1.0,
        "new and reclaimed binder, without agent; published blends were off by up to 2.1 °C",
        "Asphalt Institute MS-2, 7th edition, section 11.4; NCHRP Report 452, method A",
        "read",
    ),
)
RULES: Mapping[str, MixingRule] = MappingProxyType({rule.name: rule for rule in _ALL})
"""Every rule by name."""


def rule_by_name(name: str) -> MixingRule:
    """Give a rule by its name.

    Parameters
    ----------
    name : str
        A key of `RULES`.

    Returns
    -------
    MixingRule
        The rule.

    Raises
    ------
    MeasurementError
        Lists the names where there is no such rule.
    """
    if name not in RULES:
        raise MeasurementError(f"mixing rule '{name}' is not known; needed is one of {', '.join(RULES)}")
    return RULES[name]
