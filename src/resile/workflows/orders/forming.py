"""A workbook to type results into, laid out from the test plan of a grade."""

from __future__ import annotations

from pathlib import Path

from resile.errors import InputError
from resile.records.determination import Condition
from resile.records.form import SHEET_NAMES, FormRow, FormSheet, ResultsForm
from resile.records.plan import PlannedTest, TestPlan
from resile.records.quantity import QUANTITIES
from resile.report.numbers import shown_limit
from resile.report.workbook.book import form_bytes
from resile.workflows.orders.form_choices import form_choices
from resile.workflows.orders.pages import write_file
from resile.workflows.plans.planning import plan_tests

BOTTLES = 8
PANS = 10
RULES = {"decision_rule": "simple", "uncertainty_basis": "reproducibility", "retest_rule": "mean-of-all"}
"""What a new form proposes: the defaults of `resile.workflows.judging.agreement.agree`."""
_FROM_BOTTLES = "mass_change_percent"


def write_results_form(
    grade: str, path: str | Path, *, specification: str | Path | None = None, book: str | Path = "binder"
) -> Path:
    """Write an empty workbook to type the results for a grade into.

    Parameters
    ----------
    grade : str
        Claimed grade, for example ``PG 64V-22``.
    path : str or Path
        File to write (.xlsx); it must not exist.
    specification : str or Path, optional
        As in `plan_tests`.
    book : str or Path
        Bench book: specimens, tolerances and cautions.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    InputError
        Where the file exists or ends otherwise, or the specification has no such grade.
    """
    target = Path(path)
    if target.suffix.lower() != ".xlsx":
        raise InputError(f"{target}: a results form ends in .xlsx; found '{target.suffix}'")
    if target.exists():
        raise InputError(f"{target}: this file exists; what was typed into it is not written over")
    plan = plan_tests(grade, specification=specification, book=book).plan
    name = str(specification) if specification is not None else plan.specification.identifier
    return write_file(target, form_bytes(form_of_plan(plan, specification=name)))


def form_of_plan(plan: TestPlan, *, specification: str) -> ResultsForm:
    """Lay out a form from a test plan.

    Parameters
    ----------
    plan : TestPlan
        Residues and tests in working order.
    specification : str
        Name, or file, that stands in the form.

    Returns
    -------
    ResultsForm
        A row for each property and specimen, eight bottles.
    """
    sheets = []
    for condition in SHEET_NAMES:
        rows = [row for test in plan.tests if test.condition is condition for row in _rows(test)]
        if rows:
            sheets.append(FormSheet(condition, tuple(rows)))
    values = {
        "sample.claimed_grade": plan.grade,
        "specification": specification,
        **RULES,
    }
    ageing = {"method": "t240"} if any(t.condition is not Condition.ORIGINAL for t in plan.tests) else {}
    long = any(t.condition is Condition.LONG_TERM_AGED for t in plan.tests)
    return ResultsForm(
        order_values=tuple(values.items()),
        sheets=tuple(sheets),
        ageing_values=tuple(ageing.items()),
        bottles=tuple((str(number), None, None, None, None) for number in range(1, BOTTLES + 1)),
        long_term_values=(("method", "r28"),) if long else (),
        pans=tuple((str(number), None, None) for number in range(1, PANS + 1)) if long else (),
        told=_told(plan),
        choices=form_choices(),
    )


def _rows(test: PlannedTest) -> list[FormRow]:
    rows = []
    for requirement, limit in zip(test.requirements, test.limits, strict=True):
        if requirement.quantity == _FROM_BOTTLES:
            continue  # worked out from the sheet of bottles
        sign = "≤" if requirement.bound == "maximum" else "≥"
        quantity = QUANTITIES[requirement.quantity]
        words = f"{sign} {shown_limit(limit, quantity.name)} {quantity.unit}".strip()
        rows += [
            FormRow(
                test=test.method.title,
                property_name=quantity.title,
                quantity=quantity.name,
                temperature_c=test.temperature_c,
                specimen=str(number),
                unit=quantity.unit,
                limit=words,
            )
            for number in range(1, test.method.specimens + 1)
        ]
    return rows


def _told(plan: TestPlan) -> tuple[tuple[str, str], ...]:
    methods = dict.fromkeys(test.method for test in plan.tests)
    named = {name for one in plan.preparations for name in one.cautions}
    named |= {name for method in methods for name in method.cautions}
    told = [
        (f"Caution: {one.name.replace('-', ' ')}", one.text)
        for one in plan.book.cautions
        if one.name in named
    ]
    for one in plan.preparations:
        told += [(one.title, f"{row.what}: {row.asked}") for row in one.tolerances]
    for method in methods:
        told += [(method.title, method.conditioning)] if method.conditioning else []
        told += [(method.title, f"{row.what}: {row.asked}") for row in method.tolerances]
    unchecked = [
        name for name, one in (("limits", plan.specification), ("tolerances", plan.book)) if not one.checked
    ]
    if unchecked:
        words = (
            f"The {' and '.join(unchecked)} have not been compared with the documents; compare them first."
        )
        told.append(("Unchecked transcription", words))
    return tuple(dict.fromkeys(told))
