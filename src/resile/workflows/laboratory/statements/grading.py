"""Grading a sample of the record: by the core that works through a test order, and kept as a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import orjson

from resile.errors import RecordNotFoundError
from resile.records.own_precision import KeyedPrecision
from resile.records.register import Actor, Asked, Kept, Sample, Verdict
from resile.records.verdict import Outcome
from resile.records.verdict import Verdict as Line
from resile.specifications.search import names_only
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.raw_files import PackedFile
from resile.storage.reading import Reading
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.comparisons.precision_in_verdicts import precisions_used
from resile.workflows.laboratory.statements.stored_order import StoredOrder, asked_of, stored_order
from resile.workflows.orders.asked import agree_on_order, check_asked
from resile.workflows.orders.ordering import OrderReport, report_of_order

_OF_THE_ISSUE = ("order", "document")
"""Parts of a report's JSON that belong to one issue of it, and not to the verdict."""


@dataclass(frozen=True, slots=True)
class StoredGrading:
    """A sample of the record, graded.

    Attributes
    ----------
    stored : StoredOrder
        What was graded.
    report : OrderReport
        Runs, verdicts and the document.
    verdict : Kept of Verdict or None
        As it is kept; None for a question that is not kept.
    """

    stored: StoredOrder
    report: OrderReport
    verdict: Kept[Verdict] | None = None

    @property
    def complies(self) -> bool:
        """True where what was asked, and the grade claimed, is satisfied."""
        return self.report.complies

    def to_json(self) -> dict[str, Any]:
        """Give the key of the verdict, what it rests on, and the report as `resile report` gives it."""
        return {
            "verdict": None if self.verdict is None else self.verdict.key,
            "results_judged": list(self.stored.results),
            **self.report.to_json(),
        }

    def to_terminal(self, *, full: bool = False) -> Any:
        """Give the sheet that `resile report` shows."""
        return self.report.to_terminal(full=full)


def grade_stored_sample(record: LaboratoryRecord, actor: Actor, at: str, key: str) -> StoredGrading:
    """Grade a sample by what was agreed, and keep the verdict.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who grades.
    at : str
        When, ISO 8601 in UTC.
    key : str
        Key of the sample.

    Returns
    -------
    StoredGrading
        With the verdict as it is kept; an earlier verdict of the sample stays beside it.

    Raises
    ------
    PermissionRefusedError, ResileError
        Where the person may not, nothing was tested, or a file or rule cannot be used.
    """
    require(actor, "results.judge")
    with record.reading() as reading:
        stored = stored_order(reading, key)
    report = report_of_stored(stored, at)
    content = PackedFile.of(judged_bytes(report))
    pictures = {name: PackedFile.of(svg) for name, svg in _pictures(report).items()}
    noun = replace(
        _verdict(stored, report),
        file=content.sha256,
        pictures={name: picture.sha256 for name, picture in pictures.items()},
        author=actor.key,
    )
    with record.writing(by=actor.key, at=at) as book:
        for file in (content, *pictures.values()):
            book.keep_file(file)
        kept = book.keep(noun)
    return StoredGrading(stored, report, kept)


def grade_as_if(record: LaboratoryRecord, actor: Actor, at: str, key: str, asked: Asked) -> StoredGrading:
    """Say what a sample would be by other rules; nothing is kept.

    Parameters
    ----------
    record, actor, at, key
        As in `grade_stored_sample`.
    asked : Asked
        The other rules; what is empty has the default of the laboratory.

    Returns
    -------
    StoredGrading
        Without a verdict.
    """
    require(actor, "results.judge")
    with record.reading() as reading:
        settings = settings_in_force(reading)
        sample = reading.get(Sample, key).value
        rules = asked_of(replace(sample, asked=asked), settings)
        stored = stored_order(reading, key, asked=rules)
    report = report_of_stored(stored, at)
    return StoredGrading(stored, report)


def choose_rules(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    asked: Asked,
    *,
    seen: int | None = None,
    reason: str = "",
) -> Kept[Sample]:
    """Fix what a sample is judged by; after its first run this is told on the statement.

    Parameters
    ----------
    record, actor, at, key
        As in `grade_stored_sample`.
    asked : Asked
        What was agreed.
    seen : int or None
        Revision of the sample that the person saw.
    reason : str
        Why it is changed.

    Raises
    ------
    PermissionRefusedError, ConflictError, SpecificationError
        Where the person may not, somebody changed the sample in between, or a rule is not known.
    """
    require(actor, "results.judge")
    with record.reading() as reading:
        sample = reading.get(Sample, key)
        settings = settings_in_force(reading)
    changed = replace(sample.value, asked=asked)
    check_rules(asked_of(changed, settings), f"sample {sample.value.number}")
    with record.writing(by=actor.key, at=at) as book:
        return book.keep(changed, key=key, seen=seen, reason=reason)


def latest_verdict(reading: Reading, sample: str) -> Kept[Verdict] | None:
    """Give the newest verdict on a sample; None where it was not graded yet."""
    found = reading.find(Verdict, sample=sample, order="seq", falling=True, limit=1)
    return found[0] if found else None


def verdict_content(reading: Reading, actor: Actor, key: str) -> tuple[Kept[Verdict], dict[str, Any]]:
    """Give a verdict with its statement, line by line, as it was kept.

    Raises
    ------
    PermissionRefusedError
        For one who may see issued statements alone.
    """
    require(actor, "runs.see")
    verdict = reading.get(Verdict, key)
    require_sight(actor, reading.get(Sample, verdict.value.sample).value.customer)
    content: dict[str, Any] = orjson.loads(reading.file(verdict.value.file))
    return verdict, content


def verdict_picture(record: LaboratoryRecord, actor: Actor, key: str, name: str) -> bytes:
    """Give a picture of a verdict as SVG.

    Raises
    ------
    RecordNotFoundError
        Where it has none of that name.
    """
    with record.reading() as reading:
        verdict, _ = verdict_content(reading, actor, key)
        if name not in verdict.value.pictures:
            raise RecordNotFoundError(f"verdict {key} has no picture '{name}'")
        return reading.file(verdict.value.pictures[name])


def judged_bytes(report: OrderReport) -> bytes:
    """Give what a report says of the sample, whoever issues it and when: equal bytes for equal verdicts."""
    content = {name: part for name, part in report.to_json().items() if name not in _OF_THE_ISSUE}
    return orjson.dumps(content, option=orjson.OPT_INDENT_2) + b"\n"


def report_of_stored(stored: StoredOrder, at: str) -> OrderReport:
    """Work through the order of a sample; its rules are names, and open no file of this computer."""
    with names_only():
        return report_of_order(
            stored.order,
            date=at[:10],
            issuer=stored.issuer,
            place=f"sample {stored.sample.value.number}",
        )


def check_rules(asked: Asked, place: str) -> None:
    """Refuse rules that are not there, or do not fit together.

    Parameters
    ----------
    asked : Asked
        By name.
    place : str
        Where they stand, for the message.
    """
    from resile.records.order import OrderedSample, TestOrder

    order = TestOrder(
        sample=OrderedSample(place),
        specification=asked.specification,
        decision_rule=asked.decision_rule,
        uncertainty_basis=asked.uncertainty_basis,
        retest_rule=asked.retest_rule,
        budget=asked.budget,
        correlation=asked.correlation,
        precision=(),
        price_rule=asked.price_rules,
        service_class=asked.service_class,
        high_temperature_c=asked.high_temperature_c,
    )
    with names_only():
        check_asked(order, agree_on_order(order).specification, place)


def _verdict(stored: StoredOrder, report: OrderReport) -> Verdict:
    statement = report.statement
    lines = _deciding_lines(report)
    known = [line for line in lines if line.margin_repeatabilities is not None]
    nearest = min(known, key=lambda line: line.margin_repeatabilities or 0.0, default=None)
    whole = [grade.label for grade in statement.full_grades if grade.satisfied]
    return Verdict(
        sample=stored.sample.key,
        specification=statement.specification.identifier,
        edition=statement.specification.edition,
        decision_rule=statement.decision_rule.name,
        grade=", ".join(whole or statement.grades),
        outcome=_outcome(report.complies, lines),
        nearest_margin=None if nearest is None else nearest.margin_repeatabilities,
        nearest_line="" if nearest is None else nearest.requirement.name,
        results=stored.results,
        software=__version__,
        complies=report.complies,
        own_precision=precisions_used(
            statement.results,
            statement.decision_rule.basis,
            _held(report.order.precision),
            report.order.tested,
        ),
    )


def _held(precision: str | tuple[KeyedPrecision, ...]) -> tuple[KeyedPrecision, ...]:
    return precision if isinstance(precision, tuple) else ()


def _deciding_lines(report: OrderReport) -> list[Line]:
    """Give the lines on which the answer hangs: of the grade claimed and the class asked for.

    Where neither was asked for: of the classes that are satisfied, or of all where none is.
    """
    statement, order = report.statement, report.order
    lines = [
        line
        for grade in statement.full_grades
        if statement.claimed_grade and grade.label == statement.claimed_grade
        for line in grade.verdicts
    ]
    asked = [
        one
        for one in statement.classes
        if order.service_class in ("", one.service_class.name)
        and order.high_temperature_c in (None, one.temperature_c)
    ]
    if not order.service_class:
        asked = [one for one in asked if one.satisfied] or asked
    lines += [line for one in asked for line in one.verdicts]
    return lines


def _outcome(complies: bool, lines: Sequence[Line]) -> str:
    found = {line.outcome for line in lines}
    if complies:
        return "conditional" if Outcome.CONDITIONAL_PASS in found else "pass"
    if Outcome.FAIL in found:
        return "fail"
    if Outcome.CONDITIONAL_FAIL in found:
        return "conditional"
    return "not tested"


def _pictures(report: OrderReport) -> dict[str, bytes]:
    from resile.report.figures import figure_margin
    from resile.report.figures.grade_ladder import figure_grade_ladder
    from resile.report.render import render_svg

    specs = {"margins": figure_margin(report.statement)}
    if report.statement.continuous:
        specs["ladder"] = figure_grade_ladder(report.statement)
    return {name: render_svg(spec, prefix=name).encode() for name, spec in specs.items()}
