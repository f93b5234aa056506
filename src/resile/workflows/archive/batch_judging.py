"""What a worker of a batch does with results: the verdicts on each line of a specification.

Results of one sample of one lot are judged together, as `resile.workflows.judging.grading.grade_sample` does
it: all determinations of a property make one result, and the same judge compares it. Which of them count is
said by `resile.storage.archive.counting`. What was not tested has no row; a result that an invalid finding
keeps out has one, with the outcome ``not tested``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from resile.judge.grades.selection import belongs_to_whole_grade
from resile.records.determination import Condition, Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.quantity import AGEING_QUANTITIES
from resile.records.reading import SourceFile
from resile.records.verdict import GradeStatement, Outcome, Verdict
from resile.storage.archive.pieces import JUDGED_PIECES, VERDICT_PIECES, Piece, pack_rows
from resile.storage.archive.schema import AGED, RESULTS, TYPED
from resile.workflows.archive.ageing_rows import AgeingRow, ageing_of_rows
from resile.workflows.judging.agreement import Yardstick
from resile.workflows.judging.grading import judge_determinations

Row = tuple[Any, ...]
_AT = {name: place for place, name in enumerate(RESULTS.names)}


@dataclass(frozen=True, slots=True)
class GroupToJudge:
    """Results that are judged together.

    Attributes
    ----------
    bundle, mark : str
        Their name, and a mark of what they are.
    rows : tuple of tuple
        Rows of the table ``results``.
    """

    bundle: str
    mark: str
    rows: tuple[Row, ...]


def judge_groups(yardstick: Yardstick, groups: Sequence[GroupToJudge]) -> Piece:
    """Judge groups of results.

    Parameters
    ----------
    yardstick : Yardstick
        What was agreed.
    groups : sequence of GroupToJudge
        Each of one sample of one lot.

    Returns
    -------
    Piece
        Verdicts, and what they were made of.
    """
    rows = [(*row, group.bundle) for group in groups for row in verdict_rows(yardstick, group.rows)]
    made_of = [(group.bundle, group.mark) for group in groups]
    return Piece((pack_rows(VERDICT_PIECES, rows), pack_rows(JUDGED_PIECES, made_of)), len(groups), 0)


def verdict_rows(yardstick: Yardstick, group: Sequence[Row]) -> Iterator[Row]:
    """Give the verdicts on one sample.

    Parameters
    ----------
    yardstick : Yardstick
        What was agreed.
    group : sequence of tuple
        Its rows of the table ``results``.

    Yields
    ------
    tuple
        Rows of the table ``verdicts``, each line of the specification once a label.
    """
    sample, lot = group[0][_AT["sample"]], group[0][_AT["lot"]]
    ageing = ageing_of_rows(_ageing_row(row) for row in group if _is_ageing(row))
    statement = judge_determinations(
        sample,
        [_determination(row) for row in group if not _is_ageing(row)],
        yardstick,
        ageing_record=ageing.short_term,
        long_term_record=ageing.long_term,
    )
    head = (sample, lot, _first(group, "product"), max(row[_AT["tested"]] for row in group))
    alone = [] if sample else [group[0][_AT["sha256"]]]
    rule = (yardstick.specification.identifier, yardstick.specification.edition, yardstick.decision_rule.name)
    for label, verdict in _verdicts(statement):
        result = verdict.result
        uncertainty = result.uncertainty if result is not None else None
        yield (
            *head,
            *rule,
            label,
            verdict.requirement.name,
            verdict.requirement.quantity,
            verdict.requirement.condition.value,
            verdict.test_temperature_c,
            verdict.limit,
            verdict.value,
            verdict.outcome.value,
            verdict.margin,
            uncertainty.standard if uncertainty is not None else None,
            verdict.probability_of_conformity,
            _files_behind(result) or alone,
        )


def _verdicts(statement: GradeStatement) -> Iterator[tuple[str, Verdict]]:
    """Give what was compared: lines of each class, then the lines that whole grades alone have."""
    for one in statement.classes:
        for verdict in one.verdicts:
            if _compared(verdict):
                yield one.label, verdict
    for grade in statement.full_grades:
        for verdict in grade.verdicts:
            if belongs_to_whole_grade(verdict.requirement) and _compared(verdict):
                yield grade.label, verdict


def _files_behind(result: Result | None) -> list[str]:
    if result is None:
        return []
    counted = (one for one, counts in zip(result.determinations, result.counted, strict=False) if counts)
    return sorted({one.source.sha256 for one in counted if one.source is not None and one.source.sha256})


def _compared(verdict: Verdict) -> bool:
    return verdict.result is not None or verdict.outcome is Outcome.WAIVED


def _is_ageing(row: Row) -> bool:
    return row[_AT["test"]] == AGED and row[_AT["quantity"]] in AGEING_QUANTITIES


def _ageing_row(row: Row) -> AgeingRow:
    names = ("condition", "quantity", "value", "worst", "part", "tested", "sha256")
    return AgeingRow(*(row[_AT[name]] for name in names))


def _determination(row: Row) -> Determination:
    value = {name: row[place] for name, place in _AT.items()}
    worst = value["worst"]
    doubts = (Finding(", ".join(value["findings"]), Severity(worst), "see the record"),) if worst else ()
    return Determination(
        sample=value["sample"],
        condition=Condition(value["condition"]),
        temperature_c=value["temperature_c"],
        quantity=value["quantity"],
        value=value["value"],
        unit=value["unit"],
        replicate=f"{value['sha256'][:12]} {value['part']}".strip(),
        raw=value["test"] != TYPED,
        source=SourceFile("", value["sha256"], 0),
        findings=doubts,
        tested=value["tested"],
        laboratory=value["laboratory"],
    )


def _first(group: Sequence[Row], name: str) -> str:
    """Give a name that all rows share, or the first of those that differ."""
    return min((row[_AT[name]] for row in group if row[_AT[name]]), default="")
