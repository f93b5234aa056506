"""The tests that would prove a whole grade, or a better one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.grades.grade_claim import GradeClaim
from resile.judge.grades.grade_lines import FAILED
from resile.judge.grades.next_tests import tested_property
from resile.judge.results.conformity import meets
from resile.judge.wording import number_words, temperature_words
from resile.records.determination import Condition, Result
from resile.records.specification import Specification
from resile.records.verdict import FullGradeVerdict, Outcome, Verdict

# One run of one specimen gives all of a row: asking for one of them asks for the others.
_ONE_TEST = (
    frozenset({"creep_stiffness", "m_value"}),
    frozenset(
        {"jnr_0.1", "jnr_3.2", "jnr_difference_percent", "percent_recovery_0.1", "percent_recovery_3.2"}
    ),
)
_TestKey = tuple[str, Condition, float | None]


def next_full_tests(
    grades: Sequence[FullGradeVerdict],
    results: Sequence[Result],
    specification: Specification,
    *,
    claim: GradeClaim | None = None,
) -> tuple[str, ...]:
    """Name the tests that whole grades still lack.

    Parameters
    ----------
    grades : sequence of FullGradeVerdict
        As judged, best first.
    results : sequence of Result
        All results of the sample, to name a harder test that was passed already.
    specification : Specification
        Holds the temperature of long-term ageing.
    claim : GradeClaim or None
        Grade to be verified.

    Returns
    -------
    tuple of str
        Every test a claimed grade lacks; each single test that alone would prove one more grade; and, where
        nothing is proven yet, all tests of the grade that lacks the fewest.
    """
    label = "" if claim is None or claim.low_temperature_c is None else claim.label
    sentences = [
        s
        for grade in grades
        if grade.label == label
        for s in _every_test(grade, results, specification, "cannot be verified without it")
    ]
    others = [g for g in grades if _is_open(g) and g.label != label]
    sentences += _single_tests(others, results, specification)
    sentences += [s for grade in others for s in _repeats(grade)]
    if not sentences and others and not any(g.satisfied for g in grades):
        nearest = min(others, key=lambda grade: len(_missing(grade)))
        sentences += _every_test(nearest, results, specification, "is still open without it")
    return tuple(dict.fromkeys(sentences))


def _is_open(grade: FullGradeVerdict) -> bool:
    return not grade.satisfied and not any(v.outcome in FAILED for v in grade.verdicts)


def _missing(grade: FullGradeVerdict) -> dict[_TestKey, list[Verdict]]:
    """Give the untested lines by the test that would give them."""
    tests: dict[_TestKey, list[Verdict]] = {}
    for verdict in grade.not_tested:
        quantity = verdict.requirement.quantity
        family = next((" ".join(sorted(f)) for f in _ONE_TEST if quantity in f), quantity)
        key = (family, verdict.requirement.condition, verdict.test_temperature_c)
        tests.setdefault(key, []).append(verdict)
    return tests


def _words(lines: Sequence[Verdict], grade: FullGradeVerdict, specification: Specification) -> str:
    words = " and ".join(tested_property(line) for line in lines)
    ageing = specification.long_term_ageing_temperatures_c.get(grade.high_temperature_c, ())
    if lines[0].requirement.condition is Condition.LONG_TERM_AGED and ageing:
        words += f" (aged at {' or '.join(f'{t:g}' for t in ageing)} °C)"
    return words


def _every_test(
    grade: FullGradeVerdict, results: Sequence[Result], specification: Specification, why: str
) -> list[str]:
    return [
        f"Test the {_words(lines, grade, specification)}: {grade.label} {why}.{_harder(lines, results)}"
        for lines in _missing(grade).values()
    ]


def _single_tests(
    grades: Sequence[FullGradeVerdict], results: Sequence[Result], specification: Specification
) -> list[str]:
    proving: dict[str, list[str]] = {}
    hints: dict[str, str] = {}
    for grade in grades:
        missing = _missing(grade)
        passing = all(v.outcome is not Outcome.CONDITIONAL_PASS for v in grade.verdicts)
        if len(missing) == 1 and passing:
            (lines,) = missing.values()
            words = _words(lines, grade, specification)
            proving.setdefault(words, []).append(grade.label)
            hints.setdefault(words, _harder(lines, results))
    return [
        f"Test the {words}: it alone is missing for {_listed(labels)}.{hints[words]}"
        for words, labels in proving.items()
    ]


def _repeats(grade: FullGradeVerdict) -> Iterator[str]:
    """Ask for a replicate where a grade rests on a conditional pass that does not count."""
    if _missing(grade):
        return
    for verdict in grade.verdicts:
        if verdict.outcome is Outcome.CONDITIONAL_PASS:
            yield (
                f"Repeat the {tested_property(verdict)} on a fresh specimen: {grade.label} rests on a "
                f"conditional pass of it."
            )


def _listed(labels: Sequence[str]) -> str:
    return labels[0] if len(labels) == 1 else f"{', '.join(labels[:-1])} and {labels[-1]}"


def _harder(lines: Sequence[Verdict], results: Sequence[Result]) -> str:
    """Name passes at a harder temperature: they make a pass likely, and prove nothing."""
    told = []
    for line in lines:
        requirement, asked = line.requirement, line.test_temperature_c
        if asked is None or not isinstance(requirement.temperature, str):
            continue
        sign = 1.0 if requirement.temperature == "high" else -1.0
        passed = [
            (abs(r.temperature_c - asked), r.temperature_c, r.value)
            for r in results
            if r.quantity == requirement.quantity
            and r.condition is requirement.condition
            and r.value is not None
            and r.temperature_c is not None
            and sign * (r.temperature_c - asked) > 0.5
            and meets(r.value, line.limit, requirement.bound)
        ]
        if passed:
            _, at, value = min(passed)
            unit = f" {requirement.unit}" if requirement.unit else ""
            told.append(f"{number_words(value, line.limit)}{unit} at {temperature_words(at)}")
    if not told:
        return ""
    return f" A harder test passes already ({', '.join(told)}), which makes it likely but does not prove it."
