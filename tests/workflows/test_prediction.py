"""What a sample would show at other temperatures: values, classes, doubts."""

import csv
import math
from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from resile.errors import InputError
from resile.records.determination import Condition, Determination
from resile.records.prediction import AskedTemperature, Basis, SamplePrediction, Standing
from resile.records.quantity import QUANTITIES
from resile.records.temperature_line import TemperatureLine
from resile.specifications.slopes import list_binder_kinds, load_binder_kind
from resile.workflows.judging.agreement import agree
from resile.workflows.predictions.prediction import predict_sample

DATA = Path(__file__).resolve().parents[2] / ".." / "shared" / "data" / "fhwa_ptf_rutting_mit"
STA, ORIGINAL = Condition.SHORT_TERM_AGED, Condition.ORIGINAL
Row = tuple[str, Condition, float, float]


def rows(*given: Row) -> list[Determination]:
    return [
        Determination("Tank 7", condition, at, quantity, value, QUANTITIES[quantity].unit)
        for quantity, condition, at, value in given
    ]


def predicted(
    given: Iterable[Row],
    *at_c: float,
    kind: str | None = None,
    specification: str = "m332-2014",
    **how: object,
) -> SamplePrediction:
    return predict_sample(
        "Tank 7",
        rows(*given),
        agree(specification),
        at_c=at_c,
        kind=load_binder_kind(kind) if kind else None,
        **how,  # type: ignore[arg-type]  # scatter, required_probability, reach_c
    )


def standing(asked: AskedTemperature, name: str) -> Standing:
    return next(one.standing for one in asked.classes if one.service_class.name == name)


JUST_H_AT_58 = (("jnr_3.2", STA, 58.0, 1.85), ("jnr_3.2", STA, 58.0, 1.80))
TWO_TEMPERATURES = (("jnr_3.2", STA, 58.0, 1.0), ("jnr_3.2", STA, 64.0, 2.1))


def test_a_binder_just_in_class_h_at_58_is_no_h_at_64_and_the_sheet_says_what_it_is_and_what_settles_it() -> (
    None
):
    (asked,) = predicted(JUST_H_AT_58, 64.0, kind="unmodified").temperatures
    (value,) = asked.values
    # Slope 0.130 per °C by hand: sqrt(1.85 x 1.80) exp(0.78) = 3.98.
    assert value.value == pytest.approx(3.98, abs=0.005)
    assert value.low is not None and value.high is not None and value.low < 3.98 < value.high
    assert value.basis is Basis.PRIOR
    assert standing(asked, "H") is Standing.PREDICTED_FAIL
    assert asked.expected_class is not None and asked.expected_class.label == "64S"
    assert asked.held_class == "H"
    assert asked.next_test is not None
    assert (asked.next_test.quantity, asked.next_test.temperature_c) == ("jnr_3.2", 64.0)
    for words in ("show 58H", "still meets 64H is under 0.1 %", "expected to carry 64S", "Next test: Jnr3.2"):
        assert words in asked.answer


def test_a_kind_is_never_guessed() -> None:
    prediction = predicted(JUST_H_AT_58, 64.0)
    assert prediction.temperatures[0].values[0].value is None
    assert "name the kind of binder" in prediction.properties[0].reason
    assert standing(prediction.temperatures[0], "S") is Standing.UNKNOWN


def test_a_measured_value_wins_and_is_shown_as_measured_beside_what_the_line_says() -> None:
    (asked,) = predicted(TWO_TEMPERATURES, 64.0).temperatures
    (value,) = asked.values
    assert (value.basis, value.value) == (Basis.MEASURED, 2.1)
    assert value.predicted is not None
    assert standing(asked, "H") is Standing.MEASURED_FAIL
    assert standing(asked, "S") is Standing.MEASURED_PASS
    assert asked.next_test is None or asked.next_test.quantity != "jnr_3.2"


def test_between_two_tests_the_value_is_interpolated_and_the_temperature_at_a_limit_is_as_graded() -> None:
    prediction = predicted(TWO_TEMPERATURES, 61.0)
    assert prediction.temperatures[0].values[0].basis is Basis.INTERPOLATED
    limits = {one.service_class: one for one in prediction.properties[0].limits}
    # By hand: ln 2/ln 2.1 of the way from 58 to 64 °C.
    assert limits["H"].temperature_c == pytest.approx(58.0 + 6.0 * math.log(2.0) / math.log(2.1))
    assert limits["H"].basis is Basis.INTERPOLATED
    assert limits["E"].basis is Basis.EXTRAPOLATED
    assert not [f for f in prediction.findings if f.code == "extrapolated"]


def test_beyond_one_grade_step_nothing_is_predicted_unless_more_is_asked_for() -> None:
    assert predicted(TWO_TEMPERATURES, 76.0).temperatures[0].values[0].basis is Basis.NONE
    further = predicted(TWO_TEMPERATURES, 76.0, reach_c=12.0)
    assert further.temperatures[0].values[0].value is not None
    assert "extrapolated" in {f.code for f in further.findings}


def test_always_test_do_not_scale_stands_on_every_prediction_and_on_none_that_is_all_measured() -> None:
    assert any("do not scale" in f.message for f in predicted(TWO_TEMPERATURES, 70.0).findings)
    assert not predicted(TWO_TEMPERATURES, 64.0).findings


def test_two_rows_exchanged_draw_no_line() -> None:
    prediction = predicted((("jnr_3.2", STA, 58.0, 2.1), ("jnr_3.2", STA, 64.0, 1.0)), 61.0)
    assert prediction.properties[0].line is None
    assert "property-runs-the-wrong-way" in {f.code for f in prediction.findings}


def test_points_off_the_line_widen_the_band_and_say_so() -> None:
    bent = (*TWO_TEMPERATURES, ("jnr_3.2", STA, 70.0, 12.0))
    prediction = predicted(bent, 67.0)
    assert "points-off-the-line" in {f.code for f in prediction.findings}
    line = prediction.properties[0].line
    assert isinstance(line, TemperatureLine)
    assert line.scatter > 0.2


def test_a_value_below_the_printed_precision_takes_the_widest_printed_and_says_so() -> None:
    elastic = (("jnr_3.2", STA, 64.0, 0.05), ("jnr_3.2", STA, 70.0, 0.09))
    prediction = predicted(elastic, 76.0)
    assert "scatter-of-another-level" in {f.code for f in prediction.findings}
    assert prediction.temperatures[0].values[0].value == pytest.approx(0.09**2 / 0.05)


def test_the_rutting_parameter_of_both_residues_is_held_to_the_limits_of_a_plain_grade() -> None:
    given = (
        ("rutting_parameter", ORIGINAL, 58.0, 2.4),
        ("rutting_parameter", ORIGINAL, 64.0, 1.2),
        ("rutting_parameter", STA, 58.0, 5.6),
        ("rutting_parameter", STA, 64.0, 2.8),
    )
    (asked,) = predicted(given, 70.0, specification="m320").temperatures
    assert [value.value for value in asked.values] == pytest.approx([1.4, 0.6])
    assert asked.classes[0].standing is Standing.PREDICTED_FAIL
    assert asked.sure_class is None


def test_an_invalid_temperature_and_a_probability_that_is_none_are_refused() -> None:
    with pytest.raises(InputError, match="at least one temperature"):
        predicted(TWO_TEMPERATURES)
    with pytest.raises(InputError, match="required probability"):
        predicted(TWO_TEMPERATURES, 70.0, required_probability=95.0)
    with pytest.raises(InputError, match="scatter"):
        predicted(TWO_TEMPERATURES, 70.0, scatter="guess")


@pytest.mark.parametrize("entry", list_binder_kinds(), ids=lambda entry: entry.identifier)
def test_every_slope_is_marked_and_has_a_source(entry: object) -> None:
    kind = load_binder_kind(entry.identifier)  # type: ignore[attr-defined]  # an entry of the list
    for slope in kind.slopes:
        assert slope.source
        assert slope.evidence
        assert slope.standard_per_c > 0.0


def test_an_unknown_kind_has_no_narrower_interval_than_a_known_one() -> None:
    unknown = load_binder_kind("unknown")
    for name in ("unmodified", "sbs-modified"):
        for slope in load_binder_kind(name).slopes:
            for residue in (slope.condition,) if slope.condition else (STA, Condition.RECOVERED):
                prior = unknown.prior_for(slope.quantity, residue)
                assert prior is not None
                assert prior.standard_per_c >= slope.standard_per_c


def open_rows(file: str) -> list[dict[str, str]]:
    if not (DATA / file).is_file():
        pytest.skip("the open FHWA data set is not here")
    with (DATA / file).open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def left_out_scores(series: dict[object, list[tuple[float, float]]], condition: Condition) -> list[bool]:
    """Predict each point of a series from the others; tell whether the 95 % band holds it."""
    held = []
    for points in series.values():
        for place, (at, value) in enumerate(points):
            others = [p for n, p in enumerate(points) if n != place]
            given = [("rutting_parameter", condition, t, v) for t, v in others]
            prediction = predicted(given, at, specification="m320", reach_c=12.0)
            (expected,) = prediction.temperatures[0].values
            assert expected.low is not None and expected.high is not None
            held.append(expected.low <= value <= expected.high)
    return held


def test_two_temperatures_of_a_federal_lane_predict_the_third_inside_the_band() -> None:
    # FHWA Turner-Fairbank rutting data (2025), sheet HTPG: specimens tested at three temperatures.
    series: dict[object, list[tuple[float, float]]] = defaultdict(list)
    for row in open_rows("htpg_dsr_points.csv"):
        key = (row["lane"], row["lab_ageing"], row["replicate"])
        series[key].append((float(row["temperature_C"]), float(row["Gstar_over_sin_kPa"])))
    held = left_out_scores({k: v for k, v in series.items() if len(v) == 3}, Condition.RECOVERED)
    assert len(held) == 15
    assert np.mean(held) >= 0.95


def test_the_published_slopes_hold_the_second_temperature_of_every_federal_tank_binder() -> None:
    kinds = {
        "1": "sbs-modified",
        "4": "sbs-modified",
        "3": "unmodified",
        "7": "unmodified",
        "10": "unmodified",
    }
    residues = {"Unaged": ORIGINAL, "RTFO": STA, "as recovered": Condition.RECOVERED}
    series: dict[tuple[str, str, str], list[tuple[float, float]]] = defaultdict(list)
    for row in open_rows("htpg_dsr_points.csv"):
        key = (row["lane"], row["lab_ageing"], row["replicate"])
        series[key].append((float(row["temperature_C"]), float(row["Gstar_over_sin_kPa"])))
    held = []
    for (lane, ageing, _), points in series.items():
        (cold, first), (warm, second) = sorted(points)[:2]
        for kind in (kinds[lane], "unknown"):
            given = [("rutting_parameter", residues[ageing], cold, first)]
            (value,) = predicted(given, warm, kind=kind, specification="m320").temperatures[0].values
            assert value.low is not None and value.high is not None
            held.append(value.low <= second <= value.high)
    assert np.mean(held) >= 0.95


def test_a_frequency_sweep_at_58_and_82_holds_70_and_three_temperatures_hold_each_other() -> None:
    # FHWA Turner-Fairbank rutting data (2025), sheet Binder Frequency Sweep: 10 rad/s at 58, 70 and 82 °C.
    series: dict[object, list[tuple[float, float]]] = defaultdict(list)
    for row in open_rows("frequency_sweep_recovered.csv"):
        at = float(row["temperature_C"])
        if at in (58.0, 70.0, 82.0) and float(row["omega_rad_s"]) == 10.0:
            series[row["lane"], row["replicate"]].append((at, float(row["Gstar_over_sin_Pa"]) / 1000.0))
    whole = {key: points for key, points in series.items() if len(points) == 3}
    assert whole
    between, beyond = [], []
    for points in whole.values():
        cold, middle, warm = sorted(points)
        for others, left, told in (
            ((cold, warm), middle, between),
            ((middle, warm), cold, beyond),
            ((cold, middle), warm, beyond),
        ):
            given = [("rutting_parameter", Condition.RECOVERED, t, v) for t, v in others]
            (value,) = predicted(given, left[0], specification="m320", reach_c=12.0).temperatures[0].values
            assert value.value is not None and value.low is not None and value.high is not None
            told.append((value.low <= left[1] <= value.high, value.value / left[1]))
    assert len(between) == 15
    # The logarithm is a little curved: 24 °C apart the middle comes out up to 9.5 % high, 12 °C beyond up to
    # 17 % low.
    assert np.mean([held for held, _ in between]) >= 0.9
    assert np.mean([held for held, _ in beyond]) >= 0.9
    assert max(abs(ratio - 1.0) for _, ratio in between) < 0.10
    assert max(abs(ratio - 1.0) for _, ratio in beyond) < 0.17


def test_newtonian_compliance_is_ten_over_the_rutting_parameter_at_every_temperature_predicted() -> None:
    # Newtonian liquid at 10 rad/s: |G*|/sin δ = 10 η and Jnr = 1/η, so Jnr = 10/(|G*|/sin δ in kPa).
    eta = {58.0: 0.62, 64.0: 0.29}
    given = [("jnr_3.2", STA, t, 1.0 / value) for t, value in eta.items()]
    given += [("rutting_parameter", STA, t, 10.0 * value) for t, value in eta.items()]
    for asked in predicted(given, 61.0, 70.0).temperatures:
        compliance, rutting = (value.value for value in asked.values)
        assert compliance is not None and rutting is not None
        assert compliance * rutting == pytest.approx(10.0)


def test_a_doubling_by_six_degrees_doubles_once_more() -> None:
    # Common practice, no source: Jnr about doubles per +6 °C.
    (asked,) = predicted((("jnr_3.2", STA, 58.0, 0.5), ("jnr_3.2", STA, 64.0, 1.0)), 70.0).temperatures
    assert asked.values[0].value == pytest.approx(2.0)
    assert next(c for c in asked.classes if c.service_class.name == "H").probability == pytest.approx(0.5)


def test_a_milder_class_is_never_less_probable() -> None:
    for asked in predicted(TWO_TEMPERATURES, 46.0, 52.0, 61.0, 67.0, 70.0, reach_c=12.0).temperatures:
        chances = [one.probability for one in asked.classes]
        assert all(a is not None and b is not None and a >= b for a, b in pairwise(chances))


def test_recovery_is_predicted_from_two_temperatures_and_stays_a_recovery() -> None:
    given = (("percent_recovery_3.2", STA, 58.0, 75.0), ("percent_recovery_3.2", STA, 64.0, 25.0))
    (asked,) = predicted(given, 61.0).temperatures
    # By hand: the logits are ln 3 and -ln 3; with precision of 3 % weights differ little.
    assert asked.values[0].value == pytest.approx(50.0, abs=8.0)
    (far,) = predicted(given, 76.0, reach_c=12.0).temperatures
    assert far.values[0].low is not None and 0.0 < far.values[0].low < far.values[0].value < 25.0


def test_a_logged_temperature_is_told_as_the_grade_step_it_answers() -> None:
    logged = (("jnr_3.2", STA, 57.9997, 1.0), ("jnr_3.2", STA, 64.0001, 2.1))
    (beyond, at) = predicted(logged, 70.0, 64.0).temperatures
    assert beyond.tested_c == 64.0
    assert "Tests at 64 °C show 64S" in beyond.answer
    assert "Tests at" not in at.answer


def test_what_was_left_out_and_a_residue_that_nobody_stated_are_told() -> None:
    left_out = predicted((("jnr_3.2", STA, 58.0, 0.0), *TWO_TEMPERATURES[1:]), 66.0, kind="unknown")
    assert any(f.severity == "invalid" for f in left_out.findings)
    unstated = predicted(
        (("jnr_3.2", Condition.UNKNOWN, 58.0, 0.4), ("jnr_3.2", Condition.UNKNOWN, 64.0, 0.8)), 70.0
    )
    assert "was tested on binder of unstated residue" in unstated.temperatures[0].answer
    assert unstated.temperatures[0].expected_class is None
