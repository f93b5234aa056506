from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.probability.conformity import conformity_probability
from resile.judge.grades.requirement import judge_requirement
from resile.judge.results.conformity import probability_of_conformity, student_probability
from resile.records.determination import Condition, Result, Uncertainty
from resile.records.specification import DecisionRule, Requirement
from resile.records.verdict import Outcome, Verdict
from resile.specifications.load import load_decision_rule

JNR = Requirement(
    name="jnr_3.2_maximum",
    title="Jnr at 3.2 kPa",
    clause="row 1",
    condition=Condition.SHORT_TERM_AGED,
    quantity="jnr_3.2",
    bound="maximum",
    unit="1/kPa",
    limits={"*": 0.5},
    temperature="high",
    decides_class=True,
    decimals=2,
)
RUTTING = replace(JNR, name="rutting", quantity="rutting_parameter", bound="minimum", unit="kPa")
MASS = replace(
    JNR, name="mass", quantity="mass_change_percent", unit="%", absolute=True, temperature=None, decimals=3
)
RULES = {name: load_decision_rule(name) for name in ("simple", "guard-band", "four-state")}


def judged(
    value: float,
    limit: float,
    rule: str | DecisionRule = "simple",
    requirement: Requirement = JNR,
    *,
    uncertainty: Uncertainty | None = None,
    repeatability: float | None = None,
    rounding: str = "none",
) -> Verdict:
    result = Result(
        "tank",
        requirement.condition,
        64.0,
        requirement.quantity,
        requirement.unit,
        value,
        repeatability=repeatability,
        uncertainty=uncertainty,
    )
    chosen = RULES[rule] if isinstance(rule, str) else rule
    return judge_requirement(requirement, result, limit=limit, rule=chosen, rounding=rounding)


@pytest.mark.parametrize(
    ("value", "limit", "percent", "score", "outcome"),
    [
        # margins in u [derived] from the multilaboratory CV of DNIT 423/2020-ME, Annex A [second-hand]
        (4.72, 4.5, 7.9, -0.59, Outcome.CONDITIONAL_FAIL),
        (2.0105, 2.0, 7.9, -0.07, Outcome.CONDITIONAL_FAIL),
        (0.460, 0.5, 13.9, 0.63, Outcome.CONDITIONAL_PASS),
    ],
)
def test_near_the_limit_four_states_do_not_claim_more_than_is_known(
    value: float, limit: float, percent: float, score: float, outcome: Outcome
) -> None:
    uncertainty = Uncertainty(percent / 100.0 * value, "reproducibility")
    verdict = judged(value, limit, "four-state", uncertainty=uncertainty)
    assert verdict.outcome is outcome
    assert verdict.margin is not None
    assert verdict.margin / uncertainty.standard == pytest.approx(score, abs=0.005)


def test_equal_to_the_limit_passes_for_maxima_and_minima() -> None:
    """Default of the trade (common practice, no source)."""
    for requirement in (JNR, RUTTING):
        verdict = judged(2.2, 2.2, requirement=requirement)
        assert verdict.outcome is Outcome.PASS
        assert verdict.margin == 0.0
        assert "equal to the limit passes" in verdict.reason


def test_a_mean_that_misses_its_limit_by_the_last_binary_digit_is_equal_to_it() -> None:
    assert judged(0.1 + 0.2, 0.3).outcome is Outcome.PASS


def test_a_value_that_passes_only_because_it_was_rounded_says_so() -> None:
    """Constructed: 0.504 to two decimals is 0.50."""
    assert judged(0.504, 0.5).outcome is Outcome.FAIL
    verdict = judged(0.504, 0.5, rounding="half-even")
    assert verdict.outcome is Outcome.PASS
    assert verdict.value == 0.50
    assert verdict.reason.startswith("0.504 is 0.50 and passes only because it was rounded")


def test_rounding_may_also_fail_a_value() -> None:
    verdict = judged(
        0.996, 1.0, rounding="half-up", requirement=replace(RUTTING, decimals=1, bound="maximum")
    )
    assert verdict.outcome is Outcome.PASS
    verdict = judged(2.196, 2.2, rounding="half-up", requirement=RUTTING)
    assert "passes only because it was rounded" in verdict.reason


def test_half_even_and_half_up_differ_at_a_tie() -> None:
    """ASTM E29 rounds a tie to even [recalled]: 0.505 is 0.50, and 0.51 by the other rule."""
    assert judged(0.505, 0.5, rounding="half-even").outcome is Outcome.PASS
    assert judged(0.505, 0.5, rounding="half-up").outcome is Outcome.FAIL


def test_mass_change_is_judged_by_its_size() -> None:
    assert judged(-0.9, 1.0, requirement=MASS).outcome is Outcome.PASS
    assert judged(-1.1, 1.0, requirement=MASS).outcome is Outcome.FAIL
    assert judged(1.1, 1.0, requirement=MASS).outcome is Outcome.FAIL


def test_not_tested_is_never_a_pass() -> None:
    verdict = judge_requirement(JNR, None, limit=0.5, rule=RULES["simple"], test_temperature_c=64.0)
    assert verdict.outcome is Outcome.NOT_TESTED
    assert verdict.margin is None
    assert "at 64 °C on short-term-aged binder" in verdict.reason


def test_margin_is_also_given_in_repeatability_limits() -> None:
    """d2s = 2.8 standard deviations, ASTM C670: 0.28 below the limit with s_r 0.1 is one of them."""
    verdict = judged(0.22, 0.5, repeatability=0.1)
    assert verdict.margin_repeatabilities == pytest.approx(1.0)


def test_a_guard_band_rejects_what_simple_acceptance_accepts() -> None:
    """Acceptance limit AL = TL - 2 u, ILAC-G8:09/2019, 4.2.2: 0.5 - 2 x 0.05 = 0.4."""
    uncertainty = Uncertainty(0.05, "budget")
    assert judged(0.40, 0.5, "guard-band", uncertainty=uncertainty).outcome is Outcome.PASS
    assert judged(0.41, 0.5, "guard-band", uncertainty=uncertainty).outcome is Outcome.FAIL
    assert judged(0.41, 0.5, "simple", uncertainty=uncertainty).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("value", "outcome"),
    [
        (0.39, Outcome.PASS),
        (0.45, Outcome.CONDITIONAL_PASS),
        (0.50, Outcome.CONDITIONAL_PASS),
        (0.55, Outcome.CONDITIONAL_FAIL),
        (0.61, Outcome.FAIL),
    ],
)
def test_four_states_follow_the_guard_band_on_both_sides(value: float, outcome: Outcome) -> None:
    """ILAC-G8:09/2019, 4.2.3, with U = 2 u = 0.1 around a limit of 0.5."""
    assert judged(value, 0.5, "four-state", uncertainty=Uncertainty(0.05, "budget")).outcome is outcome


def test_few_replicates_ask_for_a_wider_guard_band() -> None:
    """JCGM 100:2008, Table G.2: 4.53 for 95.45 % with 2 degrees of freedom, 2.00 with infinitely many."""
    few = Uncertainty(0.05, "replicates", degrees_of_freedom=2.0)
    assert judged(0.5 - 4.4 * 0.05, 0.5, "guard-band", uncertainty=few).outcome is Outcome.FAIL
    assert judged(0.5 - 4.6 * 0.05, 0.5, "guard-band", uncertainty=few).outcome is Outcome.PASS


def test_where_no_uncertainty_can_be_stated_the_reason_says_how_it_was_compared() -> None:
    verdict = judged(0.41, 0.5, "guard-band")
    assert verdict.outcome is Outcome.PASS
    assert verdict.probability_of_conformity is None
    assert "No uncertainty can be stated" in verdict.reason


@pytest.mark.parametrize(
    ("score", "freedom", "probability"),
    [
        # Student's t, two-sided 95 % points of the usual table, from memory (high)
        (12.706, 1, 0.975),
        (4.303, 2, 0.975),
        (3.182, 3, 0.975),
        (2.776, 4, 0.975),
        (2.120, 16, 0.975),
        (0.0, 7, 0.5),
        (-2.776, 4, 0.025),
    ],
)
def test_students_distribution_has_its_tabulated_points(
    score: float, freedom: int, probability: float
) -> None:
    assert student_probability(score, freedom) == pytest.approx(probability, abs=5e-5)


def test_one_sided_and_two_sided_probabilities_are_those_of_the_guide() -> None:
    """JCGM 106:2012: Zener diode 0.92, from memory (high). Two-sided: |x| <= 1 at x = 0, u = 1 is 0.6827."""
    zener = probability_of_conformity(-5.47, -5.40, Uncertainty(0.05, "budget"), bound="maximum")
    assert zener == pytest.approx(0.92, abs=0.005)
    both = probability_of_conformity(0.0, 1.0, Uncertainty(1.0, "budget"), bound="maximum", absolute=True)
    assert both == pytest.approx(0.6827, abs=5e-5)


VALUE = st.floats(0.01, 10.0)
SHARE = st.floats(0.001, 0.5)


@settings(deadline=None)  # the first call imports scipy
@given(
    VALUE, VALUE, SHARE, st.sampled_from(["normal", "log-normal"]), st.sampled_from(["maximum", "minimum"])
)
def test_the_verdict_and_the_equations_for_arrays_give_one_probability(
    value: float, limit: float, share: float, distribution: str, bound: str
) -> None:
    uncertainty = Uncertainty(share * value, "budget", distribution)
    own = probability_of_conformity(value, limit, uncertainty, bound=bound)
    other = conformity_probability(value, limit, share * value, bound=bound, distribution=distribution)
    assert own == pytest.approx(float(other), abs=1e-9)


@given(VALUE, VALUE, SHARE, st.sampled_from(["normal", "log-normal"]), st.sampled_from([JNR, RUTTING]))
def test_an_uncertainty_never_turns_a_fail_into_a_pass_under_a_guard_band(
    value: float, limit: float, share: float, distribution: str, requirement: Requirement
) -> None:
    without = judged(value, limit, "guard-band", requirement)
    with_one = judged(
        value,
        limit,
        "guard-band",
        requirement,
        uncertainty=Uncertainty(share * value, "budget", distribution),
    )
    assert not (without.outcome is Outcome.FAIL and with_one.outcome is Outcome.PASS)


@given(VALUE, VALUE, st.sampled_from([JNR, RUTTING]))
def test_the_sign_of_the_margin_is_the_outcome_under_simple_acceptance(
    value: float, limit: float, requirement: Requirement
) -> None:
    verdict = judged(value, limit, "simple", requirement)
    assert verdict.margin is not None
    assert (verdict.margin >= 0.0) is (verdict.outcome is Outcome.PASS)


@given(VALUE, VALUE, SHARE)
def test_four_states_lie_within_simple_acceptance(value: float, limit: float, share: float) -> None:
    simple = judged(value, limit).outcome
    four = judged(
        value, limit, "four-state", uncertainty=Uncertainty(share * value, "budget", "log-normal")
    ).outcome
    good = {Outcome.PASS, Outcome.CONDITIONAL_PASS}
    assert (four in good) is (simple is Outcome.PASS)


@pytest.mark.parametrize("freedom", [9_999, 10_001, 1_000_000_000_000])
def test_student_with_very_many_degrees_of_freedom_is_nearly_normal_and_found_at_once(freedom: int) -> None:
    # Student's t tends to the normal distribution; the error term of order 1/n is below 2e-5 here.
    assert student_probability(1.0, freedom) == pytest.approx(0.8413447, abs=2e-5)
