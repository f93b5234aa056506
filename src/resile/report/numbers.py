"""Rounding for show, by named rule: the only place where a number loses digits.

Use `shown` for a bare number, `shown_with_uncertainty` for ``value ± U``, `shown_against` where a value
stands beside a limit, `shown_margin` for a signed distance and `shown_probability` for a probability. Records
keep full precision; nothing in here is ever computed with.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

MINUS = "\N{MINUS SIGN}"
NOT_KNOWN = "\N{EN DASH}"
_GROUP = "\N{NARROW NO-BREAK SPACE}"
_MOST_DECIMALS = 12


@dataclass(frozen=True, slots=True)
class ShowRule:
    """How many digits of a quantity are shown.

    Attributes
    ----------
    name : str
        Name of the rule in words.
    decimals : int or None
        Fixed decimals; None where significant figures rule.
    significant : int or None
        Significant figures; None where decimals rule.
    """

    name: str
    decimals: int | None = None
    significant: int | None = None


THREE_FIGURES = ShowRule("three significant figures", significant=3)
TENTH = ShowRule("one decimal", decimals=1)
THOUSANDTH = ShowRule("three decimals", decimals=3)
HUNDREDTH = ShowRule("two decimals", decimals=2)
WHOLE = ShowRule("whole number", decimals=0)

# Jnr and recovery: AASHTO T 350 and ASTM D7405, from memory (medium). Viscosity, phase angle and flash point:
# proficiency practice. The others: common practice, no source.
SHOW_RULES: dict[str, ShowRule] = {
    "jnr_0.1": THREE_FIGURES,
    "jnr_3.2": THREE_FIGURES,
    "percent_recovery_0.1": TENTH,
    "percent_recovery_3.2": TENTH,
    "jnr_difference_percent": TENTH,
    "recovery_difference_percent": TENTH,
    "jnr_slope_percent": TENTH,
    "rutting_parameter": THREE_FIGURES,
    "complex_modulus": THREE_FIGURES,
    "phase_angle": TENTH,
    "rotational_viscosity": THOUSANDTH,
    "flash_point": WHOLE,
    "mass_change_percent": THOUSANDTH,
    "m_value": THOUSANDTH,
    "delta_tc": TENTH,
    "failure_strain_percent": HUNDREDTH,
    "capillary_viscosity": THREE_FIGURES,
    "kinematic_viscosity": WHOLE,
    "viscosity_ratio": HUNDREDTH,
    "retained_penetration_percent": WHOLE,
    "density": WHOLE,
    "penetration": WHOLE,
    "softening_point": TENTH,
    "elastic_recovery_percent": TENTH,
    "temperature_c": TENTH,
}


def rule_for(quantity: str) -> ShowRule:
    """Give the rule of a quantity; three significant figures where none is named."""
    return SHOW_RULES.get(quantity, THREE_FIGURES)


def decimals_of(value: float, rule: ShowRule) -> int:
    """Give the decimals that a rule leaves a value.

    Parameters
    ----------
    value : float
        Finite number.
    rule : ShowRule
        The rule.

    Returns
    -------
    int
        Zero or more.
    """
    if rule.decimals is not None:
        return rule.decimals
    figures = rule.significant or 3
    if value == 0.0:
        return figures - 1
    exact = Decimal(repr(value))
    decimals = max(0, figures - 1 - exact.adjusted())
    # 9.996 to three figures is 10.0, not 10.00: the power of ten is that of the rounded number.
    rounded = exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN)
    return max(0, figures - 1 - rounded.adjusted()) if rounded else decimals


def fixed(value: float | None, decimals: int, *, signed: bool = False) -> str:
    """Show a number with fixed decimals, rounded half to even on its decimal digits.

    Parameters
    ----------
    value : float or None
        The number.
    decimals : int
        Decimals kept.
    signed : bool
        Show a plus sign too.

    Returns
    -------
    str
        With a true minus sign and groups of three from 10 000 upwards; an en dash for None.
    """
    if value is None:
        return NOT_KNOWN
    if not math.isfinite(value):
        return "not a number" if math.isnan(value) else "infinite"
    rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN)
    digits = f"{abs(rounded):f}"
    whole, _, part = digits.partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", _GROUP)
    text = f"{whole}.{part}" if part else whole
    if rounded < 0:
        return MINUS + text
    return "+" + text if signed and rounded > 0 else text


def shown(value: float | None, quantity: str) -> str:
    """Show a value by the rule of its quantity."""
    if value is None or not math.isfinite(value):
        return fixed(value, 0)
    return fixed(value, decimals_of(value, rule_for(quantity)))


def shown_with_uncertainty(value: float, expanded: float, quantity: str) -> str:
    """Show ``value ± U`` with matching digits.

    Parameters
    ----------
    value, expanded : float
        Value and expanded uncertainty in one unit.
    quantity : str
        Name from the glossary.

    Returns
    -------
    str
        The rule's digits, or more where the uncertainty would otherwise vanish.
    """
    decimals = decimals_of(value, rule_for(quantity))
    while expanded > 0 and expanded < 0.5 * 10.0**-decimals and decimals < _MOST_DECIMALS:
        decimals += 1
    return f"{fixed(value, decimals)} ± {fixed(expanded, decimals)}"


def shown_against(value: float, limit: float, quantity: str) -> str:
    """Show a value so that it still lies on its own side of a limit.

    Parameters
    ----------
    value, limit : float
        Value and limit in one unit.
    quantity : str
        Name from the glossary.

    Returns
    -------
    str
        By the rule, with more digits where rounding would put 2.0004 on a limit of 2.0.
    """
    decimals = decimals_of(value, rule_for(quantity))
    while value != limit and decimals < _MOST_DECIMALS:
        rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN)
        if rounded != Decimal(repr(float(limit))):
            break
        decimals += 1
    return fixed(value, decimals)


def shown_margin(margin: float | None, quantity: str) -> str:
    """Show a signed margin; at least two figures of a small one stay.

    Parameters
    ----------
    margin : float or None
        Distance to the limit, positive on the good side.
    quantity : str
        Name from the glossary.

    Returns
    -------
    str
        For example ``+0.347`` or ``−0.011``.
    """
    if margin is None or not math.isfinite(margin):
        return fixed(margin, 0)
    rule = rule_for(quantity)
    decimals = decimals_of(margin, rule)
    if rule.significant and abs(margin) < 0.0995:  # 0.1 less a last bit is still 0.100
        decimals = decimals_of(margin, ShowRule("two figures", significant=2))
    while margin != 0.0 and abs(margin) < 0.5 * 10.0**-decimals and decimals < _MOST_DECIMALS:
        decimals += 1
    return fixed(margin, decimals, signed=True)


def shown_limit(limit: float, quantity: str = "") -> str:
    """Show a limit with the digits it was written with, at least one decimal below ten.

    Parameters
    ----------
    limit : float
        The limit.
    quantity : str
        Name from the glossary; an m-value always has three decimals, as the trade writes it.

    Returns
    -------
    str
        For example ``4.5`` or ``0.300``.
    """
    exact = Decimal(repr(float(limit))).normalize()
    written = max(0, -int(exact.as_tuple().exponent))
    least = 3 if quantity == "m_value" else (1 if abs(limit) < 10.0 else 0)
    return fixed(limit, max(written, least))


def shown_probability(probability: float | None) -> str:
    """Show a probability in per cent, never as a certainty it is not.

    Parameters
    ----------
    probability : float or None
        Between 0 and 1.

    Returns
    -------
    str
        ``> 99.9 %`` and ``< 0.1 %`` at the ends.
    """
    if probability is None:
        return NOT_KNOWN
    if probability > 0.999:
        return "> 99.9 %"
    if probability < 0.001:
        return "< 0.1 %"
    return f"{fixed(100.0 * probability, 1)} %"


_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def three_figures(value: float) -> str:
    """Show a number that may span many decades: three figures, as a power of ten where it is far from one.

    Parameters
    ----------
    value : float
        Above zero.

    Returns
    -------
    str
        For example ``"12.3"``, ``"4.56 × 10⁻⁷"``.
    """
    rounded = float(f"{value:.3g}")
    power = math.floor(math.log10(rounded)) if rounded > 0.0 else 0
    if power < -3 or rounded >= 1e7:
        return f"{fixed(rounded / 10.0**power, 2)} × 10{str(power).translate(_RAISED)}"
    return fixed(rounded, max(0, 2 - power))


def shown_temperature(temperature_c: float | None) -> str:
    """Show a temperature to 0.1 °C with its unit."""
    return NOT_KNOWN if temperature_c is None else f"{fixed(temperature_c, 1)} °C"


def shown_step(temperature_c: float) -> str:
    """Show a grade step: whole where it is whole."""
    return fixed(temperature_c, 0 if float(temperature_c).is_integer() else 1)


def full(value: float | None) -> str:
    """Show every digit that is kept."""
    return NOT_KNOWN if value is None else repr(float(value)).replace("-", MINUS)
