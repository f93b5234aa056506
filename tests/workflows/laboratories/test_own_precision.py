"""From duplicates, checks and rounds to the doubt about one result."""

from dataclasses import replace

import numpy as np
import pytest

from resile.errors import InputError
from resile.records.determination import Condition
from resile.records.laboratories import MaterialChecks, OwnPrecisionFound, Replicates
from resile.records.register.laboratories import CheckMaterial, CheckResult, RoundResult
from resile.workflows.laboratories.compared import compare_precision
from resile.workflows.laboratories.own_precision import own_precision, precision_to_keep

RTFO = Condition.SHORT_TERM_AGED
WITHIN, DAYS, BIAS = 0.02, 0.04, 0.05


def duplicates(count: int, rng: np.random.Generator, factor: float = 1.0) -> list[Replicates]:
    levels = rng.uniform(0.3, 0.95, count)
    return [
        Replicates(
            values=tuple(factor * level * (1 + rng.normal(0, WITHIN, 2))), when=f"2025-03-{day % 28 + 1:02d}"
        )
        for day, level in enumerate(levels)
    ]


def checked(
    count: int, rng: np.random.Generator, expanded: float | None = None, factor: float = 1.0
) -> MaterialChecks:
    material = CheckMaterial(
        name="tin 7",
        kind="check-binder",
        quantity="jnr_3.2",
        reference=0.8 * factor,
        reference_expanded=expanded,
    )
    measured = factor * 0.8 * (1 + BIAS + rng.normal(0, DAYS, count))
    return MaterialChecks(
        material=material,
        checks=tuple(
            CheckResult(material="m", instrument="R", measured=float(one), done="2025-04-01")
            for one in measured
        ),
    )


def results(count: int, rng: np.random.Generator) -> list[RoundResult]:
    return [
        RoundResult(
            scheme="N",
            round=str(place),
            material="A",
            quantity="jnr_3.2",
            condition=RTFO,
            value=float(0.7 * (1 + BIAS + rng.normal(0, DAYS))),
            assigned=0.7,
            assigned_standard=0.005,
            day="2025-05-02",
        )
        for place in range(count)
    ]


def found_with(count: int, seed: int = 5) -> OwnPrecisionFound:
    rng = np.random.default_rng(seed)
    return own_precision(
        "jnr_3.2",
        duplicates=duplicates(count, rng),
        checks=[checked(count, rng)],
        rounds=results(count, rng),
        condition=RTFO,
    )


def test_a_planted_scatter_and_bias_come_back() -> None:
    found = found_with(400)
    assert found.repeatability == pytest.approx(WITHIN, rel=0.12)
    assert found.intermediate == pytest.approx(DAYS, rel=0.12)
    assert found.bias == pytest.approx(BIAS, abs=4 * found.bias_standard)
    assert found.standard == pytest.approx(np.hypot(DAYS, BIAS), rel=0.12)
    assert {one.code for one in found.findings} == {"own-bias-significant"}


def test_a_binder_of_ones_own_says_nothing_about_the_bias_but_a_certified_one_does() -> None:
    rng = np.random.default_rng(1)
    pairs = duplicates(20, rng)
    own = own_precision("jnr_3.2", duplicates=pairs, checks=[checked(20, rng)])
    assert (own.bias, own.biases) == (0.0, ())
    assert "own-bias-unknown" in {one.code for one in own.findings}
    certified = own_precision("jnr_3.2", duplicates=pairs, checks=[checked(20, rng, expanded=0.01)])
    assert certified.biases[0].against == "tin 7"
    assert certified.bias == pytest.approx(BIAS, abs=4 * certified.bias_standard)


def test_without_checks_over_days_the_repeatability_stands_in_and_says_so() -> None:
    found = own_precision("jnr_3.2", duplicates=duplicates(4, np.random.default_rng(2)))
    assert found.intermediate == found.repeatability
    assert {"own-no-days", "own-few-duplicates", "own-bias-unknown"} <= {one.code for one in found.findings}


@pytest.mark.parametrize("factor", [0.001, 1000.0])
def test_ratios_do_not_go_with_the_unit_and_amounts_do(factor: float) -> None:
    def found(unit: float, relative: bool) -> OwnPrecisionFound:
        rng = np.random.default_rng(3)
        return own_precision(
            "jnr_3.2",
            duplicates=duplicates(12, rng, unit),
            checks=[checked(12, rng, expanded=0.01 * unit, factor=unit)],
            relative=relative,
        )

    assert found(factor, True).standard == pytest.approx(found(1.0, True).standard, rel=1e-9)
    assert found(factor, False).standard == pytest.approx(factor * found(1.0, False).standard, rel=1e-9)


def test_scatter_in_proportion_to_the_value_is_told_where_it_is_taken_in_the_unit() -> None:
    pairs = [Replicates(values=(level, 1.05 * level)) for level in (0.1, 0.2, 0.4, 0.8, 1.6, 3.2)]
    told = {one.code for one in own_precision("jnr_3.2", duplicates=pairs, relative=False).findings}
    assert "own-scatter-with-level" in told


def test_no_duplicates_and_a_ratio_of_nothing_are_refused() -> None:
    with pytest.raises(InputError, match="no duplicates"):
        own_precision("jnr_3.2")
    with pytest.raises(InputError, match="take the deviation in its unit"):
        own_precision("delta_tc", duplicates=[Replicates(values=(-3.0, -2.0))])


def test_what_is_kept_holds_from_its_newest_data_on() -> None:
    kept = precision_to_keep(found_with(12), valid_until="2026-05-02")
    assert (kept.since, kept.until, kept.valid_until) == ("2025-03-01", "2025-05-02", "2026-05-02")
    assert (kept.duplicates, kept.checks, kept.rounds) == (12, 12, 12)


def test_own_against_published_says_better_worse_or_nothing() -> None:
    # Published at 0.26 to 1.00: 5.5 % within, 13.9 % between laboratories (t350-2014).
    found = found_with(400)
    words = {one.what: one.judged for one in compare_precision(found, value=0.5)}
    assert words == {"repeatability": "better", "intermediate": "better"}
    (worse, _) = compare_precision(replace(found, repeatability=0.07), value=0.5)
    (same, _) = compare_precision(replace(found, repeatability=0.055), value=0.5)
    assert (worse.judged, same.judged) == ("worse", "as-published")
    assert compare_precision(found, value=0.05) == ()  # no published precision below 0.10


@pytest.mark.nightly
def test_the_interval_of_the_uncertainty_covers_later_results_as_often_as_it_says() -> None:
    rng = np.random.default_rng(9)
    inside = total = 0
    for _ in range(400):
        found = own_precision(
            "jnr_3.2", duplicates=duplicates(15, rng), checks=[checked(15, rng, expanded=0.004)]
        )
        later = 0.6 * (1 + BIAS + rng.normal(0, DAYS, 20))
        inside += int(np.sum(np.abs(later - 0.6) <= 2.0 * found.standard * 0.6))
        total += 20
    assert inside / total >= 0.94  # the bias stands in the uncertainty in full: not below what is said
