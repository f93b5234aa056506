"""Quick answers by published rules: a property of a blend, recycling agent, warm mix, hot storage.

No trial blend stands behind these: each answer says where its rule holds and how far it was off. For
recipes from trial blends see `resile.workflows.blending`.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from resile.compute.blending.rules.hot_storage import storage_loss
from resile.compute.blending.rules.mixing_rules import mix
from resile.compute.blending.rules.reclaimed import warm_mix_gain
from resile.compute.blending.rules.recycling_agent import recycling_dose
from resile.compute.blending.rules.rule_table import RULES, rule_by_name
from resile.errors import InputError
from resile.records.blending.mixed import RuleAnswer
from resile.records.blending.reclaimed import RecyclingDose
from resile.records.quantity import QUANTITIES
from resile.specifications.blending import load_polymer_effect, load_reclaimed_practice
from resile.workflows.blending.ruling.sheets import StorageSheet, WarmMixSheet


def mix_by_rule(
    rule: str,
    values: Sequence[float],
    percent: Sequence[float],
    *,
    interaction: float | None = None,
    quantity: str = "",
) -> RuleAnswer:
    """Mix a property of binders by a rule.

    Parameters
    ----------
    rule : str
        Name of the rule; `resile blend rule` lists them.
    values : sequence of float
        Property of each component, in the unit of the glossary.
    percent : sequence of float
        Their shares by mass; they add up to 100 [%].
    interaction : float or None
        Of two components, for a rule that needs it.
    quantity : str
        Which of the rule's quantities it is; the first where left out.

    Returns
    -------
    RuleAnswer
        The value with its rule, validity and source.

    Raises
    ------
    InputError
        Where the rule is not known, numbers do not go together, or the rule does not mix this quantity.
    """
    chosen = rule_by_name(rule)
    named = quantity or chosen.quantities[0]
    if named not in chosen.quantities:
        raise InputError(f"mixing rule '{rule}' mixes {' or '.join(chosen.quantities)}; found {named}")
    if len(values) != len(percent):
        raise InputError(f"{len(values)} values and {len(percent)} shares found; needed is one share a value")
    pairs = None
    if interaction is not None:
        if len(values) != 2:
            raise InputError(f"interaction: it belongs to two components; found {len(values)}")
        pairs = [[0.0, interaction], [0.0, 0.0]]
    mixed = mix(rule, [one / 100.0 for one in percent], values, interaction=pairs)
    return RuleAnswer(named, QUANTITIES[named].unit, chosen.title, tuple(percent), tuple(values), mixed)


def list_mixing_rules() -> tuple[dict[str, Any], ...]:
    """List the mixing rules with unit, validity and source.

    Returns
    -------
    tuple of dict
        In the order of the table.
    """
    return tuple(
        {
            "rule": rule.name,
            "title": rule.title,
            "quantities": list(rule.quantities),
            "worked_in": rule.worked_in,
            "validity": rule.validity,
            "source": rule.source,
            "evidence": rule.evidence,
        }
        for rule in RULES.values()
    )


def dose_recycling_agent(
    without_c: tuple[float, float],
    with_c: tuple[float, float],
    *,
    tested_percent: float,
    wanted_high_c: float,
    contract_high_c: float | None = None,
) -> RecyclingDose:
    """Say how much recycling agent brings a blend down to a wanted high temperature.

    Parameters
    ----------
    without_c, with_c : tuple of float
        High and low temperature of the blend without agent, and with the tested dose [°C].
    tested_percent : float
        That dose [%].
    wanted_high_c : float
        High temperature wanted [°C].
    contract_high_c : float or None
        High temperature that must be kept [°C].

    Returns
    -------
    RecyclingDose
        Dose, low temperature at it, largest dose.

    Raises
    ------
    InputError
        Where the numbers do not go together.
    """
    return recycling_dose(
        without_c,
        with_c,
        tested_percent=tested_percent,
        wanted_high_c=wanted_high_c,
        contract_high_c=contract_high_c,
    )


def gain_of_warm_mix(
    new_binder: str, *, hot_c: float, warm_c: float, practice: str | Path = "common"
) -> float:
    """Say by how much a cooler plant improves the low grade of the new binder.

    Parameters
    ----------
    new_binder : str
        Its grade, such as ``58-28``.
    hot_c, warm_c : float
        Usual temperature of the plant, and that of the warm mix [°C].
    practice : str or Path
        File of published practice.

    Returns
    -------
    float
        Improvement towards colder [°C].

    Raises
    ------
    InputError
        Where nothing is published for that grade.
    """
    published = load_reclaimed_practice(practice)
    rates = {one.new_binder: one.gain_per_c for one in published.warm_mix}
    name = new_binder.removeprefix("PG").strip()
    if name not in rates:
        raise InputError(f"warm mix: nothing is published for {new_binder}; known are {', '.join(rates)}")
    return float(warm_mix_gain(rates[name], hot_c, warm_c))


def answer_warm_mix(
    new_binder: str, *, hot_c: float, warm_c: float, practice: str | Path = "common"
) -> WarmMixSheet:
    """Give `gain_of_warm_mix` with its source, as a sheet.

    Parameters
    ----------
    new_binder : str
        Its grade, such as ``58-28``.
    hot_c, warm_c : float
        Usual temperature of the plant, and that of the warm mix [°C].
    practice : str or Path
        File of published practice.

    Returns
    -------
    WarmMixSheet
        The gain, and where it was published.

    Raises
    ------
    InputError
        Where nothing is published for that grade.
    """
    gain = gain_of_warm_mix(new_binder, hot_c=hot_c, warm_c=warm_c, practice=practice)
    return WarmMixSheet(new_binder, hot_c, warm_c, gain, load_reclaimed_practice(practice).warm_mix_source)


def loss_in_storage(hours: float, temperature_c: float, *, polymer: str | Path = "sbs") -> StorageSheet:
    """Say what hot storage leaves of the effect of polymer, as far as published.

    Parameters
    ----------
    hours : float
        Time [h].
    temperature_c : float
        Temperature [°C].
    polymer : str or Path
        File of the polymer.

    Returns
    -------
    StorageSheet
        Retained share, what is known, and the source.

    Raises
    ------
    InputError
        Where time or temperature cannot be.
    """
    effect = load_polymer_effect(polymer)
    loss = storage_loss(effect.storage, hours=hours, temperature_c=temperature_c)
    return StorageSheet(loss, effect.storage_source)
