"""Pictures of oscillation, bending beam and viscosity: drawn data, labels, units and words; not pixels."""

import math

import pytest
from machine_records import STIFFNESS_MPA, TIMES_S, beam, oscillation, sweep, viscosity
from test_figures import drawn, every, titles, words

from resile.records.determination import Condition
from resile.report.figures import (
    figure_beams,
    figure_frequency_sweep,
    figure_oscillation,
    figure_viscosity,
)
from resile.report.figures.oscillation import drawn_parameter
from resile.report.figures.series import MOST_SERIES, in_pictures
from resile.report.figures.style import DARK, decade_ticks

NAMES = ("specimen 1", "specimen 2")


def test_the_oscillation_shows_every_point_of_every_specimen_with_its_units() -> None:
    spec = figure_oscillation([oscillation(), oscillation(1.05)], NAMES, parameter="rutting_parameter")
    rows = [row for row in drawn(spec, "value") if row["series"] == "specimen 2"]
    # |G*|/sin δ by definition: 1.05 times 3.2, 1.5 and 0.8 kPa at 83, 85 and 86°.
    wanted = [1.05 * g / math.sin(math.radians(d)) for g, d in ((3.2, 83), (1.5, 85), (0.8, 86))]
    assert sorted({row["value"] for row in rows}, reverse=True) == pytest.approx(wanted)
    assert {row["phase"] for row in rows} == {83, 85, 86}
    assert {"temperature (°C)", "|G*|/sin δ (kPa)", "phase angle δ (°)"} <= titles(spec)


def test_the_limit_is_a_dashed_level_with_its_words() -> None:
    limits = [(1.0, "at least 1.0 kPa")]
    spec = figure_oscillation([oscillation()], NAMES[:1], parameter="rutting_parameter", limits=limits)
    assert "at least 1.0 kPa" in words(spec)
    assert "at least 1.0 kPa" in spec["description"]
    assert [5, 3] in every(spec, "strokeDash")


def test_a_limit_outside_the_scale_says_on_which_side_it_lies() -> None:
    limits = [(5000.0, "at most 5000 kPa")]
    spec = figure_oscillation([oscillation()], NAMES[:1], parameter="fatigue_parameter", limits=limits)
    assert "at most 5000 kPa (above)" in words(spec)


@pytest.mark.parametrize(
    ("condition", "parameter"),
    [
        (Condition.ORIGINAL, "rutting_parameter"),
        (Condition.SHORT_TERM_AGED, "rutting_parameter"),
        (Condition.LONG_TERM_AGED, "fatigue_parameter"),
        (Condition.UNKNOWN, "complex_modulus"),
    ],
)
def test_each_residue_is_drawn_by_the_parameter_it_is_judged_by(condition: Condition, parameter: str) -> None:
    assert drawn_parameter(condition) == parameter


def test_no_two_specimens_share_colour_mark_and_dashes() -> None:
    names = [f"specimen {n}" for n in range(1, MOST_SERIES + 1)]
    spec = figure_beams([beam() for _ in names], names)
    looks = {
        (scale["domain"][0], tuple(scale["range"])) for scale in every(spec, "scale") if "range" in scale
    }
    shapes = [tones for _, tones in looks if "circle" in tones]
    assert len(set(shapes[0])) == MOST_SERIES
    assert all(colour in DARK for _, tones in looks if "circle" not in tones for colour in tones)
    dashes = [
        tuple(m["strokeDash"])
        for m in every(spec, "mark")
        if isinstance(m, dict) and m.get("color") in DARK and "strokeDash" in m
    ]
    assert len(set(dashes)) >= MOST_SERIES


def test_many_specimens_are_shared_out_among_pictures_with_none_left_out() -> None:
    assert in_pictures(0) == []
    assert in_pictures(6) == [(0, 6)]
    assert in_pictures(7) == [(0, 4), (4, 7)]
    for count in range(1, 40):
        spans = in_pictures(count)
        assert [place for first, last in spans for place in range(first, last)] == list(range(count))
        assert max(last - first for first, last in spans) <= MOST_SERIES


def test_a_sweep_is_drawn_against_frequency_with_a_line_a_temperature() -> None:
    spec = figure_frequency_sweep(sweep())
    assert {row["frequency"] for row in drawn(spec, "modulus") if "sweep" in row} == {0.1, 1.0, 10.0}
    assert {row["words"] for row in drawn(spec, "words")} == {"10.0 °C", "22.0 °C"}
    assert {"angular frequency (rad/s)", "|G*| (kPa)", "phase angle δ (°)"} <= titles(spec)


def test_the_beam_shows_six_times_the_curve_the_tangent_and_the_residuals() -> None:
    spec = figure_beams([beam()], ["specimen 1"])
    rows = drawn(spec, "stiffness")
    points = [row for row in rows if row.get("series") and row["time"] in TIMES_S]
    assert {round(row["stiffness"], 3) for row in points} >= set(STIFFNESS_MPA)
    # Exact quadratic, trade notes, section 2.3; the tangent at 8 s is 223.622 (60/8)^0.30669.
    at_8 = sorted(row["stiffness"] for row in rows if row["time"] == pytest.approx(8.0))
    assert at_8[0] == pytest.approx(393.473, abs=0.01)
    assert at_8[-1] == pytest.approx(223.622 * 7.5**0.30669, rel=1e-4)
    assert all(abs(row["off"]) < 0.01 for row in drawn(spec, "off"))
    assert "specimen 1: S 224 MPa, m 0.307" in spec["description"]
    assert {"loading time (s)", "creep stiffness S (MPa)", "off (%)"} <= titles(spec)


def test_the_viscosity_line_is_straight_and_the_ranges_are_named_with_their_temperatures() -> None:
    spec = figure_viscosity(viscosity())
    # Trade notes, section 6 [derived]: mixing 151.1 to 156.9 °C, compaction 140.2 to 144.9 °C.
    told = words(spec)
    assert "mixing" in told
    assert "151.1 to 156.9 °C" in told
    assert "compaction" in told
    assert "140.2 to 144.9 °C" in told
    assert "0.400 Pa·s" in told
    assert {"temperature (°C)", "rotational viscosity (Pa·s)"} <= titles(spec)
    # Both axes are transformed: log10 of degrees Rankine, log10 log10 of mPa·s.
    across = {round(row["across"], 6) for row in drawn(spec, "across") if "across2" not in row}
    assert round(math.log10(1.8 * (135 + 273.15)), 6) in across


def test_the_line_beyond_the_measured_temperatures_is_dashed() -> None:
    run = viscosity()
    assert run.line is not None
    spec = figure_viscosity(run)
    lines = [mark for mark in every(spec, "mark") if mark.get("type") == "line"]
    assert [line["strokeDash"] for line in lines] == [[1, 0]]  # all ranges lie between 135 and 165 °C


@pytest.mark.parametrize(("low", "high"), [(0.9, 5.5), (1.0, 3.0), (0.01, 1e6), (140.0, 400.0)])
def test_a_logarithmic_axis_has_at_least_two_labels_within_its_ends(low: float, high: float) -> None:
    ticks = decade_ticks(low, high)
    assert len(ticks) >= 2
    assert all(low <= tick <= high for tick in ticks)
    assert ticks == sorted(ticks)
