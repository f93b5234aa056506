"""What an order asks for: the rules it names, the class it wants, the grade that its sender claims."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from resile.errors import InputError, SpecificationError
from resile.judge.grades.grade_claim import parse_grade_claim
from resile.records.finding import Finding, Severity
from resile.records.order import TestOrder
from resile.records.specification import Specification
from resile.workflows.judging.agreement import Yardstick, agree


def agree_on_order(
    order: TestOrder, price_rules: Sequence[str | Path] = (), price_limit: float | None = None
) -> Yardstick:
    """Load what an order asks to be judged by; what it does not say has its default.

    Parameters
    ----------
    order : TestOrder
        With the names of its rules.
    price_rules, price_limit
        Price rules of the contract and the limit they count from; beside those of the order.

    Raises
    ------
    ResileError
        Where a rule is not known, or the limit contradicts that of the order.
    """
    given = {
        "decision_rule": order.decision_rule,
        "uncertainty_basis": order.uncertainty_basis,
        "retest_rule": order.retest_rule,
        "budget": order.budget,
        "correlation": order.correlation,
        "tested": order.tested,
    }
    chosen: dict[str, Any] = {name: value for name, value in given.items() if value}
    chosen |= {
        "price_rules": tuple(dict.fromkeys((*order.price_rule, *price_rules))),
        "price_limit": _price_limit(order, price_limit),
        "precision": order.precision,
    }
    return agree(order.specification, **chosen) if order.specification else agree(**chosen)


def _price_limit(order: TestOrder, given: float | None) -> float | None:
    """Give the limit that the price counts from; an order that states another is refused, not overruled."""
    if given is not None and order.price_limit is not None and given != order.price_limit:
        raise InputError(
            f"key 'price_limit' of the test order says {order.price_limit:g}, --price-limit {given:g}: "
            "leave one of them out, or make both the same"
        )
    return order.price_limit if given is None else given


def claimed_in(order: TestOrder, specification: Specification) -> tuple[str | None, tuple[Finding, ...]]:
    """Give the claim to verify; a claim in other words than the specification's is told, not judged."""
    text = order.sample.claimed_grade
    if not text:
        return None, ()
    try:
        parse_grade_claim(text, specification)
    except InputError as error:
        told = Finding(
            code="claimed-grade-unknown",
            severity=Severity.NOTE,
            message=f"The grade that the sender claims was not verified: {error}.",
            rule="only a grade of the specification in force can be verified",
            source="own rule",
            advice="Name the grade as the specification does, or judge by the specification it belongs to.",
        )
        return None, (told,)
    return text, ()


def check_asked(order: TestOrder, specification: Specification, path: str) -> None:
    """Refuse a class or temperature that the specification does not have: nothing could ever satisfy it."""
    classes = [service.name for service in specification.classes]
    if order.service_class and order.service_class not in classes:
        named = ", ".join(name for name in classes if name) or "none"
        raise SpecificationError(
            f"{path}, key 'service_class': {specification.identifier} has no class {order.service_class!r}; "
            f"its classes: {named}"
        )
    steps = specification.high_temperatures_c
    if order.high_temperature_c is not None and order.high_temperature_c not in steps:
        named = ", ".join(f"{step:g}" for step in steps)
        raise SpecificationError(
            f"{path}, key 'high_temperature_c': {order.high_temperature_c:g} °C is no step of "
            f"{specification.identifier}; its steps: {named} °C"
        )
