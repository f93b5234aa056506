"""Capability, target, quick tests and sampling as a person asks for them."""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.errors import InputError
from resile.interfaces.cli import main
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.workflows.control.asked import ask_capability, ask_quick_tests, ask_target
from resile.workflows.control.asked_sampling import ask_sampling
from resile.workflows.control.capability import capability
from resile.workflows.control.plant_scatter import scatter_of_lots
from resile.workflows.control.scatter import scatter_on_scale
from resile.workflows.control.series import ProductionFile, watched_property
from resile.workflows.control.target import prices_of_margin, target_to_aim_at

JNR = watched_property("jnr_3.2", product="invented", at_most=0.5)
RECOVERY = watched_property("percent_recovery_3.2", product="invented", at_least=40.0)


def results(values: list[float], *, lots: list[str] | None = None) -> list[ProductionResult]:
    names = lots or [f"L{at}" for at in range(len(values))]
    return [
        ProductionResult(key=f"k{at}", lot=lot, taken=f"2026-04-{at + 1:02d}", value=value)
        for at, (lot, value) in enumerate(zip(names, values, strict=True))
    ]


def drawn(seed: int, count: int = 28) -> list[float]:
    return [float(10.0**one) for one in np.random.default_rng(seed).normal(math.log10(0.36), 0.05, count)]


def codes(findings: Any) -> set[str]:
    return {one.code for one in findings}


@pytest.fixture
def lots(tmp_path: Path) -> Path:
    """A table of 30 invented lots; the last four have no slow result, the very last lies far outside."""
    random = np.random.default_rng(4)
    rows = ["lot,taken,Jnr3.2 (1/kPa),|G*| (kPa),phase angle (°)"]
    for at in range(30):
        modulus = 10.0 ** random.normal(0.33, 0.05) if at < 29 else 9.0
        angle = random.normal(69.0, 1.5)
        jnr = 10.0 ** (
            -0.44 - 1.1 * (math.log10(modulus) - 0.33) + 0.02 * (angle - 69) + random.normal(0, 0.02)
        )
        slow = f"{jnr:.4f}" if at < 26 else ""
        rows.append(f"L{at:02d},2026-04-{at + 1:02d},{slow},{modulus:.3f},{angle:.2f}")
    path = tmp_path / "lots.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_on_a_log_scale_a_factor_on_values_and_limit_changes_nothing() -> None:
    values = drawn(1)
    here = capability(results(values), JNR, test_standard=0.02)
    there = watched_property("jnr_3.2", product="invented", at_most=5.0)
    moved = capability(results([10.0 * one for one in values]), there, test_standard=0.02)
    assert moved.performance.index == pytest.approx(here.performance.index, abs=1e-9)
    assert moved.share_beyond_high == pytest.approx(here.share_beyond_high, abs=1e-9)
    assert moved.centre == pytest.approx(10.0 * here.centre)


def test_the_order_of_results_and_of_replicates_does_not_matter() -> None:
    given = results(drawn(2, 24), lots=[f"L{at // 2}" for at in range(24)])
    assert capability(given[::-1], JNR) == capability(given, JNR)


def test_replicates_count_once_and_that_is_told() -> None:
    doubled = results([one for one in drawn(3, 14) for _ in "ab"], lots=[f"L{at // 2}" for at in range(28)])
    found = capability(doubled, JNR)
    assert len(found.lots) == 14
    assert "capability-lot-of-one-tank" in codes(found.findings)


def test_the_scatter_of_the_test_is_taken_off() -> None:
    found = capability(results(drawn(4)), JNR, test_standard=0.03)
    assert found.plant_deviation is not None
    assert found.plant_deviation**2 + 0.03**2 == pytest.approx(found.overall_deviation**2)
    assert found.true_share_beyond is not None
    assert found.true_share_beyond < found.share_beyond


def test_a_test_that_scatters_more_than_all_results_is_doubted() -> None:
    assert "capability-test-exceeds" in codes(capability(results(drawn(5)), JNR, test_standard=0.2).findings)


def test_few_lots_a_drift_and_two_groups_are_each_told() -> None:
    drift = [0.30 * 1.02**at for at in range(28)]
    found = codes(capability(results(drift), JNR).findings)
    assert "capability-drifts" in found
    groups = [0.30, 0.301, 0.302, 0.303, 0.42, 0.421, 0.422, 0.423] * 3
    found = codes(capability(results(groups), JNR).findings)
    assert {"capability-not-normal", "capability-few-lots"} <= found


def test_a_lot_left_out_leaves_a_gap_and_no_trace_in_the_numbers() -> None:
    values = drawn(6)
    spoilt = [*values[:10], 4.0, *values[11:]]
    clean = [one for at, one in enumerate(values) if at != 10]
    left_out = capability(results(spoilt), JNR, excluded={"L10": "wrong tank"})
    assert left_out.performance.index == pytest.approx(capability(results(clean), JNR).performance.index)


def test_a_bound_by_nature_belongs_to_a_linear_scale() -> None:
    values = [45.0 + at % 5 for at in range(25)]
    found = capability(results(values), RECOVERY, natural_limit=100.0)
    assert found.natural_limit_index == pytest.approx(60.0 / (6.0 * found.overall_deviation))
    with pytest.raises(InputError, match="linear scale"):
        capability(results(drawn(7)), JNR, natural_limit=0.0)


@pytest.mark.parametrize(
    ("given", "watched", "expected"),
    [
        ("5%", JNR, math.sqrt(math.log(1.0025)) / math.log(10.0)),  # lognormal, by definition
        ("0.025", JNR, math.sqrt(math.log(1.0025)) / math.log(10.0)),  # 5 % of the limit
        ("3", RECOVERY, 3.0),
        ("5%", RECOVERY, 2.0),
        ("repeatability", RECOVERY, 1.2),  # AASHTO T 350-14: 3.0 % of the value, at the limit
        ("reproducibility", RECOVERY, 2.6),  # 6.5 %
    ],
)
def test_scatter_in_words_comes_to_the_watched_scale(
    given: str, watched: WatchedProperty, expected: float
) -> None:
    assert scatter_on_scale(given, watched, what="test")[0] == pytest.approx(expected)


def test_prices_a_step_are_prices_a_unit_of_the_watched_scale() -> None:
    prices = prices_of_margin(JNR, margin_cost=2.0, failure_cost=40.0, additive_percent=0.1)
    assert prices.per_unit * math.log10(1.1) == pytest.approx(2.0)
    linear = prices_of_margin(RECOVERY, margin_cost=2.0, step=4.0, failure_cost=40.0)
    assert linear.per_unit == pytest.approx(0.5)


def test_a_guard_band_moves_the_target_inwards_and_lowers_the_customers_risk() -> None:
    asked: dict[str, Any] = {"plant_deviation": 0.05, "test_standard": 0.025, "aim": "passes"}
    simple = target_to_aim_at(JNR, **asked)
    guarded = target_to_aim_at(JNR, decision_rule="guard-band", **asked)
    assert guarded.target < simple.target
    assert guarded.outcomes.customers_risk < simple.outcomes.customers_risk
    assert guarded.acceptance_limit == pytest.approx(0.5 / 10.0**0.05)


def test_a_target_beyond_what_the_property_can_be_is_told() -> None:
    high = watched_property("percent_recovery_3.2", at_least=92.0)
    found = target_to_aim_at(high, plant_deviation=6.0, test_standard=2.0)
    assert "target-beyond-nature" in codes(found.findings)
    assert "target-beyond-nature" not in codes(
        target_to_aim_at(RECOVERY, plant_deviation=6.0, test_standard=2.0).findings
    )


def test_prices_without_an_optimum_are_told() -> None:
    prices = prices_of_margin(JNR, margin_cost=100.0, failure_cost=1.0)
    found = target_to_aim_at(JNR, plant_deviation=0.05, test_standard=0.02, prices=prices)
    assert found.cheapest is None
    assert "target-no-optimum" in codes(found.findings)


def test_hints_stay_within_the_lots_of_the_fit(lots: Path) -> None:
    content: Any = ask_quick_tests(ProductionFile(path=lots), JNR, ["complex_modulus", "phase_angle"]).content
    assert [one.lot for one in content.hints] == ["L26", "L27", "L28", "L29"]
    assert content.hints[-1].hint == "cannot tell"
    assert content.hints[-1].probability is None
    assert content.model.coefficients[1] == pytest.approx(
        -1.1, abs=0.25
    )  # as invented, within three standard errors
    always = {"quick-selected-population", "quick-published-support-weak", "quick-outside"}
    assert always <= codes(content.findings)


def test_lots_after_the_anchor_tell_of_drift_and_ask_for_a_new_anchor(lots: Path) -> None:
    text = lots.read_text(encoding="utf-8").splitlines()
    shifted = [
        ",".join([*row.split(",")[:2], f"{float(row.split(',')[2]) * 1.15:.4f}", *row.split(",")[3:]])
        if row.split(",")[2] and row.split(",")[1] > "2026-04-16" and "lot" not in row
        else row
        for row in text
    ]
    lots.write_text("\n".join(shifted) + "\n", encoding="utf-8")
    asked = ["complex_modulus", "phase_angle"]
    content: Any = ask_quick_tests(ProductionFile(path=lots), JNR, asked, anchored_until="2026-04-16").content
    assert content.drift.count >= 5
    assert {"quick-errors-drift", "quick-anchor-due"} <= codes(content.findings)


def test_a_table_of_several_products_asks_for_one(tmp_path: Path) -> None:
    path = tmp_path / "lots.csv"
    path.write_text("lot,product,jnr_3.2\n1,A,0.3\n2,B,0.4\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"several series of jnr_3\.2: A, .* say which by --product"):
        ask_capability(ProductionFile(path=path), watched_property("jnr_3.2", at_most=0.5))


def test_the_command_line_prints_the_numbers_of_python(
    lots: Path, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = [
        "watch",
        "target",
        "--property",
        "jnr_3.2",
        "--at-most",
        "0.5",
        "--results",
        str(lots),
        "--test",
        "5%",
        "--json",
    ]
    monkeypatch.setattr("sys.argv", ["resile", *words])
    with pytest.raises(SystemExit) as end:
        main()
    printed = json.loads(capsys.readouterr().out)
    assert not end.value.code
    answer: Any = ask_target(
        watched_property("jnr_3.2", at_most=0.5), results=ProductionFile(path=lots), test="5%"
    ).content
    assert printed["target"] == answer.target
    assert printed["outcomes"]["producers_risk"] == answer.outcomes.producers_risk


def test_every_answer_has_a_page_and_keeps_its_table(lots: Path, tmp_path: Path) -> None:
    outcomes = tmp_path / "outcomes.csv"
    outcomes.write_text("lot,taken,outcome\nL1,2026-05-01,accepted\n", encoding="utf-8")
    answers = [
        ask_capability(ProductionFile(path=lots), JNR),
        ask_target(JNR, plant="12%", test="5%"),
        ask_quick_tests(ProductionFile(path=lots), JNR, ["complex_modulus"]),
        ask_sampling("modified-by-tank", outcomes, today="2026-05-20"),
    ]
    for at, answer in enumerate(answers):
        (page,) = answer.write([tmp_path / f"{at}.html"], date="2026-05-20")
        assert answer.page(date="2026-05-20").answer.split(" ")[-1] in page.read_text(encoding="utf-8")
    with pytest.raises(InputError, match="a page ends in"):
        answers[0].write([lots.with_suffix(".doc")], date="2026-05-20")
    with pytest.raises(InputError, match="the answer rests on this file"):
        answers[0].write([lots], date="2026-05-20")


def test_a_page_says_at_its_end_what_its_numbers_rest_on(lots: Path) -> None:
    basis = ask_capability(ProductionFile(path=lots), JNR, test="repeatability").page(date="").sections[-1]
    assert any(one.startswith("Scatter of the test: repeatability at the limit") for one in basis.paragraphs)


def test_consent_after_a_lot_that_is_not_in_the_table_is_refused(lots: Path) -> None:
    outcomes = lots.with_name("outcomes.csv")
    outcomes.write_text("lot,outcome\nL1,accepted\n", encoding="utf-8")
    with pytest.raises(InputError, match="consent after lot 'L99'"):
        ask_sampling("modified-by-tank", outcomes, consented=["L99"])


def test_a_limit_without_a_logarithm_is_refused() -> None:
    with pytest.raises(InputError, match=r"limit -0\.5 found; a number above 0 is needed"):
        watched_property("jnr_3.2", at_most=-0.5)
    assert watched_property("mass_change_percent", at_least=-1.0).limit == -1.0


def test_where_plant_and_test_cannot_be_told_apart_the_plant_is_given_all_of_it(lots: Path) -> None:
    table = ProductionFile(path=lots)
    alone: Any = ask_capability(table, JNR).content
    answer = ask_target(JNR, results=table, test="30%")
    told = next(one for one in answer.content.findings if one.code == "target-plant-not-told-apart")
    assert isinstance(told.value, float)
    assert told.value > 1.0
    target: Any = answer.content
    assert target.plant_deviation == alone.overall_deviation
    assert "--own-test" in told.advice
    capable: Any = ask_capability(table, JNR, test="30%").content
    assert (capable.plant_deviation, capable.true_share_beyond) == (None, None)
    assert "capability-test-exceeds" in codes(capable.findings)


def test_what_laboratories_differ_by_is_not_taken_off_the_results_of_one(lots: Path) -> None:
    table = ProductionFile(path=lots)
    usual: Any = ask_target(JNR, results=table, test="reproducibility").content
    own: Any = ask_target(JNR, results=table, test="reproducibility", own_test="repeatability").content
    within: Any = ask_capability(table, JNR, test="repeatability").content
    assert usual.plant_deviation == own.plant_deviation == within.plant_deviation
    assert usual.test_standard == scatter_on_scale("reproducibility", within.watched, what="test")[0]


def test_the_mean_of_replicates_has_less_of_the_scatter_of_the_test() -> None:
    lots = [f"L{at // 2}" for at in range(8)] + ["L9"]
    single, _ = scatter_on_scale("5%", JNR, what="test")
    # four lots of two results and one of one: mean of the variances (4/2 + 1)/5
    assert scatter_of_lots("5%", results([0.3] * 9, lots=lots), JNR)[0] == pytest.approx(
        single * math.sqrt(3.0 / 5.0)
    )


def test_results_one_a_row_and_two_residues_give_the_same_quick_tests(lots: Path) -> None:
    rows = [line.split(",") for line in lots.read_text(encoding="utf-8").splitlines()[1:]]
    long = ["lot,sampled,condition,quantity,value,unit"]
    for lot, day, slow, modulus, angle in rows:
        long += [f"{lot},{day},RTFO,jnr_3.2,{slow},1/kPa"] if slow else []
        long += [f"{lot},{day},original,complex_modulus,{modulus},kPa"]
        long += [f"{lot},{day},original,phase_angle,{angle},°"]
    other = lots.with_name("long.csv")
    other.write_text("\n".join(long) + "\n", encoding="utf-8")
    asked = ["complex_modulus", "phase_angle"]
    wide: Any = ask_quick_tests(ProductionFile(path=lots), JNR, asked).content
    tall: Any = ask_quick_tests(ProductionFile(path=other), JNR, asked).content
    assert tall.model.coefficients == pytest.approx(wide.model.coefficients, rel=1e-12)
    assert [one.lot for one in tall.hints] == [one.lot for one in wide.hints]


def test_a_workbook_holds_the_lots_and_the_doubts(lots: Path, tmp_path: Path) -> None:
    import zipfile

    answer = ask_capability(ProductionFile(path=lots), JNR, test="30%")
    book, table = answer.write([tmp_path / "c.xlsx", tmp_path / "c.csv"], date="2026-05-20")
    text = zipfile.ZipFile(book).read("xl/workbook.xml").decode()
    assert [name for name in ("Answer", "Lots", "Findings") if f'name="{name}"' in text] == [
        "Answer", "Lots", "Findings",
    ]  # fmt: skip
    assert table.read_text(encoding="utf-8").splitlines()[0] == "lot,value"
