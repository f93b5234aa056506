"""Frequency sweeps from files become master curves: told apart, joined, refused, shown."""

import math
from collections.abc import Sequence
from pathlib import Path

import pytest

from compute.rheology.master_curve.sweeps import planted_sweeps
from resile.errors import InputError, MeasurementError
from resile.records.models.master_curve import CurveShape, CurveShift
from resile.report.terminal.grids import plain_text
from resile.workflows.modelling.curve_settings import curve_settings
from resile.workflows.modelling.master_curve import fit_sweeps

BINDER = {"rheological_index": 2.1, "log_crossover_frequency": 1.5, "c1": 13.0, "c2": 140.0}
SETTINGS = curve_settings(reference_c=20.0)


def write(
    path: Path, isotherms_c: Sequence[float] = (0.0, 10.0, 20.0, 30.0, 40.0), *, frequency: str = "rad/s"
) -> Path:
    """Write an invented sweep as a file, exact but for seven digits."""
    per_radian = 1.0 / (2.0 * math.pi) if frequency == "Hz" else 1.0
    lines = [
        "Sample: Invented blend 7",
        f"Temperature (°C);Frequency ({frequency});Complex modulus (kPa);Phase angle (°)",
    ]
    for t, w, g, d in zip(*planted_sweeps(**BINDER, isotherms_c=isotherms_c), strict=True):
        lines.append(f"{t:g};{w * per_radian:.7g};{g:.7g};{d:.5f}")
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


@pytest.mark.parametrize("unit", ["rad/s", "Hz"])
def test_a_planted_binder_comes_back_from_a_file_in_either_unit(tmp_path: Path, unit: str) -> None:
    (curve,) = fit_sweeps([write(tmp_path / "sweep.csv", frequency=unit)], settings=SETTINGS).curves
    for name, truth in BINDER.items():
        assert curve.value_of(name) == pytest.approx(truth, rel=1e-4), name
    assert curve.sample == "Invented blend 7"
    assert curve.sources[0].path.endswith("sweep.csv")
    assert curve.findings == ()


def test_files_of_one_binder_make_one_curve_where_that_is_said(tmp_path: Path) -> None:
    cold = write(tmp_path / "cold.csv", (0.0, 10.0, 20.0))
    warm = write(tmp_path / "warm.csv", (20.0, 30.0, 50.0))
    apart = fit_sweeps([cold, warm], settings=SETTINGS)
    joined = fit_sweeps([cold, warm], settings=SETTINGS, join=True)
    assert len(apart.curves) == 2
    (curve,) = joined.curves
    assert curve.repeated_rows == len(apart.curves[0].points) // 3  # 20 °C stands in both, digit by digit
    assert [one.label for one in curve.isotherms] == ["cold", "cold", "cold", "warm", "warm"]
    assert curve.value_of("rheological_index") == pytest.approx(2.1, rel=1e-4)
    assert "repeated-rows-counted-once" in {finding.code for finding in curve.findings}


def test_a_sweep_that_gives_no_curve_is_named_and_the_others_stay(tmp_path: Path) -> None:
    good, one = write(tmp_path / "good.csv"), write(tmp_path / "one.csv", (20.0,))
    report = fit_sweeps([one, good], settings=SETTINGS)
    assert len(report.curves) == 1
    assert "one.csv: master curve: 1 temperature found" in str(report.refused[0].error)
    assert "--join" in str(report.refused[0].error)
    assert report.to_json()["errors"][0]["exit_code"] == 2


def test_processes_give_the_same_curves_as_one(tmp_path: Path) -> None:
    files = [write(tmp_path / f"sweep-{number}.csv", (0.0, 15.0, 25.0 + number)) for number in range(4)]
    alone, shared = (fit_sweeps(files, settings=SETTINGS, jobs=jobs) for jobs in (1, 2))
    assert alone.curves == shared.curves


def test_a_record_without_frequency_and_one_of_another_test_are_refused(tmp_path: Path) -> None:
    bare = tmp_path / "bare.csv"
    bare.write_text(
        "Temperature (°C);Complex modulus (kPa);Phase angle (°)\n" + "58;3.1;82\n64;1.5;84\n70;0.7;86\n",
        "utf-8",
    )
    with pytest.raises(MeasurementError, match=r"bare\.csv: the record states no frequency"):
        fit_sweeps([bare])
    beam = tmp_path / "beam.csv"
    beam.write_text("Time (s);Stiffness (MPa)\n8;390\n15;333\n30;274\n60;223\n120;179\n240;142\n", "utf-8")
    with pytest.raises(MeasurementError, match=r"beam.csv: no test in oscillation"):
        fit_sweeps([beam])
    with pytest.raises(MeasurementError, match="no oscillation test whose name holds 'lane 9'"):
        fit_sweeps([write(tmp_path / "sweep.csv")], only="lane 9")


def test_names_are_taken_in_capitals_or_not_and_odd_settings_are_refused() -> None:
    settings = curve_settings(shape="2s2p1d", shift="kaelble", fit_glassy_modulus=True)
    assert (settings.shape, settings.shift) == (CurveShape.TWO_S_TWO_P_ONE_D, CurveShift.KAELBLE)
    assert settings.glassy_modulus_kpa is None
    for wrong, words in (
        ({"shape": "sigmoid"}, "shape 'sigmoid' is not known; CA, CAM or 2S2P1D is needed"),
        ({"shift": "linear"}, "shift 'linear' is not known; free, WLF, Arrhenius or Kaelble"),
        ({"glassy_modulus_mpa": 1.0}, "1 MPa found; 100 to 10000 MPa"),
        ({"reference_c": 900.0}, "reference temperature: 900 °C"),
        ({"glassy_modulus_mpa": 900.0, "fit_glassy_modulus": True}, "not both"),
    ):
        with pytest.raises(InputError, match=words):
            curve_settings(**wrong)


def test_the_sheet_tells_answer_interval_residuals_and_settings(tmp_path: Path) -> None:
    report = fit_sweeps([write(tmp_path / "sweep.csv")], settings=SETTINGS)
    sheet = plain_text(report.to_terminal())
    for words in (
        "Invented blend 7, CA with WLF shift at 20 °C: crossover at 31.6",
        "rheological index R",
        "2.100 (2.100 to 2.100)",
        "0.02 decades of |G*| and 1° count alike",
        "Residuals by isotherm".upper(),
    ):
        assert words in sheet


def test_the_page_is_written_as_web_page_and_paper_and_never_over_a_record(tmp_path: Path) -> None:
    file = write(tmp_path / "sweep.csv")
    report = fit_sweeps([file], settings=SETTINGS)
    targets = [tmp_path / name for name in ("curve.html", "curve.pdf", "curve.svg")]
    report.write(targets, date="2026-01-15")
    assert "Master curve of a binder" in targets[0].read_text(encoding="utf-8")
    assert targets[1].read_bytes().startswith(b"%PDF")
    assert "<svg" in targets[2].read_text(encoding="utf-8")
    with pytest.raises(InputError, match="a page ends in"):
        report.write([tmp_path / "curve.docx"], date="2026-01-15")


def test_pictures_tell_isotherms_apart_by_shape_and_name_the_units(tmp_path: Path) -> None:
    report = fit_sweeps([write(tmp_path / "sweep.csv")], settings=SETTINGS)
    figures = report.figures()
    upper, lower = figures["curve-1"]["vconcat"]
    marks = upper["layer"][0]["encoding"]["shape"]["scale"]
    assert len(set(marks["range"])) == len(marks["domain"]) == 5
    assert lower["layer"][0]["encoding"]["x"]["axis"]["title"] == "reduced frequency ω aT at 20 °C (rad/s)"
    assert set(figures) >= {"curve-1", "spaces-1", "shifts-1", "residuals-1"}
    measured = figures["curve-1"]["vconcat"][0]["layer"][0]["data"]["values"]
    assert len(measured) == len(report.curves[0].points)


def test_a_strain_sweep_among_the_rows_is_told(tmp_path: Path) -> None:
    lines = ["Temperature (°C);Frequency (rad/s);Complex modulus (kPa);Phase angle (°);Strain (%)"]
    for t, w, g, d in zip(*planted_sweeps(**BINDER, isotherms_c=(10.0, 20.0, 30.0)), strict=True):
        lines.append(f"{t:g};{w:.7g};{g:.7g};{d:.5f};0.1")
    clean, mixed = tmp_path / "clean.csv", tmp_path / "mixed.csv"
    clean.write_text("\n".join(lines), "utf-8")
    mixed.write_text("\n".join([*lines, "20;10;9000;45.5;2", "20;10;7000;47;10"]), "utf-8")
    told = [
        {finding.code for finding in fit_sweeps([path], settings=SETTINGS).curves[0].findings}
        for path in (clean, mixed)
    ]
    assert "strain-sweep-among-the-rows" not in told[0]
    assert "strain-sweep-among-the-rows" in told[1]
