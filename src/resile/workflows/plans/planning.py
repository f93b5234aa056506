"""From a claimed grade to the tests that prove it: in order, with plates, tolerances and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.judge.grades.grade_claim import GradeClaim, parse_grade_claim
from resile.judge.grades.selection import asked_temperature, limit_for
from resile.records.determination import Condition, Result
from resile.records.plan import BenchBook, BenchMethod, PlannedTest, TestPlan
from resile.records.quantity import QUANTITIES
from resile.records.specification import Requirement, Specification
from resile.specifications.load import load_specification
from resile.specifications.plans import load_bench_book
from resile.version import __version__
from resile.workflows.judging.own_results import results_of, specification_for

ORDER_OF_WORK = (
    Condition.ORIGINAL,
    Condition.SHORT_TERM_AGED,
    Condition.RECOVERED,
    Condition.LONG_TERM_AGED,
    Condition.UNKNOWN,
)
_MADE_FROM = {Condition.LONG_TERM_AGED: Condition.SHORT_TERM_AGED}
_NEEDS_LOW_END = ("low + 10", "intermediate")


@dataclass(frozen=True, slots=True)
class Planning:
    """A test plan that can show itself.

    Attributes
    ----------
    plan : TestPlan
        Residues and tests in working order.
    """

    plan: TestPlan

    def to_json(self) -> dict[str, Any]:
        """Give the plan for machines."""
        from resile.report.machine.plan import plan_to_json

        return plan_to_json(self.plan)

    def to_terminal(self) -> Any:
        """Give the plan as a readable sheet."""
        from resile.report.terminal.plan import render_plan

        return render_plan(self.plan)

    def write(self, folder: str | Path, *, date: str) -> list[Path]:
        """Write the bench sheet as HTML and PDF into a folder.

        Parameters
        ----------
        folder : str or Path
            Made if need be.
        date : str
            Date of printing, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.
        """
        from resile.report.bench_sheet import html_bench_sheet, pdf_bench_sheet
        from resile.workflows.orders.pages import file_stem, write_file

        plan = self.plan
        stem = file_stem(f"plan-{plan.sample}-{plan.grade}" if plan.sample else f"plan-{plan.grade}")
        html = html_bench_sheet(plan, date=date, package_version=__version__).encode()
        pdf = pdf_bench_sheet(plan, date=date, package_version=__version__)
        return [
            write_file(Path(folder) / f"{stem}.html", html),
            write_file(Path(folder) / f"{stem}.pdf", pdf),
        ]


def plan_tests(
    grade: str,
    *,
    specification: str | Path | None = None,
    order: str | Path | None = None,
    table: str | Path | None = None,
    book: str | Path = "binder",
    recovered: bool = False,
) -> Planning:
    """Plan the tests for a grade.

    Parameters
    ----------
    grade : str
        Claimed grade, for example ``PG 64V-22`` or ``PG 76-22``; a class alone (``64V``) plans the
        high-temperature part.
    specification : str or Path, optional
        Name or file; ``m332-2014`` for a grade with a traffic letter, ``m320`` for one without.
    order : str or Path, optional
        Test order: what it holds results for is ticked.
    table : str or Path, optional
        Table of results of one sample: what it holds is ticked.
    book : str or Path
        Bench book: name of a file under ``plans``, or a path.
    recovered : bool
        The binder was recovered from a mix: it stands for short-term-aged residue where the specification
        takes it so; what asks for original binder, or for the ageing itself, is named and left out.

    Returns
    -------
    Planning
        Tests in working order.

    Raises
    ------
    InputError
        Where the specification has no such grade, or the table holds several samples.
    """
    rules = load_specification(specification or specification_for(grade))
    claim = parse_grade_claim(grade, rules)
    sample, results = results_of(order, table)
    bench = load_bench_book(book)
    asked, beyond = _on_recovered(rules.requirements) if recovered else (rules.requirements, ())
    tests, left_out = _planned(claim, replace(rules, requirements=asked), bench, results)
    needed = {test.condition for test in tests}
    if recovered:
        needed.add(Condition.RECOVERED)
    else:
        needed |= {_MADE_FROM[condition] for condition in needed if condition in _MADE_FROM}
        needed.add(Condition.ORIGINAL)
    ageing = rules.long_term_ageing_temperatures_c.get(claim.high_temperature_c, ())
    plan = TestPlan(
        grade=claim.label,
        high_temperature_c=claim.high_temperature_c,
        low_temperature_c=claim.low_temperature_c,
        service_class=claim.service_class.name,
        specification=rules,
        book=bench,
        preparations=tuple(one for one in bench.preparations if one.condition in needed),
        tests=tests,
        long_term_ageing_c=tuple(ageing) if Condition.LONG_TERM_AGED in needed else (),
        left_out=(*beyond, *left_out),
        sample=sample,
    )
    return Planning(plan)


def _on_recovered(requirements: Sequence[Requirement]) -> tuple[tuple[Requirement, ...], tuple[str, ...]]:
    """Put recovered binder in the place of short-term-aged residue, where the document takes it."""
    kept, left_out = [], []
    for requirement in requirements:
        if requirement.condition in (Condition.LONG_TERM_AGED, Condition.RECOVERED):
            kept.append(requirement)
        elif Condition.RECOVERED in requirement.also_accepts:
            kept.append(replace(requirement, condition=Condition.RECOVERED, also_accepts=()))
        else:
            asked = "original binder" if requirement.condition is Condition.ORIGINAL else "the oven"
            left_out.append(f"{requirement.title}: asks for {asked}, which a recovered sample does not have")
    return tuple(kept), tuple(left_out)


def _planned(
    claim: GradeClaim, rules: Specification, bench: BenchBook, results: Sequence[Result]
) -> tuple[tuple[PlannedTest, ...], tuple[str, ...]]:
    """Group the requirements that one test answers, in working order; say what cannot be planned."""
    groups: dict[tuple[int, Condition, float | None], list[tuple[Requirement, float]]] = {}
    methods: dict[int, BenchMethod] = dict(enumerate(bench.methods))
    left_out: list[str] = []
    for requirement in rules.requirements:
        limit = limit_for(requirement, claim.service_class.name)
        if limit is None:
            continue
        if claim.low_temperature_c is None and requirement.temperature in _NEEDS_LOW_END:
            left_out.append(f"{requirement.title}: {claim.label} states no low temperature")
            continue
        place = _method_place(requirement, methods)
        at = asked_temperature(requirement, claim.high_temperature_c, claim.low_temperature_c)
        groups.setdefault((place, requirement.condition, at), []).append((requirement, limit))
    ordered = sorted(groups, key=lambda key: (ORDER_OF_WORK.index(key[1]), key[0]))
    tests = tuple(
        PlannedTest(
            method=methods[place],
            condition=condition,
            temperature_c=at,
            requirements=tuple(requirement for requirement, _ in groups[place, condition, at]),
            limits=tuple(limit for _, limit in groups[place, condition, at]),
            done=_done([r for r, _ in groups[place, condition, at]], at, results, rules),
            described=place < len(bench.methods),
            specimens_done=_specimens([r for r, _ in groups[place, condition, at]], at, results, rules),
        )
        for place, condition, at in ordered
    )
    return tests, tuple(left_out)


def _method_place(requirement: Requirement, methods: dict[int, BenchMethod]) -> int:
    """Find the description of a test; one that the book lacks is planned all the same, and says so."""
    for place, method in methods.items():
        fits = not method.conditions or requirement.condition in method.conditions
        if requirement.quantity in method.quantities and fits:
            return place
    quantity = QUANTITIES[requirement.quantity]
    entry = f"{quantity.symbol or quantity.title} ({quantity.unit})" if quantity.unit else quantity.title
    place = len(methods) + 1000
    methods[place] = BenchMethod(
        quantities=(requirement.quantity,),
        conditions=(requirement.condition,),
        title=quantity.title,
        method=quantity.source or "not described in the bench book",
        entries=(entry,),
    )
    return place


def _done(
    requirements: Sequence[Requirement],
    temperature_c: float | None,
    results: Sequence[Result],
    rules: Specification,
) -> tuple[str, ...]:
    """Name the quantities that have a value on the residue and at the temperature asked for."""
    done = []
    for requirement in requirements:
        residues = (requirement.condition, *requirement.also_accepts)
        for result in results:
            same = result.quantity == requirement.quantity and result.condition in residues
            if same and result.value is not None and _same_temperature(result, temperature_c, rules):
                done.append(requirement.quantity)
                break
    return tuple(done)


def _specimens(
    requirements: Sequence[Requirement],
    temperature_c: float | None,
    results: Sequence[Result],
    rules: Specification,
) -> int:
    """Count the specimens that are in: the fewest determinations of any property of the test."""
    counts = []
    for requirement in requirements:
        residues = (requirement.condition, *requirement.also_accepts)
        counts.append(
            sum(
                len(result.determinations)
                for result in results
                if result.quantity == requirement.quantity
                and result.condition in residues
                and _same_temperature(result, temperature_c, rules)
            )
        )
    return min(counts, default=0)


def _same_temperature(result: Result, asked_c: float | None, rules: Specification) -> bool:
    if asked_c is None:
        return True
    return result.temperature_c is not None and abs(result.temperature_c - asked_c) <= (
        rules.temperature_tolerance_c + 1e-9
    )
