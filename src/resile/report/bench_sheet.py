"""The bench sheet: a plan on paper, with boxes to tick, tolerances and places to write.

Words are made here, once, for page, paper and terminal; the templates only set them.
"""

from __future__ import annotations

import datetime
import json
from dataclasses import asdict
from typing import Any

from resile.records.determination import Condition
from resile.records.plan import BenchMethod, PlannedTest, PlanTolerance, ResiduePreparation, TestPlan
from resile.report.markup import TEMPLATES, environment
from resile.report.numbers import fixed, shown_limit, shown_step
from resile.report.paper.bench import Bench, BenchSheet, Station
from resile.report.typeset import typeset
from resile.report.words import CONDITION_WORDS, joined, symbol_of

MOST_SPECIMENS = 4


OVERVIEW = ("No.", "Test", "Residue", "At (°C)", "Limit", "Specimens", "Done")


def bench_sheet_of(plan: TestPlan, *, date: str = "", package_version: str = "") -> BenchSheet:
    """Give the sheet of a plan.

    Parameters
    ----------
    plan : TestPlan
        Residues and tests in working order.
    date : str
        Date of printing, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    BenchSheet
        Words and blanks.
    """
    texts = {one.name: one.text for one in plan.book.cautions}
    named: dict[str, None] = {}
    for names in (*(p.cautions for p in plan.preparations), *(t.method.cautions for t in plan.tests)):
        named.update(dict.fromkeys(names))
    return BenchSheet(
        title=f"Test plan for {plan.grade}",
        sample=plan.sample,
        date=date,
        facts=_facts(plan),
        notice=_notice(plan),
        rows=tuple(_overview_row(number, test) for number, test in enumerate(plan.tests, start=1)),
        benches=_benches(plan, texts),
        left_out=plan.left_out,
        cautions=tuple(texts[name] for name in named if name in texts),
        made_with=f"resile {package_version}".strip(),
    )


def _facts(plan: TestPlan) -> tuple[tuple[str, str], ...]:
    specification = plan.specification
    facts = [
        ("Grade", plan.grade),
        ("Specification", f"{specification.document} ({specification.edition or 'edition not stated'})"),
        ("High temperature", f"{shown_step(plan.high_temperature_c)} °C"),
    ]
    if plan.low_temperature_c is not None:
        facts.append(("Low temperature", f"{shown_step(plan.low_temperature_c)} °C"))
    if plan.long_term_ageing_c:
        facts.append(("Long-term ageing at", _ageing_words(plan.long_term_ageing_c)))
    facts.append(("Binder needed", _binder_words(plan)))
    finished = sum(test.is_done for test in plan.tests)
    if finished:
        facts.append(("Done", f"{finished} of {len(plan.tests)} tests"))
    return tuple(facts)


def _ageing_words(temperatures: tuple[float, ...]) -> str:
    first = f"{shown_step(temperatures[0])} °C"
    return (
        first if len(temperatures) == 1 else f"{first} ({shown_step(temperatures[1])} °C in desert climate)"
    )


def _binder_words(plan: TestPlan) -> str:
    """Add up what tests on original binder and the ageing take; later residues are made of that."""
    recovered = any(one.condition is Condition.RECOVERED for one in plan.preparations)
    start = Condition.RECOVERED if recovered else Condition.ORIGINAL
    tests = sum(
        test.method.binder_g * test.method.specimens
        for test in plan.tests
        if test.condition is start and not test.is_done
    )
    aged = Condition.LONG_TERM_AGED if recovered else Condition.SHORT_TERM_AGED
    ageing = sum(one.binder_g for one in plan.preparations if one.condition is aged)
    return (
        f"about {fixed(tests + ageing, 0)} g: {fixed(tests, 0)} g for tests on {CONDITION_WORDS[start]}, "
        f"{fixed(ageing, 0)} g for ageing; keep as much again"
    )


def _notice(plan: TestPlan) -> str:
    unchecked = []
    if not plan.specification.checked:
        unchecked.append(f"limits of '{plan.specification.identifier}'")
    if not plan.book.checked:
        unchecked.append(f"tolerances of '{plan.book.identifier}'")
    if not unchecked:
        return ""
    return (
        f"Unchecked transcription: {joined(unchecked)}. Compare them with the documents in force before "
        "relying on this sheet."
    )


def limit_words(test: PlannedTest) -> str:
    """Say what a test is held against."""
    parts = []
    for requirement, limit in zip(test.requirements, test.limits, strict=True):
        sign = "≤" if requirement.bound == "maximum" else "≥"
        unit = f" {requirement.unit}" if requirement.unit else ""
        value = f"{sign} {shown_limit(limit, requirement.quantity)}{unit}"
        several = len(test.requirements) > 1
        parts.append(f"{symbol_of(requirement.quantity)} {value}" if several else value)
    return "; ".join(parts)


def _at(test: PlannedTest) -> str:
    at = test.temperature_c
    return "" if at is None else fixed(at, 0 if float(at).is_integer() else 1)


def _done_words(test: PlannedTest) -> str:
    if test.is_done:
        return "✓ done"
    if not test.done:
        return ""
    open_ones = [symbol_of(r.quantity) for r in test.requirements if r.quantity not in test.done]
    return f"in part; open: {joined(open_ones)}"


def _specimen_words(method: BenchMethod) -> str:
    if not method.specimen:
        return ""
    return f"{method.specimens} specimen{'s' if method.specimens > 1 else ''}: {method.specimen}"


def _specimens_of(test: PlannedTest) -> str:
    words = _specimen_words(test.method)
    if not words or not test.specimens_done:
        return words
    return f"{words}; {test.specimens_done} of {test.method.specimens} tested"


def _overview_row(number: int, test: PlannedTest) -> tuple[str, ...]:
    return (
        str(number),
        test.method.title,
        CONDITION_WORDS[test.condition],
        _at(test) or "–",
        limit_words(test),
        _specimens_of(test) or "–",
        _done_words(test),
    )


def _benches(plan: TestPlan, texts: dict[str, str]) -> tuple[Bench, ...]:
    told: set[str] = set()
    conditions = dict.fromkeys(
        [*(one.condition for one in plan.preparations), *(test.condition for test in plan.tests)]
    )
    benches = []
    for condition in conditions:
        made = next((one for one in plan.preparations if one.condition is condition), None)
        preparation = None if made is None else _preparation_station(made, plan, texts, told)
        tests = tuple(
            _test_station(number, test, texts, told)
            for number, test in enumerate(plan.tests, start=1)
            if test.condition is condition
        )
        benches.append(Bench(CONDITION_WORDS[condition].capitalize(), preparation, tests))
    return tuple(benches)


def _warnings(names: tuple[str, ...], texts: dict[str, str], told: set[str]) -> tuple[str, ...]:
    """Say a hazard in full where it first occurs, by its name afterwards: a wall of warnings is not read."""
    known = [name for name in names if name in texts]
    new = [texts[name] for name in known if name not in told]
    again = [name.replace("-", " ") for name in known if name in told]
    told.update(known)
    return (*new, f"As before: {joined(again)}.") if again else tuple(new)


def _preparation_station(
    one: ResiduePreparation, plan: TestPlan, texts: dict[str, str], told: set[str]
) -> Station:
    tolerances = list(_pairs(one.tolerances))
    if one.condition is Condition.LONG_TERM_AGED:
        asked = _ageing_words(plan.long_term_ageing_c) if plan.long_term_ageing_c else "as the document says"
        tolerances.insert(0, ("ageing temperature", asked))
    facts = (("Binder", f"{fixed(one.binder_g, 0)} g"),) if one.binder_g else ()
    return Station(
        number="",
        title=one.title,
        method=one.method,
        facts=facts,
        tolerances=tuple(tolerances),
        entries=(),
        specimens=(),
        note=one.note,
        source=one.source,
        cautions=_warnings(one.cautions, texts, told),
    )


def _pairs(tolerances: tuple[PlanTolerance, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((row.what, row.asked) for row in tolerances)


def _test_station(number: int, test: PlannedTest, texts: dict[str, str], told: set[str]) -> Station:
    method = test.method
    at = _at(test)
    facts = [("Temperature", f"{at} °C" if at else "none"), ("Limit", limit_words(test))]
    if method.specimen:
        facts.append(("Specimens", _specimens_of(test)))
    if method.binder_g:
        facts.append(("Binder", f"{method.binder_g:g} g each"))
    rows = min(method.specimens, MOST_SPECIMENS)
    undescribed = "The bench book does not describe this test: follow the method in force."
    return Station(
        number=str(number),
        title=method.title,
        method=method.method,
        facts=tuple(facts),
        tolerances=_pairs(method.tolerances),
        entries=method.entries,
        specimens=tuple(str(place) for place in range(1, rows + 1)),
        note=method.conditioning if test.described else undescribed,
        source=method.source,
        cautions=_warnings(method.cautions, texts, told),
        done=test.is_done,
        done_words=_done_words(test),
    )


def html_bench_sheet(plan: TestPlan, *, date: str, package_version: str = "") -> str:
    """Set a plan as one self-contained web page that prints well.

    Parameters
    ----------
    plan : TestPlan
        Residues and tests in working order.
    date : str
        Date of printing, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    str
        HTML without script.
    """
    sheet = bench_sheet_of(plan, date=date, package_version=package_version)
    style = "".join((TEMPLATES / name).read_text(encoding="utf-8") for name in ("report.css", "plan.css"))
    text: str = environment().get_template("plan.html.j2").render(sheet=sheet, overview=OVERVIEW, style=style)
    return text


def pdf_bench_sheet(plan: TestPlan, *, date: str, package_version: str = "") -> bytes:
    """Set a plan on A4 paper.

    Parameters
    ----------
    plan : TestPlan
        Residues and tests in working order.
    date : str
        Date of printing, YYYY-MM-DD; it also dates the file.
    package_version : str
        Version of resile.

    Returns
    -------
    bytes
        A tagged PDF; the same plan and date give the same bytes.
    """
    content: dict[str, Any] = asdict(bench_sheet_of(plan, date=date, package_version=package_version))
    content["overview"] = OVERVIEW
    files = {
        "main.typ": (TEMPLATES / "plan.typ").read_bytes(),
        "sheet.json": json.dumps(content, ensure_ascii=False).encode(),
    }
    day = datetime.date.fromisoformat(date)
    noon = datetime.datetime.combine(day, datetime.time(12), tzinfo=datetime.UTC)
    return typeset(files, timestamp=noon)
