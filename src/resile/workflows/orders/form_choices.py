"""The words that a results form offers in its lists: names of specifications, rules and methods."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import ResileError
from resile.records.order import TestOrder
from resile.specifications.load import load_ageing_method
from resile.specifications.search import files_of, name_in

BASES = ("reproducibility", "repeatability", "replicates")
FEEDS = ("short-term aged", "original")


def form_choices() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Give the words that may stand in a field of the form, by its key."""
    return (
        ("specification", _names("limits")),
        ("decision_rule", _names("decision_rules")),
        ("retest_rule", _names("retest_rules")),
        ("uncertainty_basis", BASES),
        ("method", _methods("short-term")),
        ("long_term_ageing.method", _methods("long-term")),
        ("long_term_ageing.feed", FEEDS),
        ("invented", ("yes", "no")),
    )


def _names(kind: str) -> tuple[str, ...]:
    return tuple(name for file in files_of(kind) if (name := name_in(file)))


def _methods(kind: str) -> tuple[str, ...]:
    """Name the ageing methods of a kind; a file that is no such method has nothing to offer here."""
    named = []
    for name in _names("methods"):
        try:
            method = load_ageing_method(name)
        except ResileError:
            continue
        if method.kind == kind:
            named.append(method.identifier)
    return tuple(named)


def with_choices(order: TestOrder) -> TestOrder:
    """Give the filled form of an order the lists of an empty one: it can then be changed and sent again."""
    if order.form is None:
        return order
    return replace(order, form=replace(order.form, choices=form_choices()))
