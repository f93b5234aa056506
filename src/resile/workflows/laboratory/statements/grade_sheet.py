"""The grade sheet of a sample: its newest verdict line by line, and the rules that can be chosen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson

from resile.records.register import (
    Actor,
    Asked,
    Conditioning,
    Kept,
    Run,
    Sample,
    Statement,
    StatementState,
    Verdict,
)
from resile.report.numbers import MINUS, shown, shown_limit
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.specifications.load import BASES, load_specification
from resile.specifications.search import files_of, name_in
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.samples.named import person_name
from resile.workflows.laboratory.statements.grading import latest_verdict
from resile.workflows.laboratory.statements.stored_order import asked_of
from resile.workflows.laboratory.statements.values_behind import ValueBehind, values_behind

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ShownLine:
    """One requirement of a verdict, as it stands in a table.

    Attributes
    ----------
    grade, requirement, condition, at, value, limit, margin, uncertainty, probability, outcome : str
        Words and numbers as shown.
    nearness : float or None
        Margin in multiples of the repeatability, to sort by.
    """

    grade: str
    requirement: str
    condition: str
    at: str
    value: str
    limit: str
    margin: str
    uncertainty: str
    probability: str
    outcome: str
    nearness: float | None


@dataclass(frozen=True, slots=True)
class GradeSheet:
    """What stands on the grade sheet.

    Attributes
    ----------
    sample : Kept of Sample
        The sample.
    asked : Asked
        What it is judged by, with the defaults of the laboratory.
    verdict : Kept of Verdict or None
        The newest one; None before grading.
    content : dict
        Its statement as it was kept; empty before grading.
    lines : tuple of ShownLine
        Its requirements.
    author : str
        Who graded.
    earlier : int
        How many verdicts came before.
    standing, draft : Kept of Statement or None
        The statement that is issued, and one that waits.
    unchecked : str
        Which transcription was not compared with its document; empty where it was.
    numbers : tuple of ValueBehind
        Every single value of the verdict, with the run and file it hangs on.
    held : bool
        True where a run or an ageing record is attached.
    """

    sample: Kept[Sample]
    asked: Asked
    verdict: Kept[Verdict] | None = None
    content: Json | None = None
    lines: tuple[ShownLine, ...] = ()
    author: str = ""
    earlier: int = 0
    standing: Kept[Statement] | None = None
    draft: Kept[Statement] | None = None
    unchecked: str = ""
    numbers: tuple[ValueBehind, ...] = ()
    held: bool = False


@dataclass(frozen=True, slots=True)
class RulesOffered:
    """Names of the rules that can be chosen."""

    specifications: tuple[str, ...]
    decision_rules: tuple[str, ...]
    retest_rules: tuple[str, ...]
    price_rules: tuple[str, ...]
    bases: tuple[str, ...] = BASES
    budgets: tuple[str, ...] = ()


def grade_sheet(record: LaboratoryRecord, actor: Actor, key: str) -> GradeSheet:
    """Give the grade sheet of a sample.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the sample.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where it is not for this person, or there is none.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        sample = reading.get(Sample, key)
        require_sight(actor, sample.value.customer)
        asked = asked_of(sample.value, settings_in_force(reading))
        verdict = latest_verdict(reading, key)
        if verdict is None:
            held = bool(reading.count(Run, sample=key) or reading.count(Conditioning, sample=key))
            return GradeSheet(sample, asked, held=held)
        content: Json = orjson.loads(reading.file(verdict.value.file))
        written = {
            one.value.state: one
            for one in reading.find(Statement, sample=key)
            if one.value.state in (StatementState.DRAFT, StatementState.ISSUED)
        }
        return GradeSheet(
            sample,
            asked,
            verdict,
            content,
            claimed_first(shown_lines(content), sample.value.claimed_grade),
            person_name(reading, verdict.by),
            reading.count(Verdict, sample=key) - 1,
            written.get(StatementState.ISSUED),
            written.get(StatementState.DRAFT),
            _unchecked(verdict.value.specification),
            values_behind(reading, key, content),
            True,
        )


def rules_offered() -> RulesOffered:
    """Name the rules that can be chosen."""
    return RulesOffered(
        _names("limits"),
        _names("decision_rules"),
        _names("retest_rules"),
        _names("price_rules"),
        budgets=_names("budgets"),
    )


def shown_lines(content: Json) -> tuple[ShownLine, ...]:
    """Show the requirements of a verdict: of the whole grades where there are, else of the classes."""
    found = {
        (one["quantity"], one["condition"], one["temperature_c"]): one["uncertainty"]
        for one in content["results"]
    }
    whole = [(grade["label"], line) for grade in content["full_grades"] for line in grade["verdicts"]]
    lines = whole or [(line["class"], line) for line in content["verdicts"]]
    return tuple(_shown(label, line, found) for label, line in lines)


def claimed_first(lines: tuple[ShownLine, ...], claimed: str) -> tuple[ShownLine, ...]:
    """Put the requirements of the grade that is claimed before those of the others."""
    return tuple(sorted(lines, key=lambda line: line.grade != claimed))


def _shown(label: str, line: Json, found: dict[Any, Any]) -> ShownLine:
    quantity, unit = line["quantity"], line["unit"]
    doubt = found.get((quantity, line["condition"], line["temperature_c"]))
    sign = "≤" if line["bound"] == "maximum" else "≥"
    near = line["margin_repeatabilities"]
    chance = line["probability_of_conformity"]
    return ShownLine(
        grade=label,
        requirement=symbol_of(quantity),
        condition=CONDITION_WORDS[line["condition"]],
        at="" if line["temperature_c"] is None else f"{line['temperature_c']:g} °C".replace("-", MINUS),
        value="" if line["value"] is None else f"{shown(line['value'], quantity)} {unit}".strip(),
        limit=f"{sign} {shown_limit(line['limit'], quantity)} {unit}".strip(),
        margin="" if near is None else f"{near:+.1f} r".replace("-", MINUS),
        uncertainty=""
        if doubt is None or doubt["expanded"] is None
        else f"± {shown(doubt['expanded'], quantity)}",
        probability="" if chance is None else _percent(chance),
        outcome=line["outcome"],
        nearness=near,
    )


def _percent(chance: float) -> str:
    if chance > 0.999:
        return "> 99.9 %"
    return "< 0.1 %" if chance < 0.001 else f"{100 * chance:.1f} %"


def _names(kind: str) -> tuple[str, ...]:
    return tuple(sorted(name for file in files_of(kind) if (name := name_in(file))))


def _unchecked(name: str) -> str:
    found = load_specification(name)
    if found.checked:
        return ""
    return f"{found.identifier} ({found.document}, edition {found.edition or 'not stated'})"
