"""A reported value that no test can give is shown and kept out of the verdict."""

import pytest

from resile.judge.summaries.impossible import mark_impossible
from resile.records.finding import Severity
from resile.specifications.load import load_summary_checks
from resile.workflows.judging.grading import agree, grade_sample
from verdict_bench import determination

CHECKS = load_summary_checks()


@pytest.mark.parametrize(
    ("quantity", "text"),
    [("jnr_3.2", "-0.2"), ("jnr_3.2", "0"), ("rotational_viscosity", "0"), ("phase_angle", "94")],
)
def test_a_value_below_zero_an_unfilled_nought_and_an_angle_beyond_a_liquid_are_invalid(
    quantity: str, text: str
) -> None:
    (marked,) = mark_impossible([determination(quantity, text)], CHECKS)
    (finding,) = marked.findings
    assert (finding.code, finding.severity) == ("value-impossible", Severity.INVALID)


@pytest.mark.parametrize(
    ("quantity", "text"),
    [
        ("jnr_3.2", "0.00"),
        ("percent_recovery_3.2", "-2"),
        ("mass_change_percent", "-0.4"),
        ("phase_angle", "90"),
    ],
)
def test_a_small_value_rounded_to_nought_and_values_that_may_be_negative_stand(
    quantity: str, text: str
) -> None:
    (marked,) = mark_impossible([determination(quantity, text)], CHECKS)
    assert marked.findings == ()


def test_a_negative_compliance_gives_no_class_and_the_statement_says_why() -> None:
    statement = grade_sample("tank", [determination("jnr_3.2", "-0.2")], agree())
    assert statement.grades == ()
    told = [f.message for f in statement.results[0].findings]
    assert "tank: Jnr3.2 of −0.2 1/kPa is below 0 1/kPa: no test gives that." in told


def test_the_valid_one_of_two_determinations_counts_alone() -> None:
    pair = [determination("jnr_3.2", "-0.2"), determination("jnr_3.2", "0.9", replicate="2")]
    statement = grade_sample("tank", pair, agree())
    assert statement.grades == ("64V", "64H", "64S")
    told = [f.message for f in statement.results[0].findings]
    assert "tank, Jnr3.2 at 64 °C: 1 of 2 determinations is left out as invalid (replicate 1)." in told
    assert "value-impossible" in {f.code for f in statement.findings}
