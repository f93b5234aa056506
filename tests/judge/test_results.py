import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.errors import MeasurementError
from resile.judge.results.precision import RANGE_FACTORS, precision_at, range_factor
from resile.judge.results.results import (
    determination_of_mass_change,
    reported_class,
    results_from_determinations,
)
from resile.records.ageing import AgeingRecord
from resile.records.determination import Condition, Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.uncertainty import UncertaintyBudget
from resile.specifications.load import load_all_precision, load_retest_rule
from verdict_bench import determination

PRECISION = load_all_precision()
MEAN = load_retest_rule("mean-of-all")


def of(*determinations: Determination, rule: str = "mean-of-all", basis: str = "reproducibility") -> Result:
    (found,) = results_from_determinations(determinations, PRECISION, load_retest_rule(rule), basis=basis)
    return found


@pytest.mark.parametrize(
    ("quantity", "value", "single", "several"),
    [
        # DNIT 423/2020-ME, Annex A, Table 1 [second-hand]: CV in % of the value
        ("jnr_3.2", 2.0, 5.7, 7.9),
        ("jnr_3.2", 0.46, 5.5, 13.9),
        ("jnr_3.2", 0.10, 9.5, 15.2),
        ("jnr_3.2", 0.25, 9.5, 15.2),
        ("jnr_0.1", 1.00, 5.4, 12.7),
        ("jnr_0.1", 0.20, 13.7, 16.7),
        ("percent_recovery_3.2", 50.0, 3.0, 6.5),
    ],
)
def test_a_value_gets_the_precision_of_its_printed_band(
    quantity: str, value: float, single: float, several: float
) -> None:
    found = precision_at(value, quantity, Condition.SHORT_TERM_AGED, PRECISION)
    assert found.repeatability == pytest.approx(single / 100.0 * value)
    assert found.reproducibility == pytest.approx(several / 100.0 * value)
    assert "T 350-14" in found.note


@pytest.mark.parametrize("value", [0.09, 0.253, 0.2599])
def test_below_the_bands_and_in_their_gaps_there_is_no_published_precision(value: float) -> None:
    found = precision_at(value, "jnr_3.2", Condition.SHORT_TERM_AGED, PRECISION)
    assert (found.repeatability, found.reproducibility) == (None, None)
    assert "no published precision for Jnr3.2" in found.note


def test_precision_that_names_a_residue_holds_for_no_other() -> None:
    """AASHTO T 315, from memory (high): 2.3 % original, 3.2 % short-term aged; no row for recovered."""
    original = precision_at(1.0, "rutting_parameter", Condition.ORIGINAL, PRECISION)
    aged = precision_at(1.0, "rutting_parameter", Condition.SHORT_TERM_AGED, PRECISION)
    recovered = precision_at(1.0, "rutting_parameter", Condition.RECOVERED, PRECISION)
    assert (original.repeatability, aged.repeatability) == (pytest.approx(0.023), pytest.approx(0.032))
    assert recovered.repeatability is None
    assert "recovered" in recovered.note


def test_range_factors_are_those_of_the_practice() -> None:
    """ASTM C670, 2 to 10 results, from memory (high)."""
    assert tuple(RANGE_FACTORS.values()) == (2.8, 3.3, 3.6, 3.9, 4.0, 4.2, 4.3, 4.4, 4.5)
    assert range_factor(25) == 4.5


def test_replicates_make_one_result_with_all_of_them_kept() -> None:
    found = of(*(determination("jnr_3.2", t, replicate=str(i)) for i, t in enumerate(("2.0", "2.1", "2.2"))))
    assert found.value == pytest.approx(2.1)
    assert found.spread == pytest.approx(0.1)
    assert len(found.determinations) == 3
    assert found.counted == (True, True, True)


def test_residue_temperature_and_sample_keep_results_apart() -> None:
    found = results_from_determinations(
        [
            determination("jnr_3.2", "2.0"),
            determination("jnr_3.2", "4.0", temperature_c=70.0),
            determination("jnr_3.2", "1.0", condition=Condition.RECOVERED),
            determination("jnr_3.2", "3.0", sample="other"),
            determination("jnr_3.2", "2.2", temperature_c=64.05),
        ],
        PRECISION,
        MEAN,
        basis="reproducibility",
    )
    assert [r.value for r in found] == pytest.approx([2.1, 4.0, 1.0, 3.0])


def test_two_results_beyond_the_repeatability_limit_are_told() -> None:
    """Jnr3.2 above 1: d2s 16 % of the mean [second-hand]: 2.0 and 2.3 are 14 % apart, 2.0 and 2.4 18 %."""
    good = of(determination("jnr_3.2", "2.0"), determination("jnr_3.2", "2.3", replicate="2"))
    bad = of(determination("jnr_3.2", "2.0"), determination("jnr_3.2", "2.4", replicate="2"))
    assert "replicates-disagree" not in {f.code for f in good.findings}
    assert "replicates-disagree" in {f.code for f in bad.findings}


def test_the_first_rule_counts_the_first_only_and_shows_the_others() -> None:
    found = of(determination("jnr_3.2", "2.0"), determination("jnr_3.2", "2.1"), rule="first")
    assert (found.value, found.counted, found.spread) == (2.0, (True, False), None)


def test_a_third_is_asked_for_where_the_first_two_disagree() -> None:
    two = [determination("jnr_3.2", "2.0"), determination("jnr_3.2", "2.6", replicate="2")]
    found = of(*two, rule="first-two-then-third")
    assert "further-determination-needed" in {f.code for f in found.findings}
    third = determination("jnr_3.2", "2.1", replicate="3")
    assert of(*two, third, rule="first-two-then-third").value == pytest.approx((2.0 + 2.6 + 2.1) / 3)
    assert of(*two, third, rule="first-two-then-median").value == 2.1


def test_a_third_is_shown_but_does_not_count_where_the_first_two_agree() -> None:
    three = [determination("jnr_3.2", t, replicate=t) for t in ("2.0", "2.1", "9.9")]
    assert of(*three, rule="first-two-then-third").counted == (True, True, False)


def test_one_determination_under_a_rule_for_two_says_what_is_missing() -> None:
    found = of(determination("jnr_3.2", "2.0"), rule="first-two-then-third")
    assert found.value == 2.0
    assert "determinations-missing" in {f.code for f in found.findings}


def test_an_invalid_determination_is_kept_and_does_not_count() -> None:
    invalid = Finding("stress-off-nominal", Severity.INVALID, "The stress was wrong.")
    found = of(
        determination("jnr_3.2", "2.0"),
        determination("jnr_3.2", "9.0", findings=(invalid,), replicate="2"),
    )
    assert (found.value, found.counted) == (2.0, (True, False))
    assert "determination-not-counted" in {f.code for f in found.findings}
    assert invalid not in found.findings


def test_a_result_of_nothing_but_invalid_determinations_is_invalid() -> None:
    invalid = Finding("stress-off-nominal", Severity.INVALID, "The stress was wrong.")
    found = of(determination("jnr_3.2", "9.0", findings=(invalid,)))
    assert invalid in found.findings


def test_uncertainty_follows_the_basis_that_was_chosen() -> None:
    """Jnr3.2 2.0: s_r 0.114, s_R 0.158 (DNIT 423/2020-ME [second-hand]); means: ISO 5725-6, from memory."""
    one = [determination("jnr_3.2", "2.0")]
    four = [determination("jnr_3.2", "2.0", replicate=str(i)) for i in range(4)]
    spread = [determination("jnr_3.2", t, replicate=t) for t in ("1.9", "2.0", "2.1")]

    def standard(found: Result) -> float | None:
        return found.uncertainty.standard if found.uncertainty else None

    assert standard(of(*one, basis="repeatability")) == pytest.approx(0.114)
    assert standard(of(*one, basis="reproducibility")) == pytest.approx(0.158)
    assert standard(of(*four, basis="repeatability")) == pytest.approx(0.057)
    assert standard(of(*four, basis="reproducibility")) == pytest.approx((0.158**2 - 0.114**2 * 0.75) ** 0.5)
    own = of(*spread, basis="replicates").uncertainty
    assert own is not None
    assert own.standard == pytest.approx(0.1 / 3**0.5)
    assert (own.degrees_of_freedom, own.distribution) == (2.0, "log-normal")
    assert standard(of(*one, basis="replicates")) is None
    assert standard(of(*four, basis="replicates")) is None  # a spread of nothing states nothing


def test_a_budget_is_taken_where_it_holds() -> None:
    budget = UncertaintyBudget((), 0.047, ("jnr_0.1", "jnr_3.2"))
    both = [determination("jnr_3.2", "2.0"), determination("percent_recovery_3.2", "20.0")]
    jnr, recovery = results_from_determinations(both, PRECISION, MEAN, basis="budget", budgets=(budget,))
    assert jnr.uncertainty is not None
    assert jnr.uncertainty.standard == pytest.approx(0.094)
    assert recovery.uncertainty is None
    with pytest.raises(MeasurementError, match="no budget was given"):
        results_from_determinations(both, PRECISION, MEAN, basis="budget")


def test_a_recovery_of_zero_has_no_precision() -> None:
    found = of(determination("percent_recovery_3.2", "0"))
    assert found.repeatability is None
    assert "no-published-precision" in {f.code for f in found.findings}


def test_words_are_left_to_the_reported_class() -> None:
    words = [
        determination("traffic_class", "V"),
        determination("traffic_class", "V", replicate="2"),
    ]
    assert results_from_determinations(words, PRECISION, MEAN, basis="repeatability") == ()
    assert reported_class(words, "tank") == "V"
    assert reported_class([*words, determination("traffic_class", "S")], "tank") == "V, S"


def test_not_a_number_is_refused_with_its_place() -> None:
    with pytest.raises(MeasurementError, match="'nan' is not a finite number"):
        of(determination("jnr_3.2", "nan"))


def test_the_mass_change_of_an_ageing_record_becomes_a_determination() -> None:
    found = determination_of_mass_change(AgeingRecord("tank", "t240", mass_change_percent=-0.31))
    assert found is not None
    assert (found.value, found.condition) == (-0.31, Condition.SHORT_TERM_AGED)
    assert determination_of_mass_change(AgeingRecord("tank", "t240")) is None


@given(st.lists(st.floats(0.3, 4.0), min_size=1, max_size=6))
def test_no_determination_is_ever_dropped(values: list[float]) -> None:
    many = [
        Determination("t", Condition.ORIGINAL, 64.0, "jnr_3.2", v, "1/kPa", replicate=str(i))
        for i, v in enumerate(values)
    ]
    for name in ("mean-of-all", "first", "first-two-then-third", "first-two-then-median"):
        found = of(*many, rule=name)
        assert len(found.determinations) == len(found.counted) == len(values)
        kept = [v for v, counts in zip(values, found.counted, strict=True) if counts]
        assert found.value == pytest.approx(sum(kept) / len(kept))
