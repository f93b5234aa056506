"""Specifications and rules for machines."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from resile.records.price import PriceRule
from resile.records.rule_file import RuleFile
from resile.records.slope_prior import BinderKind
from resile.records.specification import Specification
from resile.report.machine.prediction import binder_kind_to_json
from resile.report.machine.price import price_rule_to_json
from resile.report.machine.records import specification_to_json


def rule_file_to_json(rule: RuleFile) -> dict[str, Any]:
    """Give a specification or rule as a dictionary.

    Parameters
    ----------
    rule : RuleFile
        As loaded.

    Returns
    -------
    dict
        Its fields.
    """
    if isinstance(rule, Specification):
        return specification_to_json(rule)
    if isinstance(rule, PriceRule):
        return price_rule_to_json(rule)
    if isinstance(rule, BinderKind):
        return binder_kind_to_json(rule)
    return asdict(rule)
