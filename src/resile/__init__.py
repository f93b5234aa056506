"""resile: from raw rheometer and ageing records of bitumen to a grade that can be defended.

The tasks, each one function (imported when first used, so that ``import resile`` is quick):

* `explain_record`: how a record file is understood.
* `reduce_record`, `reduce_records`: recovery and Jnr by cycle and by stress, with findings.
* `agree`, `grade_table`, `grade_sample`: results against a specification under rules agreed beforehand.
* `check_certificate`: a supplier's certificate line by line, against specification and own results.
* `reduce_ageing_record`: mass change and checks of the rolling thin film oven.
* `predict`: what a binder would show, and which class it would carry, at other temperatures.
* `report_order`: a test order from raw records to the page that is signed.
* `site_demand`, `site_demands`: the grade a road needs, from `read_climate` or `typed_climate`, and traffic.
* `sign_report`, `verify_report`: the page with the laboratory's digital signature (extra `signature`).
* `match_sites`: which binder of a range serves which road, at what cost, and what to test next.
* `write_demonstration`: the files of a day in an invented laboratory.

What they give shows itself in a notebook and as ``to_json()``; the nouns are in `resile.records`.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from resile.version import __version__

_HOMES = {
    "Layout": "resile.workflows.reducing.reading",
    "agree": "resile.workflows.judging.grading",
    "check_certificate": "resile.workflows.certificates.certificate",
    "choose_layout": "resile.workflows.reducing.reading",
    "compare_reports": "resile.workflows.orders.revising",
    "explain_record": "resile.workflows.reducing.reading",
    "grade_sample": "resile.workflows.judging.grading",
    "grade_table": "resile.workflows.judging.grading",
    "list_rules": "resile.workflows.rules",
    "match_sites": "resile.workflows.choosing.task",
    "plan_tests": "resile.workflows.plans.planning",
    "predict": "resile.workflows.predictions.predicting",
    "reduce_ageing_record": "resile.workflows.reducing.ageing",
    "reduce_record": "resile.workflows.reducing.reduction",
    "reduce_records": "resile.workflows.reducing.reduction",
    "report_order": "resile.workflows.orders.ordering",
    "show_rules": "resile.workflows.rules",
    "read_climate": "resile.workflows.sites.site_climate",
    "site_demand": "resile.workflows.sites.site_demand",
    "site_demands": "resile.workflows.sites.site_demands",
    "typed_climate": "resile.workflows.sites.site_climate",
    "sign_report": "resile.workflows.orders.signing",
    "verify_report": "resile.workflows.orders.signing",
    "write_demonstration": "resile.workflows.demonstration",
}

__all__ = [
    "Layout",
    "__version__",
    "agree",
    "check_certificate",
    "choose_layout",
    "compare_reports",
    "explain_record",
    "grade_sample",
    "grade_table",
    "list_rules",
    "match_sites",
    "plan_tests",
    "predict",
    "reduce_ageing_record",
    "reduce_record",
    "reduce_records",
    "report_order",
    "show_rules",
    "read_climate",
    "site_demand",
    "site_demands",
    "typed_climate",
    "sign_report",
    "verify_report",
    "write_demonstration",
]

if TYPE_CHECKING:
    from resile.workflows.certificates.certificate import check_certificate
    from resile.workflows.choosing.task import match_sites
    from resile.workflows.demonstration import write_demonstration
    from resile.workflows.judging.grading import agree, grade_sample, grade_table
    from resile.workflows.orders.ordering import report_order
    from resile.workflows.orders.revising import compare_reports
    from resile.workflows.orders.signing import sign_report, verify_report
    from resile.workflows.plans.planning import plan_tests
    from resile.workflows.predictions.predicting import predict
    from resile.workflows.reducing.ageing import reduce_ageing_record
    from resile.workflows.reducing.reading import Layout, choose_layout, explain_record
    from resile.workflows.reducing.reduction import reduce_record, reduce_records
    from resile.workflows.rules import list_rules, show_rules
    from resile.workflows.sites.site_climate import read_climate, typed_climate
    from resile.workflows.sites.site_demand import site_demand
    from resile.workflows.sites.site_demands import site_demands


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'resile' has no attribute '{name}'")
    value = getattr(import_module(home), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
