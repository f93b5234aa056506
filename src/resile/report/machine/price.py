"""Price factors as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.price import PriceRule, PriceView


def price_to_json(view: PriceView) -> dict[str, Any]:
    """Give a price factor with glossary names.

    Parameters
    ----------
    view : PriceView
        A price factor.

    Returns
    -------
    dict
        Rule, value, factor, what would change it.
    """
    rule, result = view.rule, view.result
    return {
        "rule": rule.identifier,
        "document": rule.document,
        "sha256": rule.sha256,
        "sample": result.sample,
        "quantity": rule.quantity,
        "condition": str(result.condition),
        "temperature_c": result.temperature_c,
        "value": result.value,
        "unit": rule.unit,
        "limit": view.limit,
        "factor": view.factor,
        "may_be_defective": view.may_be_defective,
        "changes": [{"title": one.title, "value": one.value, "factor": one.factor} for one in view.changes],
        "expected_factor": view.expected_factor,
        "full_price_probability": view.full_price_probability,
        "defective_probability": view.defective_probability,
    }


def price_rule_to_json(rule: PriceRule) -> dict[str, Any]:
    """Give a price rule with the keys of its file.

    Parameters
    ----------
    rule : PriceRule
        As loaded.

    Returns
    -------
    dict
        Identity, property, line or steps, ends.
    """
    return {
        "identifier": rule.identifier,
        "title": rule.title,
        "document": rule.document,
        "edition": rule.edition,
        "evidence": rule.evidence,
        "checked": rule.checked,
        "sha256": rule.sha256,
        "quantity": rule.quantity,
        "condition": str(rule.condition),
        "bound": rule.bound,
        "unit": rule.unit,
        "limit": rule.limit,
        "allowance": rule.allowance,
        "loss_per_unit": rule.loss_per_unit,
        "steps": [{"edge": step.edge, "factor": step.factor} for step in rule.steps],
        "highest_factor": rule.highest_factor,
        "lowest_factor": rule.lowest_factor,
        "defective_at_most": rule.defective_at_most,
        "notes": list(rule.notes),
    }
