"""What waits for a decision on a sample, what is missing, and what is to be done next."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from resile.records.determination import Condition
from resile.records.register import (
    TYPED_RESULTS,
    Conditioning,
    Kept,
    Sample,
    Statement,
    StatementState,
    Verdict,
)
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.workflows.laboratory.samples.told_runs import ToldRun


def next_step(
    sample: Kept[Sample],
    runs: tuple[ToldRun, ...],
    ageings: tuple[Kept[Conditioning], ...],
    verdict: Kept[Verdict] | None,
    statements: tuple[Kept[Statement], ...],
) -> tuple[str, str]:
    """Give words and address of what is to be done next; empty where nothing is."""
    grade = f"/samples/{sample.key}/grade"
    if not runs and not ageings:
        return "Drop its record files", _drop(sample)
    if verdict is None or verdict.seq < _newest(sample, runs, ageings):
        return "Grade it", grade
    waits = [one for one in statements if one.value.state is StatementState.DRAFT]
    if waits:
        return "Read and release the draft", f"/statements/{waits[0].key}"
    return ("", "") if statements else ("Write the certificate", grade)


def what_waits(
    sample: Kept[Sample],
    runs: tuple[ToldRun, ...],
    ageings: tuple[Kept[Conditioning], ...],
    verdict: Kept[Verdict] | None,
    statements: tuple[Kept[Statement], ...],
    content: dict[str, Any] | None,
) -> list[tuple[str, str, str]]:
    """Give severity, sentence and address of all that waits for a decision on a sample."""
    waits: list[tuple[str, str, str]] = []
    for told in runs:
        noun, address = told.run.value, f"/runs/{told.run.key}"
        if told.result is not None and told.result.value.worst in ("invalid", "caution"):
            waits.append(
                (told.result.value.worst, f"{noun.file_name}: {told.result.value.messages[0]}", address)
            )
        elif told.result is None and noun.test != TYPED_RESULTS:
            waits.append(("caution", f"{noun.file_name} gave no result yet.", address))
        if noun.verification in ("failed", "overdue"):
            words = f"{noun.file_name}: the verification of its instrument was {noun.verification}."
            waits.append(("invalid" if noun.verification == "failed" else "caution", words, address))
    waits.sort(key=lambda wait: wait[0] != "invalid")
    grade = f"/samples/{sample.key}/grade"
    newest = _newest(sample, runs, ageings)
    plan = f"/bench/plan?{urlencode({'sample': sample.value.number})}"
    if not runs and not ageings:
        waits.append(("note", "Nothing was tested yet: drop its record files.", _drop(sample)))
        waits.append(("note", "What is to be tested stands on its test plan.", plan))
    elif verdict is None:
        waits.append(("note", "It has results and was not graded yet.", grade))
    elif verdict.seq < newest:
        waits.append(("caution", "Something was kept or corrected since it was graded.", grade))
    elif not statements:
        waits.append(("note", "It is graded, and no statement was written yet.", grade))
    missing = _untested(content) if verdict is not None and not statements else ""
    if missing:
        waits.append(("caution", f"Not tested yet: {missing}. The test plan says how.", plan))
    waits += [
        (
            "note",
            f"Statement {one.value.number} is a draft and waits for its release.",
            f"/statements/{one.key}",
        )
        for one in statements
        if one.value.state is StatementState.DRAFT
    ]
    return waits


def _newest(sample: Kept[Sample], runs: tuple[ToldRun, ...], ageings: tuple[Kept[Conditioning], ...]) -> int:
    return max(one.seq for one in (*(told.result or told.run for told in runs), *ageings, sample))


def _drop(sample: Kept[Sample]) -> str:
    return f"/drop?{urlencode({'sample': sample.value.number})}"


def _untested(content: dict[str, Any] | None) -> str:
    """Name the properties that the verdict had no value for, those of whole grades first."""
    lines = [line for one in (content or {}).get("full_grades", ()) for line in one["verdicts"]]
    lines = lines or list((content or {}).get("verdicts", ()))
    tested = {line["quantity"] for line in lines if line["outcome"] != "not tested"}
    missing = (
        f"{symbol_of(line['quantity'])} ({CONDITION_WORDS[Condition(line['condition'])]})"
        for line in lines
        if line["quantity"] not in tested
    )
    return ", ".join(dict.fromkeys(missing))
