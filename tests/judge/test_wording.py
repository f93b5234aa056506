"""The sentences of a verdict: few figures, true minus signs, no raw names, the place of the number meant."""

import pytest

from resile.judge.results.results import results_from_determinations
from resile.judge.summaries.consistency import findings_for_summary
from resile.judge.wording import Worded, number_words, property_words, span_words, temperature_words
from resile.records.check import SummaryCheck
from resile.records.determination import Condition, Determination
from resile.records.finding import Severity
from resile.records.quantity import QUANTITIES
from resile.specifications.load import load_all_precision, load_retest_rule
from verdict_bench import determination

MISFIT = SummaryCheck("derived-value-does-not-follow", Severity.CAUTION, "follows from the definition")


@pytest.mark.parametrize(
    ("value", "others", "words"),
    [
        # Constructed: decimal digits cut to three figures, by hand.
        (0.2104333333, (), "0.21"),
        (0.9726650001, (1.0,), "0.973"),
        (285.0, (), "285"),
        (12345.0, (), "12345"),
        (-0.42, (), "−0.42"),
        (4.50004, (4.5,), "4.50004"),
        (1.2345e-7, (), "1.23e−07"),
        (0.0, (), "0"),
    ],
)
def test_a_number_in_a_sentence_has_few_figures_yet_reads_apart_from_its_limit(
    value: float, others: tuple[float, ...], words: str
) -> None:
    assert number_words(value, *others) == words


def test_a_measured_temperature_reads_as_the_temperature_of_the_test() -> None:
    assert [temperature_words(t) for t in (63.9993, 64.14, -12.0)] == ["64 °C", "64.14 °C", "−12 °C"]


def test_a_span_that_reads_the_same_at_both_ends_is_one_number() -> None:
    assert span_words((24.09638, 29.62963)) == "24.1 to 29.6"
    assert span_words((1.00001, 1.00002)) == "1"


def test_a_template_gets_true_minus_signs() -> None:
    assert f"{Worded(-0.256):.2f} %" == "−0.26 %"


def test_a_property_without_symbol_is_named_in_words() -> None:
    assert property_words("flash_point") == "flash point"
    assert all("_" not in property_words(name) for name in QUANTITIES)


def _line(number: int, quantity: str, text: str) -> Determination:
    return Determination(
        "104", Condition.SHORT_TERM_AGED, 64.0, quantity, float(text), QUANTITIES[quantity].unit, text,
        place=f"line {number}",
    )  # fmt: skip


def test_a_misfit_names_the_line_of_the_value_that_does_not_follow() -> None:
    lines = [
        _line(4, "jnr_0.1", "0.41"),
        _line(5, "jnr_3.2", "0.52"),
        _line(6, "jnr_difference_percent", "62.8"),
    ]
    (finding,) = findings_for_summary(lines, [MISFIT])
    # Constructed: half a unit of the last digit, 100 (0.515 − 0.415)/0.415 and 100 (0.525 − 0.405)/0.405.
    assert finding.message.startswith("104, line 6: the printed Jnr,diff of 62.8 does not follow")
    assert "100 (Jnr3.2 − Jnr0.1)/Jnr0.1 is 24.1 to 29.6." in finding.message
    assert finding.value == 62.8


def test_a_missing_precision_is_told_by_symbol_and_a_drifted_temperature_by_its_step() -> None:
    own = [determination("jnr_3.2", "0.0512345", temperature_c=63.9993)]
    (result,) = results_from_determinations(
        own, load_all_precision(), load_retest_rule("mean-of-all"), basis="reproducibility"
    )
    (finding,) = result.findings
    assert finding.message.startswith("tank, Jnr3.2 at 64 °C: no published precision for Jnr3.2 of 0.0512: ")
    assert finding.value == 0.0512345
