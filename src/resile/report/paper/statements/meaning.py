"""What an answer means, for a reader who knows nothing of binder: plain words, whole numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from resile.records.finding import Finding, Severity
from resile.records.specification import ServiceClass
from resile.records.verdict import ClassVerdict, FullGradeVerdict, GradeStatement, Outcome
from resile.report.continuous import chosen_grade
from resile.report.numbers import shown_step
from resile.report.words import joined

# The road, not the air: AASHTO M 320 and M 332 name pavement temperatures. Hotter than the air under the
# sun: LTPP models of pavement temperature (Mohseni 1998, FHWA-RD-97-103), from memory.
_HOTTER = "The road, not the air: under the sun a road is hotter than the air above it."
# Residual strain over stress: AASHTO R 92; the share that comes back: AASHTO T 350.
_JNR = "Jnr says how much deformation stays behind after each push of a load, recovery how much springs back."
# ISO/IEC 17025:2017, 7.8.2.1 l; that the mix decides: IMIESA, August 2021.
_BOUNDS = (
    "All this speaks of the sample that was tested, not of the delivery it came from. How a road lasts hangs "
    "on the whole mix and how it was laid, not on the binder alone."
)


def meaning_sentences(statement: GradeStatement) -> tuple[str, ...]:
    """Say in plain words what was found.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    tuple of str
        Sentences without a symbol that is not explained; none where no grade and no class was judged.
    """
    grade = chosen_grade(statement)
    told: tuple[str, ...]
    if grade is not None:
        told = (_grade_standing(grade), _both_ends(grade), _traffic(grade.service_class))
    elif statement.grades and statement.specification.low_temperatures_c:
        told = _class_words(next(c for c in statement.classes if c.satisfied))
    else:
        return ()
    creep = any(result.quantity.startswith("jnr_") for result in statement.results)
    return tuple(words for words in (*told, _JNR if creep else "", _BOUNDS) if words)


def _grade_standing(grade: FullGradeVerdict) -> str:
    outcomes = {verdict.outcome for verdict in grade.verdicts}
    if grade.satisfied:
        return f"The sample met every limit that {grade.label} sets."
    if outcomes & {Outcome.FAIL, Outcome.CONDITIONAL_FAIL}:
        return f"The sample did not meet every limit that {grade.label} sets."
    if Outcome.NOT_TESTED in outcomes:
        return f"Not every test that {grade.label} asks for was done: what is not tested is not proven."
    return f"Some values lie so near a limit of {grade.label} that the doubt of measurement leaves it open."


def _both_ends(grade: FullGradeVerdict) -> str:
    high, low = shown_step(grade.high_temperature_c), shown_step(grade.low_temperature_c)
    return (
        f"{grade.label} is meant for roads that get no hotter than {high} °C and no colder than {low} °C. "
        f"{_HOTTER}"
    )


def _class_words(service: ClassVerdict) -> tuple[str, ...]:
    high = shown_step(service.temperature_c)
    return (
        f"The sample met the limits that {service.label} sets for the hot end, as far as they were tested; "
        "the cold end was not graded.",
        f"{service.label} is meant for roads that get no hotter than {high} °C. {_HOTTER}",
        _traffic(service.service_class),
    )


def _traffic(service: ServiceClass) -> str:
    """Say what the letter stands for; empty for a specification without letters."""
    return f"{service.name} stands for {service.title.partition(':')[0]}." if service.name else ""


def doubts_sentence(findings: Sequence[Finding]) -> str:
    """Say under the answer how many findings wait further down; empty where there is none."""
    parts = [_counted(findings, severity) for severity in (Severity.INVALID, Severity.CAUTION, Severity.NOTE)]
    told = [words for words in parts if words]
    return f"To be read with it, under Findings: {joined(told)}." if told else ""


def _counted(findings: Iterable[Finding], severity: Severity) -> str:
    count = sum(finding.severity is severity for finding in findings)
    words = {Severity.INVALID: "invalid finding", Severity.CAUTION: "caution", Severity.NOTE: "note"}[
        severity
    ]
    return f"{count} {words}{'' if count == 1 else 's'}" if count else ""
