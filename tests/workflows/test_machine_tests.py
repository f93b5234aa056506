"""Oscillation, bending beam and viscosity: from a written file to numbers, findings, JSON and a verdict."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from resile.errors import MeasurementError
from resile.readers.layout import Layout
from resile.records.bending_beam import BeamRun
from resile.records.determination import Condition
from resile.records.oscillation import OscillationRun
from resile.records.viscosity import ViscosityRun
from resile.report.paper.runs.machine_words import group_title
from resile.report.terminal import plain_text
from resile.workflows.judging.determinations import determinations_of_run
from resile.workflows.orders.ordering import report_order
from resile.workflows.reducing.reduction import reduce_record
from resile.workflows.reducing.run_groups import group_runs, replicates_json, replicates_sheet

SHARED = Path(__file__).resolve().parents[2] / ".." / "shared" / "data"
needs_shared = pytest.mark.skipif(not SHARED.exists(), reason="the open data are not here")
TIMES = (8, 15, 30, 60, 120, 240)
# Trade notes, section 2.3 [derived]: A 2.80, B -0.20, C -0.03, P 0.980 N, L 102, b 12.70, h 6.35 mm.
STIFFNESS = (393.473, 333.646, 274.865, 223.622, 179.669, 142.559)
BEAM = "temperature: -12 °C\nTime (s),Load (mN),Deflection (mm)\n" + "".join(
    f"{t},980,{79.954277 / s:.8f}\n" for t, s in zip(TIMES, STIFFNESS, strict=True)
)
VISCOSITY = "temperature (°C),viscosity (Pa·s),torque (%)\n135,0.400,40\n165,0.110,22\n"


def write(folder: Path, text: str, name: str = "record.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def codes(path: Path) -> set[str]:
    return {finding.code for run in reduce_record(path).runs for finding in run.findings}


def test_an_exact_quadratic_beam_gives_its_stiffness_and_slope_back(tmp_path: Path) -> None:
    (run,) = reduce_record(write(tmp_path, BEAM)).runs
    assert isinstance(run, BeamRun)
    assert run.temperature_c == -12.0
    assert run.coefficients == pytest.approx((2.80, -0.20, -0.03), abs=5e-5)
    assert run.creep_stiffness == pytest.approx(223.622, abs=5e-3)
    assert run.m_value == pytest.approx(0.30669, abs=5e-5)
    assert [finding.code for finding in run.findings] == ["beam-size-not-stated"]


@pytest.mark.parametrize(("unit", "factor"), [("MPa", 1.0), ("kPa", 1e3)])
def test_a_typed_table_of_stiffness_is_fitted_like_a_raw_beam(
    tmp_path: Path, unit: str, factor: float
) -> None:
    rows = "".join(f"{t};{s * factor:.6f}\n" for t, s in zip(TIMES, STIFFNESS, strict=True))
    text = f"temperature: -12 °C\nTime (s);Stiffness ({unit})\n{rows}"
    (run,) = reduce_record(write(tmp_path, text)).runs
    assert isinstance(run, BeamRun)
    assert run.temperature_c == -12.0
    assert run.creep_stiffness == pytest.approx(223.622, abs=5e-3)
    assert run.m_value == pytest.approx(0.30669, abs=5e-5)
    assert run.geometry is None
    assert run.findings == ()


# FHWA-RA, three beams of one laboratory at -12 °C [read]: S in MPa; the second kind is to be flagged.
@pytest.mark.parametrize(("beams", "raised"), [((201, 202, 205), False), ((144, 162, 188), True)])
def test_replicate_beams_that_scatter_are_told(tmp_path: Path, beams: tuple[int, ...], raised: bool) -> None:
    runs = []
    for place, stiffness in enumerate(beams):
        rows = "".join(
            f"{t},980,{79.954277 / s / (stiffness / 223.622):.8f}\n"
            for t, s in zip(TIMES, STIFFNESS, strict=True)
        )
        text = "sample: A\ntemperature: -12 °C\nTime (s),Load (mN),Deflection (mm)\n" + rows
        runs += reduce_record(write(tmp_path, text, f"beam-{place}.csv")).runs
    (group,) = group_runs(runs)
    assert group.beams is not None
    assert group.beams.creep_stiffness == pytest.approx(sum(beams) / 3, rel=1e-4)
    assert bool(group.findings) is raised
    sheet = " ".join(plain_text(replicates_sheet(runs)).split())
    assert "3 beams" in sheet
    assert ("caution" in sheet) is raised


def test_beams_of_different_files_that_name_no_sample_are_not_compared_and_it_is_said(tmp_path: Path) -> None:
    other = BEAM.replace(",980,", ",700,")
    runs = [
        *reduce_record(write(tmp_path, BEAM, "a.csv")).runs,
        *reduce_record(write(tmp_path, other, "b.csv")).runs,
    ]
    groups = group_runs(runs)
    assert [group.beams for group in groups] == [None, None]
    assert [group_title(group) for group in groups] == [
        "Bending beam at −12.0 °C: a.csv",
        "Bending beam at −12.0 °C: b.csv",
    ]
    (finding,) = (f for group in groups for f in group.findings)
    assert finding.code == "beams-not-compared"
    assert "a.csv, b.csv" in finding.message
    assert "were not compared" in " ".join(plain_text(replicates_sheet(runs)).split())
    (entry,) = replicates_json(runs)
    assert (entry["count"], entry["creep_stiffness"]) == (1, None)


def test_beams_of_one_stated_sample_are_told_together_in_json(tmp_path: Path) -> None:
    files = [write(tmp_path, "sample: A\n" + BEAM, "a.csv"), write(tmp_path, "sample: A\n" + BEAM, "b.csv")]
    files.append(write(tmp_path, "sample: B\n" + BEAM, "c.csv"))
    done = subprocess.run(
        [sys.executable, "-m", "resile", "reduce", *map(str, files), "--json"],
        capture_output=True, encoding="utf-8", env={**os.environ, "PYTHONUTF8": "1"}, check=True,
    )  # fmt: skip
    (entry,) = json.loads(done.stdout)["replicate_beams"]
    assert (entry["sample"], entry["count"], entry["paths"]) == ("A", 2, [str(file) for file in files[:2]])
    assert entry["creep_stiffness"] == pytest.approx(223.622, abs=5e-3)
    assert entry["creep_stiffness_range_percent"] == pytest.approx(0.0)


def test_a_beam_of_unstated_size_says_that_nominal_lengths_were_taken(tmp_path: Path) -> None:
    (finding,) = (
        f for f in reduce_record(write(tmp_path, BEAM)).runs[0].findings if f.code == "beam-size-not-stated"
    )
    assert "span, width and thickness" in finding.message
    stated = "span: 102 mm\nwidth: 12.7 mm\nthickness: 6.35 mm\n" + BEAM
    assert "beam-size-not-stated" not in codes(write(tmp_path, stated))
    partly = "span: 102 mm\nwidth: 12.7 mm\n" + BEAM
    (finding,) = (
        f for f in reduce_record(write(tmp_path, partly)).runs[0].findings if f.code == "beam-size-not-stated"
    )
    assert "state the thickness of" in finding.message


@pytest.mark.parametrize(("time_s", "told"), [(60, False), (58, False), (50, True)])
def test_a_row_at_60_s_that_is_missing_is_a_caution(tmp_path: Path, time_s: float, told: bool) -> None:
    rows = [(8, 400), (15, 340), (30, 280), (time_s, 225), (120, 180), (240, 140)]
    text = "temperature: -12 °C\nloading time (s),creep stiffness (MPa)\n" + "".join(
        f"{t},{s}\n" for t, s in rows
    )
    assert ("grade-time-interpolated" in codes(write(tmp_path, text))) is told


def test_beams_of_two_temperatures_are_not_taken_together(tmp_path: Path) -> None:
    runs = [
        *reduce_record(write(tmp_path, BEAM, "a.csv")).runs,
        *reduce_record(write(tmp_path, BEAM.replace("-12", "-18"), "b.csv")).runs,
    ]
    assert [group.temperature_c for group in group_runs(runs)] == [-12.0, -18.0]
    assert replicates_sheet(runs) is None


SWEEP = (
    "frequency: 10 rad/s\ntemperature (°C),strain (%),G* (kPa),δ (°)\n"
    "64,1,1.00,85\n64,2,1.00,85\n64,12,{at_test},85\n64,40,0.5,85\n"
)


@pytest.mark.parametrize(("at_test", "raised"), [("0.89", True), ("0.91", False)])
def test_a_strain_sweep_tells_whether_the_test_strain_is_in_the_linear_range(
    tmp_path: Path, at_test: str, raised: bool
) -> None:
    # AASHTO T 315, annex, from memory (medium): at least 90 % of the modulus at 2 % strain.
    path = write(tmp_path, SWEEP.format(at_test=at_test))
    assert ("outside-linear-range" in codes(path)) is raised


def test_of_a_strain_sweep_the_point_at_the_test_strain_alone_is_graded(tmp_path: Path) -> None:
    (run,) = reduce_record(write(tmp_path, SWEEP.format(at_test="0.95"))).runs
    (only,) = determinations_of_run(run, sample="A", condition=Condition.ORIGINAL)
    assert only.value == pytest.approx(0.95 / 0.9961947, rel=1e-6)  # sin 85°


def test_a_beam_with_a_span_of_four_inches_is_stiffer_by_the_ratio_of_the_notes(tmp_path: Path) -> None:
    # 79.017323/79.954277, trade notes, section 2.3 [derived].
    (run,) = reduce_record(write(tmp_path, BEAM), layout=Layout(span_mm=101.6)).runs
    assert isinstance(run, BeamRun)
    assert run.creep_stiffness == pytest.approx(223.622 * 79.017323 / 79.954277, rel=3e-5)


def test_viscosities_give_the_mixing_and_compaction_temperatures_of_the_worked_example(
    tmp_path: Path,
) -> None:
    # Trade notes, section 6 [derived]: mixing 151.1 to 156.9 °C, compaction 140.2 to 144.9 °C.
    (run,) = reduce_record(write(tmp_path, VISCOSITY)).runs
    assert isinstance(run, ViscosityRun)
    ends = [round(t, 1) for row in run.working_temperatures for t in (row.lowest_c, row.highest_c)]
    assert ends == [151.1, 156.9, 140.2, 144.9]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (BEAM.replace("temperature: -12 °C\n", ""), "temperature-missing"),
        (BEAM.replace(",980,", ",700,"), "load-off-nominal"),
        (BEAM.replace("Deflection (mm)", "Deflection (cm)"), "stiffness-out-of-range"),
        (BEAM.replace("Deflection (mm)", "Deflection (µm)"), "deflection-too-small"),
        (VISCOSITY.replace(",22", ",7"), "torque-too-low"),
        (VISCOSITY.replace(",40", ",99"), "torque-too-high"),
        (VISCOSITY.replace("0.110", "0.900"), "viscosity-rises-with-temperature"),
        ("temperature (°C),G* (kPa),δ (°)\n64,2,80\n70,1,83\n", "frequency-not-stated"),
        (
            "temperature (°C),ω (rad/s),G* (kPa),δ (°)\n64,10,2,80\n70,10,3,83\n",
            "modulus-rises-with-temperature",
        ),
        (
            "temperature (°C),G* (kPa),δ (°),G*/sin δ (kPa)\n64,2,80,2.5\n70,1,83,1.0075\n",
            "rutting-parameter-inconsistent",
        ),
        ("temperature (°C),G* (kPa),δ (°)\n64,2,80\n70,1,83\n70,1,83\n", "repeated-points"),
        # FHWA, 8 mm plate: 0.383 mN·m, 3800 Pa, strain 0.0701 %, 5.41 MPa (trade notes, section 1.2 [read]).
        (
            "plate diameter: 25 mm\ntemperature (°C),ω (rad/s),G* (MPa),δ (°),torque (mN·m),stress (Pa)\n"
            "10,0.1,5.41,45.9,0.383,3800\n10,0.1,5.42,45.9,0.384,3810\n",
            "plate-diameter-suspected",
        ),
    ],
)
def test_a_record_that_raises_a_doubt_says_which(tmp_path: Path, text: str, code: str) -> None:
    assert code in codes(write(tmp_path, text))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (BEAM.rsplit("\n", 4)[0] + "\n32,980,0.293\n40,980,0.31\n", "60 s"),
        ("temperature (°C),G* (kPa),δ (°)\n64,2,95\n70,1,99\n", "phase angle"),
    ],
)
def test_numbers_that_cannot_be_the_test_are_refused_with_the_file(
    tmp_path: Path, text: str, words: str
) -> None:
    with pytest.raises(MeasurementError, match=words) as refusal:
        reduce_record(write(tmp_path, text))
    assert "record.csv" in str(refusal.value)


def test_each_residue_contributes_the_parameter_it_is_judged_by_at_ten_radians_a_second(
    tmp_path: Path,
) -> None:
    rows = "64,1.5915,2,80\n64,15.9,9,75\n"
    (run,) = reduce_record(write(tmp_path, "temperature (°C),f (Hz),G* (kPa),δ (°)\n" + rows)).runs
    found = {
        condition: [d.quantity for d in determinations_of_run(run, sample="A", condition=condition)]
        for condition in (Condition.ORIGINAL, Condition.LONG_TERM_AGED)
    }
    assert found == {
        Condition.ORIGINAL: ["rutting_parameter"],
        Condition.LONG_TERM_AGED: ["fatigue_parameter"],
    }


def test_the_command_names_the_method_and_keeps_going_past_a_damaged_file(tmp_path: Path) -> None:
    files = [
        write(tmp_path, BEAM, "beam.csv"),
        write(tmp_path, VISCOSITY, "viscosity.csv"),
        write(tmp_path, "temperature (°C),G* (kPa),δ (°)\n64,2,80\n70,1,83\n", "oscillation.csv"),
        write(tmp_path, "temperature (°C),G* (kPa)\n64,2\n70,1\n", "half.csv"),
    ]
    done = subprocess.run(
        [sys.executable, "-m", "resile", "reduce", *map(str, files), "--json"],
        capture_output=True, encoding="utf-8", env={**os.environ, "PYTHONUTF8": "1"}, check=True,
    )  # fmt: skip
    printed = json.loads(done.stdout)
    assert [run["method"] for run in printed["runs"]] == ["bending_beam", "viscosity", "oscillation"]
    assert printed["runs"][0]["creep_stiffness"] == pytest.approx(223.622, abs=5e-3)
    assert [run["temperature_c"] for run in printed["runs"]] == [-12.0, None, None]
    assert [error["exit_code"] for error in printed["errors"]] == [2]
    assert "phase angle" in done.stderr


def test_the_sheets_show_the_numbers_of_each_test(tmp_path: Path) -> None:
    assert "S 223.6 MPa, m 0.307" in plain_text(reduce_record(write(tmp_path, BEAM)).to_terminal())
    assert "151.1 to 156.9 °C" in plain_text(reduce_record(write(tmp_path, VISCOSITY)).to_terminal())


def test_a_test_order_of_raw_records_is_graded_from_both_ends(tmp_path: Path) -> None:
    write(
        tmp_path, "frequency: 10 rad/s\ntemperature (°C),G* (kPa),δ (°)\n64,1.5,85\n70,0.8,86\n", "tank.csv"
    )
    write(
        tmp_path, "frequency: 10 rad/s\ntemperature (°C),G* (kPa),δ (°)\n64,3.2,82\n70,1.6,84\n", "rtfo.csv"
    )
    write(tmp_path, BEAM, "beam.csv")
    records = "".join(
        f'[[record]]\nfile = "{name}.csv"\ncondition = "{condition}"\nspecimen = 1\n'
        for name, condition in (("tank", "original"), ("rtfo", "RTFO"), ("beam", "PAV"))
    )
    head = 'number = "1"\nlaboratory = "L (invented)"\nspecification = "m320"\n[sample]\nname = "X"\n'
    report = report_order(write(tmp_path, head + records, "order.toml"), date="2026-05-12")
    shown = report._repr_html_()
    assert "Oscillation" in shown
    assert "Bending beam" in shown
    (beam,) = (run for run in report.machine_runs if isinstance(run, BeamRun))
    assert all(f.message.startswith("specimen 1, long-term aged: ") for f in beam.findings)
    assert beam.findings
    values = {(r.quantity, r.temperature_c): r.value for r in report.statement.results}
    assert values[("creep_stiffness", -12.0)] == pytest.approx(223.622, abs=5e-3)
    # |G*|/sin δ by definition: 1.5/sin 85° and 3.2/sin 82°.
    assert values[("rutting_parameter", 64.0)] in (
        pytest.approx(1.50573, abs=1e-5),
        pytest.approx(3.23145, abs=1e-5),
    )
    assert [run["method"] for run in report.to_json()["runs"]] == [
        "oscillation",
        "oscillation",
        "bending_beam",
    ]
    assert any(verdict.satisfied and verdict.temperature_c == 64 for verdict in report.statement.classes)


@needs_shared
def test_the_printed_rutting_parameters_of_the_open_data_follow_from_modulus_and_angle() -> None:
    # FHWA-RUT: |G*|/sin δ agrees within 0.14 % at all 75 points, trade notes, section 1.2 [derived].
    runs = reduce_record(SHARED / "fhwa_ptf_rutting_mit" / "htpg_dsr_points.csv").runs
    assert all(isinstance(run, OscillationRun) for run in runs)
    misfits = [m.value for run in runs for m in run.measures if m.name == "rutting_parameter_misfit_percent"]
    assert len(misfits) == len(runs)
    assert max(misfits) == pytest.approx(0.14, abs=0.005)
    assert not {f.code for run in runs for f in run.findings} & {"rutting-parameter-inconsistent"}


@needs_shared
def test_the_block_that_stands_twice_is_told() -> None:
    runs = reduce_record(SHARED / "tudelft_binder_mit" / "frequency_sweeps_three_ages.csv").runs
    repeated = [m.value for run in runs for m in run.measures if m.name == "repeated_points"]
    assert sum(repeated) == 21  # trade notes, section 1.3: 21 duplicates, 272 distinct of 293 [derived]
