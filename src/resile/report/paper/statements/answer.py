"""The answer in one sentence, and every finding with it."""

from __future__ import annotations

from dataclasses import replace

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Result
from resile.records.finding import Finding, Severity
from resile.records.specification import Requirement
from resile.records.verdict import FullGradeVerdict, GradeStatement, Outcome, Verdict
from resile.report.continuous import chosen_grade, governing_sentences
from resile.report.document import ReportDocument
from resile.report.numbers import shown, shown_against, shown_limit, shown_step, shown_temperature
from resile.report.paper.runs.machine_words import group_sentence
from resile.report.words import CONDITION_WORDS, heaviest_first, joined, symbol_of, title_of

# What a result says of itself and many share: said once, with all the properties.
_SHARED = ("no-published-precision", "determination-not-counted", "determinations-missing")
_SATISFYING = (Outcome.PASS, Outcome.CONDITIONAL_PASS, Outcome.WAIVED)


def answer_of_statement(statement: GradeStatement) -> tuple[str, tuple[str, ...]]:
    """Say what a sample satisfies, and what limits that.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    str
        One sentence.
    tuple of str
        Further sentences: what was not tested, what counts on a condition, invalid results.
    """
    specification = statement.specification
    document = specification.document or specification.title
    named = f"{document} ({specification.edition or 'edition not stated'})"
    grade = chosen_grade(statement)
    if grade is not None and (grade.satisfied or statement.claimed_grade):
        return _whole_grade(statement, grade, named), _limits(statement)
    if not statement.grades:
        return _no_class(statement, named), _limits(statement)
    satisfied = joined(list(statement.grades))
    complete = tuple(c.label for c in statement.classes if c.satisfied and c.complete)
    if set(statement.grades) <= set(complete):
        return f"{statement.sample} satisfies {satisfied} of {named}.", _limits(statement)
    sentence = f"{statement.sample} satisfies {satisfied} of {named} as far as it was tested."
    return sentence, _limits(statement)


def _whole_grade(statement: GradeStatement, grade: FullGradeVerdict, named: str) -> str:
    if grade.satisfied:
        return f"{statement.sample} satisfies {grade.label} of {named}."
    for verdict in grade.verdicts:
        if verdict.value is not None and verdict.outcome not in _SATISFYING:
            why = missed_limit(verdict, grade.label)
            return f"{statement.sample} does not satisfy {grade.label} of {named}: {why}."
    missing = len(grade.not_tested)
    why = f"{missing} {_plural('requirement', missing)} not tested" if missing else "see the findings"
    return f"{statement.sample} is not shown to satisfy {grade.label} of {named}: {why}."


def _no_class(statement: GradeStatement, named: str) -> str:
    judged = [v for c in statement.classes for v in c.verdicts if v.outcome is not Outcome.NOT_TESTED]
    if not judged:
        return f"No class of {named} can be stated for {statement.sample}: nothing was tested against it."
    failed = _mildest_failure(statement)
    sentence = f"{statement.sample} satisfies no class of {named} at the temperatures tested"
    return f"{sentence}: {failed}." if failed else f"{sentence}."


def _mildest_failure(statement: GradeStatement) -> str:
    """Say by what the mildest class of the coolest tested temperature is missed."""
    ordered = sorted(statement.classes, key=lambda c: (c.temperature_c, c.service_class.rank))
    for service in ordered:
        for verdict in service.verdicts:
            if verdict.outcome not in _SATISFYING and verdict.value is not None:
                return missed_limit(verdict, service.label)
    return ""


def missed_limit(verdict: Verdict, label: str) -> str:
    """Say how a value stands beside the limit of a class."""
    requirement = verdict.requirement
    value = shown_against(verdict.value or 0.0, verdict.limit, requirement.quantity)
    at = "" if verdict.test_temperature_c is None else f" at {shown_step(verdict.test_temperature_c)} °C"
    word = "at most" if requirement.bound == "maximum" else "at least"
    unit = f" {requirement.unit}" if requirement.unit else ""
    asked = f"{label} asks for {word} {shown_limit(verdict.limit, requirement.quantity)}"
    return f"{symbol_of(requirement.quantity)}{at} is {value}{unit}, {asked}"


def _limits(statement: GradeStatement) -> tuple[str, ...]:
    grade = chosen_grade(statement)
    sentences = list(governing_sentences(statement))
    missing = not_tested(statement)
    if missing and not (grade is not None and grade.satisfied):
        sentences.append(f"Not yet a full grade. Not tested: {'; '.join(missing)}.")
    conditional = sorted(
        {
            f"{service.label} ({symbol_of(v.requirement.quantity)})"
            for service in statement.classes
            for v in service.verdicts
            if v.outcome is Outcome.CONDITIONAL_PASS
        }
    )
    if conditional:
        sentences.append(f"Passed on a condition, inside the guard band: {joined(conditional)}.")
    invalid = [f for f in findings_of_statement(statement) if f.severity is Severity.INVALID]
    if invalid:
        sentences.append(
            f"{len(invalid)} invalid {_plural('finding', len(invalid))}: the results concerned are left out."
        )
    if statement.reported_class:
        sentences.append(f"Class as reported by the laboratory: {statement.reported_class}.")
    return tuple(sentences)


def _plural(word: str, count: int) -> str:
    return word if count == 1 else f"{word}s"


def not_tested(statement: GradeStatement) -> tuple[str, ...]:
    """Name each requirement without a result once, with its residue."""
    names: dict[str, None] = {}
    grade = chosen_grade(statement)
    if grade is not None and not grade.satisfied:
        for verdict in grade.not_tested:
            names[_named(verdict.requirement)] = None
        return tuple(names)
    classes = [c for c in statement.classes if c.satisfied] or list(statement.classes)
    for service in classes:
        for verdict in service.not_tested:
            names[_named(verdict.requirement)] = None
    return tuple(names)


def _named(requirement: Requirement) -> str:
    title = requirement.title or title_of(requirement.quantity)
    title = title[:1].lower() + title[1:] if title[1:2].islower() else title
    return f"{title} ({CONDITION_WORDS[requirement.condition]})"


def answer_of_runs(document: ReportDocument) -> tuple[str, tuple[str, ...]]:
    """Say what the runs of a document gave where no specification was applied."""
    sentences = [
        *(run_sentence(run) for run in document.runs),
        *(group_sentence(group) for group in document.machine_groups),
    ]
    if not sentences:
        return "No result was handed over for this report.", ()
    return sentences[0], (*sentences[1:], "No specification was applied.")


def run_sentence(run: CreepRecoveryRun) -> str:
    """Say the results of a run in one sentence, highest stress first."""
    parts = [
        f"Jnr {shown(level.jnr, 'jnr_3.2')} 1/kPa and recovery "
        f"{shown(level.percent_recovery, 'percent_recovery_3.2')} % at {level.stress_kpa:g} kPa"
        for level in reversed(run.levels)
    ]
    name = run.sample or run.label or "This run"
    place = f" at {shown_temperature(run.temperature_c)}" if run.temperature_c is not None else ""
    return f"{name}{place}: " + "; ".join(parts) + "."


def findings_of_statement(statement: GradeStatement) -> tuple[Finding, ...]:
    """Collect the findings of a statement and of its results, heaviest first, each said once."""
    return heaviest_first((*statement.findings, *told_together(statement.results)))


def told_together(results: tuple[Result, ...]) -> tuple[Finding, ...]:
    """Give the findings of results; one that many properties share is said once, with all of them.

    Parameters
    ----------
    results : tuple of Result
        Of one sample.

    Returns
    -------
    tuple of Finding
        In the order of the results.
    """
    kinds: dict[tuple[str, ...], list[tuple[str, Finding]]] = {}
    for result in results:
        for finding in result.findings:
            shared = finding.code in _SHARED
            key = (finding.code, finding.advice) if shared else (finding.code, finding.message, finding.rule)
            kinds.setdefault(key, []).append((f"{result.sample}, ", finding))
    return tuple(
        pairs[0][1] if len({f.message for _, f in pairs}) == 1 else _joined_finding(pairs)
        for pairs in kinds.values()
    )


def _joined_finding(pairs: list[tuple[str, Finding]]) -> Finding:
    head = pairs[0][0]
    parts = [finding.message.removeprefix(sample).partition(": ") for sample, finding in pairs]
    subjects = [subject for subject, _, _ in parts]
    rests = list(dict.fromkeys(rest.removesuffix(".") for _, _, rest in parts))
    told = f"{_joined_subjects(subjects)}: {rests[0]}" if len(rests) == 1 else "; ".join(rests)
    return replace(pairs[0][1], message=f"{head}{told}.", value=None, limit=None)


def _joined_subjects(subjects: list[str]) -> str:
    """Say a temperature that all subjects share once, at the end."""
    parts = [subject.partition(" at ") for subject in subjects]
    if len({place for _, _, place in parts}) == 1 and parts[0][2]:
        return f"{joined([name for name, _, _ in parts])} at {parts[0][2]}"
    return joined(subjects)


def findings_of(document: ReportDocument) -> tuple[Finding, ...]:
    """Collect every finding of a document once, heaviest first."""
    statement = findings_of_statement(document.statement) if document.statement else ()
    records = (document.ageing, document.long_term_ageing)
    ageing = tuple(finding for record in records if record is not None for finding in record.findings)
    runs = tuple(finding for run in document.runs for finding in run.findings)
    others = tuple(
        finding
        for group in document.machine_groups
        for found in (group.findings, *(run.findings for run in group.runs))
        for finding in found
    )
    return heaviest_first((*document.findings, *statement, *runs, *others, *ageing))
