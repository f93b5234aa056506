"""What is drawn: points, labels, units and words; not pixels."""

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from example_records import TABLE_8_2, elastic_curve, example_run

from resile.errors import RecordNotFoundError
from resile.records.creep_recovery import CreepRecoveryRun, StressLevel
from resile.records.verdict import GradeStatement, Outcome
from resile.report.figures import (
    figure_compliance,
    figure_cycle,
    figure_elastic_response,
    figure_margin,
    figure_run,
    points_of,
)
from resile.report.figures.decimation import kept_points
from resile.report.figures.style import DARK


def every(spec: Any, key: str) -> list[Any]:
    """Collect the values of a key at any depth."""
    found = []
    if isinstance(spec, dict):
        found += [spec[key]] if key in spec else []
        for value in spec.values():
            found += every(value, key)
    elif isinstance(spec, list):
        for value in spec:
            found += every(value, key)
    return found


def drawn(spec: Any, field: str) -> list[dict[str, Any]]:
    return [row for data in every(spec, "values") for row in data if isinstance(row, dict) and field in row]


def words(spec: Any) -> str:
    return json.dumps(every(spec, "text"), ensure_ascii=False)


def titles(spec: Any) -> set[str]:
    return {title for title in every(spec, "title") if isinstance(title, str) and title}


def test_the_run_shows_every_peak_and_end_in_at_most_2000_points(burgers_run: CreepRecoveryRun) -> None:
    rows = drawn(figure_run(burgers_run), "phase")
    assert len(rows) <= 2000
    strains = {round(row["strain"], 6) for row in rows}
    cycles = [c for level in burgers_run.levels for c in level.cycles] + list(burgers_run.conditioning)
    signal = burgers_run.signal
    assert signal is not None
    for cycle in cycles:
        near = np.argmin(np.abs(signal.columns["time_s"] - (cycle.start_s + 1.0)))
        assert round(100 * float(signal.columns["strain"][near]), 6) in strains


def test_the_axes_of_the_run_carry_units(burgers_run: CreepRecoveryRun) -> None:
    assert {"shear strain (%)", "stress (kPa)", "running time (s)"} <= titles(figure_run(burgers_run))


def test_conditioning_cycles_are_told_apart_by_word_and_by_dashes(burgers_run: CreepRecoveryRun) -> None:
    spec = figure_run(burgers_run)
    assert "conditioning: cycles 1 to 10" in words(spec)
    assert "evaluated: cycles 11 to 20" in words(spec)
    assert any("strokeDash" in encoding for encoding in every(spec, "encoding"))
    phases = {row["phase"] for row in drawn(spec, "phase") if row["time"] < 100}
    assert phases == {"conditioning"}


def test_a_run_without_its_signal_is_drawn_from_three_points_a_cycle() -> None:
    rows = drawn(figure_run(example_run(TABLE_8_2, keep_signal=False)), "phase")
    assert len(rows) == 3 * 30


def test_a_typed_summary_says_that_there_is_nothing_to_draw() -> None:
    spec = figure_run(CreepRecoveryRun(levels=(StressLevel(3.2, None, 0.0, 3.222),)))
    assert "there is no record to draw" in words(spec)


def test_a_magnified_cycle_names_both_parts_with_their_numbers(burgers_run: CreepRecoveryRun) -> None:
    # creep-recovery.md, section 8.2, cycle 30: R 9.74195 %, Jnr 2.00000 1/kPa.
    spec = figure_cycle(burgers_run, 3.2, 10)
    assert "springs back 9.7 %" in words(spec)
    assert "stays behind: Jnr = 2.00 1/kPa" in words(spec)


def test_the_shaded_heights_of_a_cycle_are_its_recovered_and_remaining_strain(
    burgers_run: CreepRecoveryRun,
) -> None:
    # creep-recovery.md, section 8.2, cycle 21: e0 4.000220, ec 11.093684, er 10.406995.
    spec = figure_cycle(burgers_run, 3.2, 1)
    peak, left = 100 * (11.093684 - 4.000220), 100 * (10.406995 - 4.000220)
    hatch = drawn(spec, "peak")
    end = max(hatch, key=lambda row: row["time"])
    assert end["peak"] == pytest.approx(peak, abs=2e-4)
    assert end["strain"] == pytest.approx(left, abs=2e-4)
    brackets = sorted({round(row["strain"], 3) for row in drawn(spec, "step")})
    assert brackets == pytest.approx([0.0, left, peak], abs=2e-3)


def test_a_cycle_that_was_not_run_is_refused_with_what_was_run(burgers_run: CreepRecoveryRun) -> None:
    with pytest.raises(RecordNotFoundError, match=r"Cycle 12 at 3.2 kPa: the run has cycles 1 to 10"):
        figure_cycle(burgers_run, 3.2, 12)
    with pytest.raises(RecordNotFoundError, match="no cycles"):
        figure_cycle(burgers_run, 6.4, 1)


def test_the_trend_shows_each_evaluated_cycle_of_both_stresses(burgers_run: CreepRecoveryRun) -> None:
    spec = figure_compliance(burgers_run)
    rows = drawn(spec, "cycle")
    assert {(row["level"], row["place"]) for row in rows} == {
        (level, place) for level in ("0.1 kPa", "3.2 kPa") for place in range(1, 11)
    }
    assert {"Jnr (1/kPa)", "recovery (%)", "evaluated cycle"} <= titles(spec)
    assert {"circle", "square"} <= set(every(spec, "shape"))


def test_the_elastic_curve_is_drawn_with_its_step_and_its_end(elastic_run: CreepRecoveryRun) -> None:
    spec = figure_elastic_response(points_of([elastic_run]), elastic_curve())
    curve = [(row["jnr"], row["recovery"]) for row in drawn(spec, "step")]
    at_step = [recovery for jnr, recovery in curve if jnr == pytest.approx(0.1)]
    # creep-recovery.md, section 6: 55 below 0.1, 53.85 at 0.1, 24.47 at 2.0, nothing above.
    assert at_step == pytest.approx([55.0, 53.85], abs=0.005)
    assert curve[-1] == pytest.approx((2.0, 24.47), abs=0.005)
    assert "nothing asked above 2" in words(spec)


def test_every_limit_stands_with_its_class_and_its_outcome_in_words(statement: GradeStatement) -> None:
    said = words(figure_margin(statement))
    for text in ("64E ≤ 0.5", "64V ≤ 1.0", "64H ≤ 2.0", "64S ≤ 4.5", "✗ fail", "✓ pass"):
        assert text in said
    assert "Jnr3.2 at 64 °C (1/kPa)" in titles(figure_margin(statement))


def test_a_property_passed_by_far_is_left_to_the_table_and_a_failed_one_is_drawn(
    statement: GradeStatement,
) -> None:
    assert "Jnr,diff at 64 °C (%)" not in titles(figure_margin(statement))
    failed = [
        replace(v, outcome=Outcome.FAIL) if v.requirement.quantity == "jnr_difference_percent" else v
        for v in statement.classes[0].verdicts
    ]
    classes = (replace(statement.classes[0], verdicts=tuple(failed)),)
    spec = figure_margin(replace(statement, classes=classes))
    assert "Jnr,diff at 64 °C (%)" in titles(spec)
    assert "64E ≤ 75" in words(spec)


def test_the_interval_of_a_log_normal_result_is_one_of_ratios(statement: GradeStatement) -> None:
    low, high = next((r["at"], r["until"]) for r in drawn(figure_margin(statement), "until"))
    assert low * high == pytest.approx(0.5324**2, rel=1e-9)


@pytest.mark.parametrize("size", [1, 2, 1999, 2000, 2001, 50_000])
def test_decimation_keeps_both_ends_the_extremes_and_the_named_instants(size: int) -> None:
    times = np.linspace(0.0, 300.0, size)
    values = np.sin(times) + 0.01 * times
    kept = kept_points(times, values, [100.0, 200.0])
    assert len(kept) <= 2000
    assert {0, size - 1, int(values.argmax()), int(values.argmin())} <= set(kept.tolist())
    assert np.all(np.diff(kept) > 0)
    if size > 2000:
        assert np.min(np.abs(times[kept] - 100.0)) == np.min(np.abs(times - 100.0))


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_colours_of_words_and_curves_reach_the_contrast_asked_for_by_wcag() -> None:
    # WCAG 2.2, criterion 1.4.3: 4.5 to 1 for text.
    pale = {"#d3d8db", "#dcebe9", "#b5d9d5", "#f3ede5", "#f0dccd", "#ffffff"}  # areas
    for light, dark in DARK.items():
        if light not in pale:
            assert contrast(light, "#ffffff") >= 4.5
            assert contrast(dark, DARK["#ffffff"]) >= 4.5
