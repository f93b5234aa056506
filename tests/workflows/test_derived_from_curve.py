"""What follows from a master curve: on open sweeps, on planted ones, on the page and in the pictures."""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from compute.rheology.master_curve.sweeps import aged_sweep, planted_sweeps, recovered_sweep
from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
from resile.errors import SpecificationError
from resile.records.models.curve_reading import CurveDerivation, CurveReading, ReadingStanding
from resile.records.models.master_curve import MasterCurve
from resile.report.figures.models.spectrum import (
    figure_glover_rowe,
    figure_relaxation_and_creep,
    figure_spectrum,
)
from resile.report.machine.models.curve_readings import derivation_to_json
from resile.report.paper.models.curve_readings import derivation_sections, readings_table
from resile.specifications.readings import load_reading_conditions
from resile.workflows.modelling.derived import derive_from_curve


def planted_curve() -> MasterCurve:
    return fit_master_curve(
        *planted_sweeps(rheological_index=2.0, log_crossover_frequency=1.0, c1=15.0, c2=120.0), shape="CA"
    )


@pytest.fixture(scope="module")
def both() -> tuple[MasterCurve, CurveDerivation]:
    curve = planted_curve()
    return curve, derive_from_curve(curve, draws=40)


def named(derivation: CurveDerivation, name: str) -> CurveReading:
    return next(one for one in derivation.readings if one.name == name)


def test_every_reading_says_where_it_comes_from_and_where_it_stands(
    both: tuple[Any, CurveDerivation],
) -> None:
    _, derivation = both
    for reading in derivation.readings:
        assert reading.title and reading.source and reading.evidence
        assert reading.standing in ReadingStanding
    assert named(derivation, "glover_rowe_44.7c").thresholds == ()


def test_the_crossover_temperature_is_that_of_the_plan(both: tuple[Any, CurveDerivation]) -> None:
    # Planted: 45° at 10 rad/s at the reference of 20 °C.
    _, derivation = both
    assert named(derivation, "temperature_of_phase_45").value == pytest.approx(20.0, abs=0.01)


def test_relaxation_times_creep_is_that_of_a_power_law_or_more(
    both: tuple[Any, CurveDerivation],
) -> None:
    _, derivation = both
    for one in derivation.responses:
        # G J is 1 for a spring and sin(m pi)/(m pi) for a power law: never above 1, here above m = 0.9.
        assert (
            math.sin(0.9 * math.pi) / (0.9 * math.pi)
            < one.relaxation_modulus_kpa * one.creep_compliance
            < 1.0
        )


def test_the_page_gives_each_number_its_standing_and_the_two_conditions_apart(
    both: tuple[MasterCurve, Any],
) -> None:
    curve, derivation = both
    sections = derivation_sections(derivation, curve)
    assert [section.key for section in sections] == ["readings-1", "beams-1", "spectrum-1"]
    assert "neither takes the place of the other" in sections[0].paragraphs[0]
    rows = sections[0].tables[0].rows
    first, second = (next(row for row in rows if words in row[0]) for words in ("15 °C", "44.7 °C"))
    assert "180 kPa onset of cracking (recalled)" in first[3] and "600 kPa" in first[3]
    assert second[3] == "no threshold is established for this condition"
    # The tests end at 0 °C: a beam at 0 °C is read between them, a colder one is not.
    standings = {row[0]: row[-1] for row in sections[1].tables[0].rows}
    assert standings.pop("0 °C", "interpolated") == "interpolated"
    assert standings and all(words.startswith("extrapolated by") for words in standings.values())


def test_a_reading_that_is_not_reached_says_so() -> None:
    reading = CurveReading("any", None, "°C", ReadingStanding.EXTRAPOLATED, title="Any", note="out of reach")
    assert readings_table([reading]).rows[0][1:3] == ("not reached", "out of reach")


def test_the_machine_form_is_plain_json(both: tuple[Any, CurveDerivation]) -> None:
    content = json.loads(json.dumps(derivation_to_json(both[1]), allow_nan=False))
    assert {one["name"] for one in content["readings"]} >= {"glover_rowe_15c", "glover_rowe_44.7c"}
    assert content["readings"][0]["standing"] in ("measured", "interpolated", "extrapolated")
    assert content["spectrum"]["modes"]["relaxation_times_s"]


def test_the_pictures_draw_what_was_found(both: tuple[MasterCurve, CurveDerivation]) -> None:
    _, derivation = both
    spectrum = derivation.spectrum
    assert spectrum is not None
    picture = figure_spectrum(spectrum)
    line = next(layer for layer in picture["layer"] if layer["mark"]["type"] == "line")
    held = [point.density_kpa for point in spectrum.spectrum if point.supported and point.density_kpa > 0]
    assert [row["density"] for row in line["data"]["values"]] == held
    assert "95 % interval" in picture["description"]
    two = figure_relaxation_and_creep(derivation.responses, reference_c=20.0)["hconcat"]
    assert [panel["encoding"]["y"]["axis"]["title"] for panel in two] == [
        "relaxation modulus G(t) (kPa)",
        "creep compliance J(t) (1/kPa)",
    ]


def test_the_lines_of_the_black_diagram_are_those_of_the_named_condition(
    both: tuple[MasterCurve, Any],
) -> None:
    curve, derivation = both
    picture = figure_glover_rowe(curve, named(derivation, "glover_rowe_15c"))
    lines = [layer for layer in picture["layer"] if layer["mark"]["type"] == "line"]
    for layer, limit in zip(lines, (180.0, 600.0), strict=True):
        for row in layer["data"]["values"]:
            angle = math.radians(row["phase"])
            assert row["modulus"] * math.cos(angle) ** 2 / math.sin(angle) == pytest.approx(limit)
    assert "Lines of this condition alone" in picture["description"]
    without = figure_glover_rowe(curve, named(derivation, "glover_rowe_44.7c"))
    assert not [layer for layer in without["layer"] if layer["mark"]["type"] == "line"]
    assert "none established" in without["description"]


@pytest.mark.parametrize("lane", [3, 4, 7, 10])
def test_the_open_sweeps_are_repeated_by_a_spectrum_and_read_within_the_tests(lane: int) -> None:
    # FHWA Turner-Fairbank lanes; published joins of these sweeps by free shifts have 0.004 to 0.005 decades.
    curve = fit_master_curve(*recovered_sweep(lane), shape="CAM", shift="free")
    derivation = derive_from_curve(curve, draws=0)
    spectrum = derivation.spectrum
    assert spectrum is not None
    assert spectrum.modulus_residual_percent < 3.0
    assert spectrum.phase_residual_deg < 1.6
    assert named(derivation, "glover_rowe_44.7c").standing is ReadingStanding.INTERPOLATED
    assert named(derivation, "beam_stiffness_temperature").standing is ReadingStanding.EXTRAPOLATED


def test_sweeps_that_end_warm_are_told_that_a_beam_is_a_guess() -> None:
    # Lane 3 ends at 10 °C: forms of the shift differ by many degrees where the beam would be tested.
    wlf = derive_from_curve(fit_master_curve(*recovered_sweep(3), shape="CAM", shift="WLF"), draws=0)
    assert "beam-rests-on-the-shift" in {finding.code for finding in wlf.findings}
    reading = named(wlf, "beam_stiffness_temperature")
    assert reading.value is not None and reading.straight_shift_value is not None
    assert abs(reading.straight_shift_value - reading.value) > 2.0


def test_a_parameter_far_from_the_tests_is_told(both: tuple[MasterCurve, CurveDerivation]) -> None:
    _, derivation = both
    assert {finding.code for finding in derivation.findings} <= {"beam-rests-on-the-shift"}
    cold = fit_master_curve(
        *planted_sweeps(
            rheological_index=2.0,
            log_crossover_frequency=1.0,
            c1=15.0,
            c2=120.0,
            isotherms_c=(-10.0, 0.0, 10.0),
        )
    )
    codes = {finding.code for finding in derive_from_curve(cold, draws=0).findings}
    assert {"glover-rowe-far-outside", "glover-rowe-beyond-temperatures"} <= codes


def test_ageing_raises_every_glover_rowe_number_and_the_temperature_of_45_degrees() -> None:
    # TU Delft, one binder in three states: stiffer and more elastic with ageing, whatever is read.
    found = [
        derive_from_curve(fit_master_curve(*aged_sweep(state), shape="CAM"), draws=0)
        for state in ("fresh", "short-term aged", "long-term aged")
    ]
    for name in ("glover_rowe_15c", "glover_rowe_44.7c", "temperature_of_phase_45"):
        values = [named(one, name).value for one in found]
        assert None not in values
        assert np.all(np.diff(np.asarray(values, dtype=float)) > 0.0)


def test_conditions_of_ones_own_are_checked(tmp_path: Path) -> None:
    text = (Path(load_reading_conditions.__globals__["__file__"]).parent / "reading_conditions").joinpath(
        "master_curve.toml"
    )
    own = tmp_path / "own.toml"
    own.write_text(
        text.read_text(encoding="utf-8").replace('"glover_rowe_44.7c"', '"glover_rowe_15c"'), encoding="utf-8"
    )
    with pytest.raises(SpecificationError, match="two conditions have one name"):
        load_reading_conditions(own)
    own.write_text(text.read_text(encoding="utf-8").replace("= 44.7", "= 45.0"), encoding="utf-8")
    assert load_reading_conditions(own).glover_rowe[1].temperature_c == 45.0
