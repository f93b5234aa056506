"""Price factors: the published rules, and what uncertainty does to them."""

from dataclasses import replace
from pathlib import Path
from statistics import NormalDist

import pytest

from resile.errors import SpecificationError
from resile.judge.rules.price import price_factor, price_view
from resile.records.determination import Condition, Result, Uncertainty
from resile.records.price import PriceRule
from resile.specifications.prices import list_price_rules, load_price_rule
from resile.specifications.search import PACKAGE_FOLDER

RECOVERY = load_price_rule("recovery-two-point-allowance")
STEPS = load_price_rule("m-value-steps")


def result_of(value: float, rule: PriceRule = RECOVERY, standard: float | None = None) -> Result:
    uncertainty = None if standard is None else Uncertainty(standard, "reproducibility")
    return Result(
        "A", Condition(rule.condition), 64.0, rule.quantity, rule.unit, value, uncertainty=uncertainty
    )


@pytest.mark.parametrize(
    ("recovery", "factor"),
    [(60.0, 1.00), (54.0, 1.00), (53.0, 1.00), (52.0, 0.75), (51.4, 0.60), (51.0, 0.50), (50.0, 0.25)],
)
def test_recovery_has_two_points_free_and_each_further_one_costs_a_quarter(
    recovery: float, factor: float
) -> None:
    """PF = 1 - 0.25((SPEC - 2) - R), rounded to 0.01, at most 1.00; SPEC 55: Iowa CM, appendix 2-34 (M)."""
    assert price_factor(RECOVERY, recovery, 55.0) == factor


@pytest.mark.parametrize(("recovery", "defective"), [(51.0, True), (51.04, False), (51.01, True)])
def test_up_to_one_half_the_lot_may_be_declared_defective(recovery: float, defective: bool) -> None:
    """PF <= 0.50 after rounding to 0.01: Iowa CM, appendix 2-34 (M)."""
    view = price_view(RECOVERY, result_of(recovery), 55.0)
    assert view is not None
    assert view.may_be_defective is defective


@pytest.mark.parametrize(
    ("m_value", "factor"),
    [
        (0.300, 1.00),
        (0.295, 1.00),
        (0.294, 0.95),
        (0.290, 0.95),
        (0.289, 0.90),
        (0.285, 0.90),
        (0.284, 0.75),
        (0.280, 0.75),
        (0.279, 0.50),
        (0.2948, 1.00),  # 0.295 to the three decimals of the printed steps
    ],
)
def test_the_m_value_is_paid_in_steps(m_value: float, factor: float) -> None:
    """0.295 100 %, 0.290 95 %, 0.285 90 %, 0.280 75 %, below 50 %: Iowa CM, appendix 2-34 (I)."""
    assert price_factor(STEPS, m_value) == factor


def test_a_factor_is_never_negative() -> None:
    assert price_factor(RECOVERY, 20.0, 55.0) == 0.0


def test_the_expected_factor_is_that_of_the_normal_distribution() -> None:
    """E[min(1, 1 - a (s - X))] = 1 - a ((s - v) F(z) + u f(z)), z = (s - v)/u: constructed from a mean."""
    value, standard, start = 52.4, 0.6, 53.0
    normal = NormalDist()
    score = (start - value) / standard
    exact = 1.0 - 0.25 * ((start - value) * normal.cdf(score) + standard * normal.pdf(score))
    view = price_view(RECOVERY, result_of(value, standard=standard), 55.0)
    assert view is not None
    assert view.expected_factor == pytest.approx(exact, abs=0.001)
    # Rounding to 0.01 pays in full from 52.98 upwards: half a hundredth is 0.02 points.
    assert view.full_price_probability == pytest.approx(
        1.0 - normal.cdf((52.98 - value) / standard), abs=0.001
    )
    assert view.defective_probability == pytest.approx(normal.cdf((51.02 - value) / standard), abs=0.001)


def test_without_uncertainty_there_is_no_expected_factor_and_without_value_no_view() -> None:
    view = price_view(RECOVERY, result_of(52.0), 55.0)
    assert view is not None
    assert (view.expected_factor, view.full_price_probability) == (None, None)
    assert [(c.value, c.factor) for c in view.changes] == [(51.0, 0.50), (53.0, 1.00)]
    assert price_view(RECOVERY, replace(result_of(52.0), value=None), 55.0) is None


def test_a_line_needs_a_limit_to_count_from() -> None:
    with pytest.raises(SpecificationError, match="--price-limit"):
        price_factor(RECOVERY, 52.0)


def test_a_rule_for_a_maximum_counts_the_other_way() -> None:
    mirrored = replace(RECOVERY, bound="maximum")
    assert [price_factor(mirrored, value, 55.0) for value in (56.0, 57.0, 58.0, 59.0)] == [
        1.0,
        1.0,
        0.75,
        0.5,
    ]


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ("[line]", "[lien]", "lien"),
        ('unit = "%"', 'unit = "kPa"', "needed '%'"),
        ("[line]\nallowance = 2.0\nloss_per_unit = 0.25", "", "either a table"),
        ("lowest_factor = 0.0", "lowest_factor = 1.5", "must not exceed"),
    ],
)
def test_a_wrong_file_is_refused_with_its_key(tmp_path: Path, old: str, new: str, complaint: str) -> None:
    text = (PACKAGE_FOLDER / "price_rules" / "recovery-two-point-allowance.toml").read_text(encoding="utf-8")
    file = tmp_path / "rule.toml"
    file.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(SpecificationError, match=complaint):
        load_price_rule(file)


def test_a_rule_of_ones_own_is_found_and_a_faulty_one_is_listed_with_its_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "price_rules"
    folder.mkdir()
    text = (PACKAGE_FOLDER / "price_rules" / "m-value-steps.toml").read_text(encoding="utf-8")
    (folder / "ours.toml").write_text(text.replace("m-value-steps", "ours"), encoding="utf-8")
    (folder / "wrong.toml").write_text(text.replace("edge = 0.290", "edge = 0.299"), encoding="utf-8")
    monkeypatch.setenv("RESILE_SPECIFICATIONS", str(tmp_path))
    assert load_price_rule("ours").steps == STEPS.steps
    (wrong,) = [entry for entry in list_price_rules() if entry.problem]
    assert "from the best value to the worst" in wrong.problem
