"""How a class is said to stand."""

from dataclasses import replace

import pytest
from example_records import example_statement

from resile.records.verdict import Outcome
from resile.report.paper.statements.verdicts import class_word, judged_lines


@pytest.mark.parametrize(
    ("deciding", "satisfied", "complete", "word"),
    [
        (Outcome.PASS, True, True, "✓ satisfied in full"),
        (Outcome.PASS, True, False, "✓ satisfied as far as tested"),
        (Outcome.FAIL, False, False, "✗ not satisfied"),
        (Outcome.CONDITIONAL_FAIL, False, False, "▼ not satisfied: failed on a condition"),
        (Outcome.NOT_TESTED, False, False, "○ open: the deciding test is missing"),
        (Outcome.CONDITIONAL_PASS, False, False, "△ open: passed on a condition only"),
        (Outcome.PASS, False, False, "○ open: a result is left out, see the findings"),
    ],
)
def test_a_class_is_said_to_stand_as_its_deciding_requirement_stands(
    deciding: Outcome, satisfied: bool, complete: bool, word: str
) -> None:
    service = example_statement().classes[0]
    verdicts = (replace(service.verdicts[0], outcome=deciding), *service.verdicts[1:])
    assert class_word(replace(service, verdicts=verdicts, satisfied=satisfied, complete=complete)) == word


def test_classes_that_share_limit_and_outcome_stand_on_one_line() -> None:
    lines = judged_lines(example_statement())
    assert [(line.requirement, line.classes) for line in lines] == [
        ("Jnr3.2, 64 °C", "64E"),
        ("Jnr3.2, 64 °C", "64V"),
        ("Jnr3.2, 64 °C", "64H"),
        ("Jnr3.2, 64 °C", "64S"),
        ("Jnr,diff, 64 °C", "all"),
        ("flash point", "all"),
        ("Δm", "all"),
    ]
