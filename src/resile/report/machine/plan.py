"""A test plan as plain data for machines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.plan import OpenTest, PlannedTest, TestPlan
from resile.records.specification import Specification


def plan_to_json(plan: TestPlan) -> dict[str, Any]:
    """Give a plan with glossary names.

    Parameters
    ----------
    plan : TestPlan
        Residues and tests in working order.

    Returns
    -------
    dict
        Grade, specification, residues, tests, what was left out.
    """
    return {
        "grade": plan.grade,
        "sample": plan.sample or None,
        "specification": plan.specification.identifier,
        "edition": plan.specification.edition,
        "book": plan.book.identifier,
        "high_temperature_c": plan.high_temperature_c,
        "low_temperature_c": plan.low_temperature_c,
        "service_class": plan.service_class or None,
        "long_term_ageing_c": list(plan.long_term_ageing_c),
        "preparations": [
            {
                "condition": str(one.condition),
                "title": one.title,
                "method": one.method,
                "binder_g": one.binder_g,
                "tolerances": [_tolerance(row.what, row.asked, row.source) for row in one.tolerances],
                "cautions": list(one.cautions),
                "note": one.note,
            }
            for one in plan.preparations
        ],
        "tests": [_test(number, test) for number, test in enumerate(plan.tests, start=1)],
        "left_out": list(plan.left_out),
        "cautions": {one.name: one.text for one in plan.book.cautions},
    }


def _tolerance(what: str, asked: str, source: str) -> dict[str, str]:
    return {"what": what, "asked": asked, "source": source}


def _test(number: int, test: PlannedTest) -> dict[str, Any]:
    method = test.method
    return {
        "number": number,
        "title": method.title,
        "method": method.method,
        "condition": str(test.condition),
        "temperature_c": test.temperature_c,
        "requirements": [
            {"name": r.name, "quantity": r.quantity, "bound": r.bound, "limit": limit, "unit": r.unit}
            for r, limit in zip(test.requirements, test.limits, strict=True)
        ],
        "specimen": method.specimen,
        "plate_diameter_mm": method.plate_diameter_mm,
        "gap_mm": method.gap_mm,
        "specimens": method.specimens,
        "binder_g": method.binder_g,
        "conditioning": method.conditioning,
        "tolerances": [_tolerance(row.what, row.asked, row.source) for row in method.tolerances],
        "cautions": list(method.cautions),
        "described": test.described,
        "done": list(test.done),
        "is_done": test.is_done,
        "specimens_done": test.specimens_done,
    }


def search_to_json(
    specification: Specification, service_class: str, tests: Sequence[OpenTest], sample: str
) -> dict[str, Any]:
    """Give the search for a grade with glossary names."""
    return {
        "sample": sample or None,
        "specification": specification.identifier,
        "edition": specification.edition,
        "service_class": service_class or None,
        "tests": [
            {
                "requirement": test.requirement.name,
                "quantity": test.requirement.quantity,
                "condition": str(test.requirement.condition),
                "limit": test.limit,
                "tested": [
                    {"temperature_c": at, "value": value, "meets": good} for at, value, good in test.tested
                ],
                "next_temperature_c": test.next_temperature_c,
                "bracket_c": None if test.bracket_c is None else list(test.bracket_c),
            }
            for test in tests
        ],
    }
