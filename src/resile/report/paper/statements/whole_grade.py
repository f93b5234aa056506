"""The grade sheet: every requirement of a whole grade, and the temperatures at which limits are met."""

from __future__ import annotations

from resile.records.determination import Condition
from resile.records.verdict import FullGradeVerdict, GradeStatement, Outcome, Verdict
from resile.records.whole_grade import WholeGradeProbability
from resile.report.continuous import (
    chosen_grade,
)
from resile.report.numbers import NOT_KNOWN, fixed, shown_limit, shown_margin, shown_probability
from resile.report.paper.models.model import LEFT, RIGHT, Column, Section, Table
from resile.report.paper.statements.continuous import continuous_section
from resile.report.paper.statements.verdicts import judged_value
from resile.report.words import (
    CONDITION_WORDS,
    OUTCOME_MARKS,
    comparison_of,
    coverage_words,
    joined,
    symbol_of,
    title_of,
)

_RESIDUES = (Condition.ORIGINAL, Condition.SHORT_TERM_AGED, Condition.RECOVERED, Condition.LONG_TERM_AGED)


def whole_grade_sections(statement: GradeStatement) -> tuple[Section, ...]:
    """Give the sections of the grade sheet; none where there is nothing to say.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    tuple of Section
        ``Whole grade``, ``Continuous temperatures``: each only where there is something.
    """
    sections = []
    if statement.full_grades:
        sections.append(_grade_section(statement))
    if statement.continuous or statement.delta_tc is not None:
        sections.append(continuous_section(statement))
    return tuple(sections)


def _grade_section(statement: GradeStatement) -> Section:
    grade = chosen_grade(statement)
    if grade is None:
        return Section(
            key="whole-grade",
            title="Whole grade",
            paragraphs=(unmatched_claim(statement),),
            tables=(grades_table(statement.full_grades),),
        )
    others = (grades_table(statement.full_grades),) if len(statement.full_grades) > 1 else ()
    missing = not_tested_of(grade)
    return Section(
        key="whole-grade",
        title="Whole grade",
        paragraphs=(standing_sentence(statement, grade),),
        tables=(requirements_table(grade), *others),
        closing=probability_sentences(grade),
        bullets=missing,
        bullets_title=f"Not tested for {grade.label}" if missing else "",
    )


def unmatched_claim(statement: GradeStatement) -> str:
    """Say that a claimed grade was not judged."""
    return (
        f"The claimed grade {statement.claimed_grade} is not among the grades that could be judged "
        f"by {statement.specification.identifier}."
    )


def standing_sentence(statement: GradeStatement, grade: FullGradeVerdict) -> str:
    """Say whether a whole grade is proven, and why it was chosen."""
    chosen = "claimed grade" if statement.claimed_grade else "best grade of those judged"
    word = grade_word(grade)
    limiting = _limited_by(grade)
    more = f" Limited by {limiting}." if limiting != NOT_KNOWN else ""
    return f"{grade.label} ({chosen}): {word}.{more}"


def grade_word(grade: FullGradeVerdict) -> str:
    """Say how a whole grade stands; an untested requirement is never a pass."""
    outcomes = {verdict.outcome for verdict in grade.verdicts}
    if grade.satisfied:
        return "✓ satisfied in full"
    if Outcome.FAIL in outcomes:
        return "✗ not satisfied"
    if Outcome.CONDITIONAL_FAIL in outcomes:
        return "▼ not satisfied: failed on a condition"
    if Outcome.NOT_TESTED in outcomes:
        return "○ open: not everything was tested"
    return "△ open: passed on a condition only"


def _limited_by(grade: FullGradeVerdict) -> str:
    for verdict in grade.verdicts:
        if verdict.requirement.name == grade.limiting:
            requirement = verdict.requirement
            return f"{symbol_of(requirement.quantity)}, {CONDITION_WORDS[requirement.condition]}"
    return grade.limiting or NOT_KNOWN


def not_tested_of(grade: FullGradeVerdict) -> tuple[str, ...]:
    """Name what was not tested: property, residue and temperature."""
    names = []
    for verdict in grade.not_tested:
        requirement = verdict.requirement
        at = "" if verdict.test_temperature_c is None else f", at {fixed(verdict.test_temperature_c, 1)} °C"
        names.append(f"{title_of(requirement.quantity)} ({CONDITION_WORDS[requirement.condition]}{at})")
    return tuple(dict.fromkeys(names))


def probability_sentences(grade: FullGradeVerdict) -> tuple[str, ...]:
    """Say how sure one can be that the whole grade holds, and what is not known about it.

    Parameters
    ----------
    grade : FullGradeVerdict
        With or without a probability.

    Returns
    -------
    tuple of str
        One sentence on the probability with its bounds, one on what it leaves out, one on the weakest
        requirement; none without.
    """
    known = grade.probability
    if known is None:
        return (
            (
                "How sure one can be of the whole grade is not stated: the uncertainty of one or more "
                "results is missing.",
            )
            if grade.satisfied
            else ()
        )
    return (
        _probability_sentence(known),
        *_missing_sentence(grade, known),
        *_weakest_sentence(grade, known),
    )


def _probability_sentence(known: WholeGradeProbability) -> str:
    bounds = f"{shown_probability(known.lowest)} and {shown_probability(known.highest)}"
    opening = f"Probability that all {len(known.each)} uncertain requirements hold at once"
    if known.missing:
        lines = "line" if len(known.each) == 1 else "lines"
        opening = (
            f"Probability of the whole grade: not stated. Of the {len(known.each)} {lines} with a known "
            f"uncertainty, the probability that all hold at once"
        )
    stated = known.probability_of_known if known.missing else known.probability
    if stated is None:
        return (
            f"{opening}: between {bounds}, whatever the correlation of their errors, which is not known; "
            f"{shown_probability(known.if_independent)} if the errors were independent."
        )
    how = "errors taken as independent" if known.basis == "product" else "errors correlated as stated"
    draws = "" if known.draws is None else f", by simulation with {fixed(known.draws, 0)} draws"
    return (
        f"{opening}: {shown_probability(stated)} ({how}{draws}); whatever the correlation, between {bounds}."
    )


def _missing_sentence(grade: FullGradeVerdict, known: WholeGradeProbability) -> tuple[str, ...]:
    """Name the requirements that no probability speaks of."""
    if not known.missing:
        return ()
    names = [
        f"{symbol_of(v.requirement.quantity)}, {CONDITION_WORDS[v.requirement.condition]}"
        + (" (not tested)" if v.outcome is Outcome.NOT_TESTED else "")
        for v in grade.verdicts
        if v.requirement.name in known.missing
    ]
    count = len(known.missing)
    lines = "1 line" if count == 1 else f"{count} lines"
    return (f"{lines} without a known uncertainty: {'; '.join(names)}.",)


def _weakest_sentence(grade: FullGradeVerdict, known: WholeGradeProbability) -> tuple[str, ...]:
    uncertain = [v for v in grade.verdicts if v.probability_of_conformity is not None]
    if len(uncertain) != len(known.each) or not 0 <= known.weakest < len(uncertain):
        return ()
    requirement = uncertain[known.weakest].requirement
    return (
        f"Least sure: {symbol_of(requirement.quantity)}, {CONDITION_WORDS[requirement.condition]}, "
        f"{shown_probability(known.each[known.weakest])}.",
    )


def requirements_table(grade: FullGradeVerdict) -> Table:
    """Tabulate every requirement of one whole grade, residue by residue."""
    ordered = sorted(grade.verdicts, key=lambda verdict: _residue_place(verdict.requirement.condition))
    failed = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)
    coverage = coverage_words(verdict.result for verdict in ordered if verdict.result)
    return Table(
        f"{grade.label}, every requirement.",
        (
            Column("Residue", share=2.0),
            Column("Property", share=1.7),
            Column("At (°C)", RIGHT, 0.9),
            Column("Limit", RIGHT, 1.7),
            Column("Result ± U", RIGHT, 1.8),
            Column("Margin", RIGHT, 1.1),
            Column("Outcome", LEFT, 1.8),
            Column("Conforms", RIGHT, 1.2),
        ),
        tuple(_requirement_row(verdict) for verdict in ordered),
        f"U: expanded uncertainty, {coverage}. Margin: distance to the limit in the unit of the property, "
        "positive on the good side. Conforms: probability that the true value meets the limit.",
        strong=tuple(place for place, verdict in enumerate(ordered) if verdict.outcome in failed),
    )


def _residue_place(condition: Condition) -> int:
    return _RESIDUES.index(condition) if condition in _RESIDUES else len(_RESIDUES)


def _requirement_row(verdict: Verdict) -> tuple[str, ...]:
    requirement = verdict.requirement
    unit = f" {requirement.unit}" if requirement.unit else ""
    at = verdict.test_temperature_c
    return (
        CONDITION_WORDS[requirement.condition],
        symbol_of(requirement.quantity),
        NOT_KNOWN if at is None else fixed(at, 1),
        f"{comparison_of(verdict)} {shown_limit(verdict.limit, requirement.quantity)}{unit}",
        judged_value(verdict),
        shown_margin(verdict.margin, requirement.quantity),
        f"{OUTCOME_MARKS[verdict.outcome]} {verdict.outcome}",
        shown_probability(verdict.probability_of_conformity),
    )


def grades_table(grades: tuple[FullGradeVerdict, ...]) -> Table:
    """Tabulate the whole grades that were judged, best first."""
    rows = []
    for grade in grades:
        known = grade.probability
        single = None if known is None else known.probability
        bounds = (
            NOT_KNOWN
            if known is None
            else shown_probability(single)
            if single is not None
            else " to ".join(
                dict.fromkeys((shown_probability(known.lowest), shown_probability(known.highest)))
            )
        )
        missing = joined([symbol_of(v.requirement.quantity) for v in grade.not_tested]) or "nothing"
        rows.append((grade.label, grade_word(grade), _limited_by(grade), missing, bounds))
    return Table(
        "Whole grades judged, best first.",
        (
            Column("Grade", share=1.2),
            Column("Standing", share=2.6),
            Column("Limited by", share=2.2),
            Column("Not tested", share=2.6),
            Column("Conforms", RIGHT, 1.6),
        ),
        tuple(rows),
        strong=tuple(place for place, grade in enumerate(grades) if grade.satisfied),
    )
