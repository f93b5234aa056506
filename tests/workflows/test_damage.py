"""Amplitude sweeps from a file: read, told apart, analysed, shown."""

from pathlib import Path

import numpy as np
import pytest

from resile.compute.rheology.damage.damage_simulation import simulate_integrity
from resile.errors import InputError, MeasurementError
from resile.report.terminal.grids import plain_text
from resile.workflows.modelling.damage import analyse_damage
from resile.workflows.reducing.reduction import reduce_record

HEAD = "Time (s);Frequency (Hz);Strain (%);Complex modulus (kPa);Phase angle (°)"
SLOPE, C1, C2 = 0.55, 0.075, 0.48
FREQUENCIES = (0.2, 0.4, 0.6, 0.8, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0, 20.0, 30.0)


def frequency_rows() -> list[str]:
    angle = 47.0
    moduli = [3500.0 * (f / 10.0) ** SLOPE / np.cos(np.radians(angle)) for f in FREQUENCIES]
    return [
        f"{12 * i};{f};0.1;{g:.5f};{angle}" for i, (f, g) in enumerate(zip(FREQUENCIES, moduli, strict=True))
    ]


def amplitude_rows(*, until_s: float = 150.0, hz: float = 10.0) -> list[str]:
    time = np.arange(0.0, until_s + 0.1, 0.5)
    whole = simulate_integrity(time, exponent=1 / SLOPE, loss_coefficient=C1, loss_exponent=C2)
    strain = 0.1 + 29.9 * time / 310.0
    return [
        f"{t + 180:.1f};{hz};{s:.5f};{5200 * c:.5f};{47 + 20 * (1 - c):.3f}"
        for t, s, c in zip(time, strain, whole, strict=True)
    ]


def write(path: Path, *parts: list[str]) -> Path:
    lines = ["Sample: Invented blend 7", "Temperature: 25 °C", ""]
    for part in parts:
        lines += [HEAD, *part, ""]
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


@pytest.mark.parametrize("tables", ["one", "two"])
def test_a_planted_law_comes_back_from_a_file(tmp_path: Path, tables: str) -> None:
    parts = [frequency_rows() + amplitude_rows()] if tables == "one" else [frequency_rows(), amplitude_rows()]
    (sweep,) = analyse_damage(write(tmp_path / "sweep.csv", *parts)).sweeps
    law = sweep.laws[0]
    assert sweep.slope.slope == pytest.approx(SLOPE, rel=1e-4)
    assert law.fit.loss_coefficient == pytest.approx(C1, rel=0.02)
    assert law.fit.loss_exponent == pytest.approx(C2, rel=0.01)
    assert law.exponent_b == pytest.approx(2 / SLOPE, rel=1e-4)
    assert sweep.sample == "Invented blend 7"
    assert {finding.code for finding in sweep.findings} == {"strain-range-short"}


def test_a_record_without_time_is_given_the_usual_rate_and_says_so(tmp_path: Path) -> None:
    timed = write(tmp_path / "timed.csv", frequency_rows() + amplitude_rows())
    bare = tmp_path / "bare.csv"
    lines = timed.read_text(encoding="utf-8").splitlines()
    bare.write_text("\n".join(line.split(";", 1)[-1] for line in lines), encoding="utf-8")
    one, other = (analyse_damage(path).sweeps[0] for path in (timed, bare))
    assert other.laws[0].coefficient_a == pytest.approx(one.laws[0].coefficient_a, rel=1e-4)
    assert "sweep-time-supposed" in {finding.code for finding in other.findings}


def test_other_strains_are_asked_for_and_one_outside_the_sweep_is_told(tmp_path: Path) -> None:
    path = write(tmp_path / "sweep.csv", frequency_rows() + amplitude_rows())
    (sweep,) = analyse_damage(path, at_strain_percent=[40.0, 1.0]).sweeps
    assert [life.strain_percent for life in sweep.laws[0].lives] == [1.0, 40.0]
    assert "strain-asked-outside" in {finding.code for finding in sweep.findings}


def test_a_sweep_that_stops_early_gives_no_cycles_and_an_invalid_finding(tmp_path: Path) -> None:
    path = write(tmp_path / "short.csv", frequency_rows() + amplitude_rows(until_s=40.0))
    report = analyse_damage(path)
    assert report.sweeps[0].laws == ()
    assert "no-failure-reached" in {finding.code for finding in report.sweeps[0].findings}
    assert "did not fail" in plain_text(report.to_terminal())
    assert report.to_json()["sweeps"][0]["laws"] == []
    assert list(report.figures()) == ["damage-1"]


@pytest.mark.parametrize(
    ("parts", "needed"),
    [
        ([frequency_rows()], "no amplitude sweep found"),
        ([amplitude_rows()], "no frequency sweep beside it"),
    ],
)
def test_what_is_missing_is_said_with_the_file(tmp_path: Path, parts: list[list[str]], needed: str) -> None:
    path = write(tmp_path / "half.csv", *parts)
    with pytest.raises(MeasurementError, match=needed) as refused:
        analyse_damage(path)
    assert "half.csv" in str(refused.value)


def test_a_stated_slope_stands_in_for_the_frequency_part(tmp_path: Path) -> None:
    path = write(tmp_path / "half.csv", amplitude_rows())
    (sweep,) = analyse_damage(path, slope=SLOPE).sweeps
    assert sweep.laws[0].lives[0].low is None
    assert "slope-stated" in {finding.code for finding in sweep.findings}


@pytest.mark.parametrize(
    "wrong",
    [
        {"slope": 5.0},
        {"convention": "1/m"},
        {"at_strain_percent": [-1.0]},
        {"at_strain_percent": range(1, 20)},
    ],
)
def test_an_option_out_of_range_is_refused_before_the_file_is_read(wrong: dict[str, object]) -> None:
    with pytest.raises(InputError):
        analyse_damage("no such file.csv", **wrong)  # type: ignore[arg-type]


def test_both_conventions_stand_on_sheet_page_and_in_json(tmp_path: Path) -> None:
    report = analyse_damage(write(tmp_path / "sweep.csv", frequency_rows() + amplitude_rows()))
    sheet = plain_text(report.to_terminal(), width=110)
    assert "α = 1/m" in sheet
    assert "α = 1 + 1/m" in sheet
    laws = report.to_json()["sweeps"][0]["laws"]
    assert {law["convention"] for law in laws} == {"inverse-slope", "one-plus-inverse-slope"}
    html, pdf, svg = report.write(
        [tmp_path / f"page.{kind}" for kind in ("html", "pdf", "svg")], date="2026-01-01"
    )
    assert "α = 1 + 1/m" in html.read_text(encoding="utf-8")
    assert pdf.read_bytes().startswith(b"%PDF")
    assert svg.read_text(encoding="utf-8").startswith("<svg")
    with pytest.raises(InputError, match="a page ends in"):
        report.write([tmp_path / "sweep.csv"], date="2026-01-01")


def test_an_amplitude_sweep_still_reduces_as_a_test_in_oscillation(tmp_path: Path) -> None:
    (run,) = reduce_record(write(tmp_path / "sweep.csv", frequency_rows() + amplitude_rows())).runs
    assert run.method == "oscillation"
