"""Raw records of oscillation, beam and viscosity: which test a file holds is told from its columns."""

import math
from pathlib import Path

import pytest

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.layout import Layout
from resile.readers.raw_record import read_raw_record
from resile.records.signal import Signal

SHARED = Path(__file__).resolve().parents[2] / ".." / "shared" / "data"
needs_shared = pytest.mark.skipif(not SHARED.exists(), reason="the open data are not here")
# Trade notes, section 4.2: lane 1, recovered, replicate 1 [read: FHWA-RUT]: °C, rad/s, |G*| Pa, δ °.
FHWA_POINTS = (
    (10, 0.1, 5.41e6, 45.9),
    (22, 10.0, 8.16e6, 44.8),
    (58, 10.0, 38400, 67.1),
    (82, 100.0, 14100, 72.3),
)


def read(folder: Path, text: str, **layout: float) -> tuple[Signal, ...]:
    path = folder / "record.csv"
    path.write_text(text, encoding="utf-8")
    return read_raw_record(path, layout=Layout(**layout))


def test_modulus_is_made_of_torque_and_angle_with_the_plates_named_above_the_columns(tmp_path: Path) -> None:
    # FHWA-RUT: torque 0.0007328 N·m, strain 10.0105 % gives G* 2.386 kPa with the 25 mm plate [read];
    # at a gap of 1 mm that strain is a rotation of 0.100105/12.5 rad (definition).
    head = "plate diameter (mm): 25\ngap (mm): 1\n"
    text = head + "temperature [°C];torque [mN.m];angle [mrad];phase angle\n"
    (signal,) = read(tmp_path, text + f"64;0.7328;{100.105 / 12.5};76.6\n70;0.4281;{120.205 / 12.5};80.2\n")
    assert signal.method == "oscillation"
    assert signal.columns["complex_modulus"] == pytest.approx([2.386, 1.161], abs=6e-4)
    assert signal.columns["phase_angle"].tolist() == [76.6, 80.2]


def test_the_plate_is_asked_for_where_torque_and_angle_have_none(tmp_path: Path) -> None:
    text = "temperature [°C];torque [mN.m];angle [mrad];phase angle [°]\n64;0.7;8.0;76.6\n70;0.4;9.6;80.2\n"
    with pytest.raises(AmbiguousFileError, match="plate diameter"):
        read(tmp_path, text)
    assert read(tmp_path, text, plate_diameter_mm=25.0, gap_mm=1.0)[0].method == "oscillation"


def test_storage_and_loss_modulus_make_modulus_and_angle(tmp_path: Path) -> None:
    # Constructed: 3-4-5 triangle.
    text = "temperature [°C],omega [rad/s],G' [Pa],G'' [Pa]\n64,10,300,400\n70,10,120,160\n"
    (signal,) = read(tmp_path, text)
    assert signal.columns["complex_modulus"] == pytest.approx([0.5, 0.2])
    assert signal.columns["phase_angle"] == pytest.approx([math.degrees(math.atan2(4, 3))] * 2)


@pytest.mark.parametrize(("heading", "printed"), [("f [Hz]", 10 / (2 * math.pi)), ("ω [rad/s]", 10.0)])
def test_frequency_is_read_in_hertz_or_radians_a_second(tmp_path: Path, heading: str, printed: float) -> None:
    rows = f"64,{printed!r},1200,80\n70,{printed!r},600,84\n"
    (signal,) = read(tmp_path, f"temperature [°C],{heading},|G*| [Pa],δ [°]\n{rows}")
    assert signal.columns["angular_frequency_rad_s"] == pytest.approx([10.0, 10.0])


def test_a_phase_angle_in_radians_is_turned_into_degrees(tmp_path: Path) -> None:
    text = "temperature [°C],|G*| [kPa],phase angle [rad]\n64,1.2,1.5\n70,0.6,1.55\n"
    (signal,) = read(tmp_path, text)
    assert signal.columns["phase_angle"] == pytest.approx([math.degrees(1.5), math.degrees(1.55)])


def test_a_beam_takes_the_span_of_the_file_and_says_which_lengths_are_the_usual_ones(tmp_path: Path) -> None:
    rows = "".join(f"{t},980,{0.1 + t / 500}\n" for t in (8, 15, 30, 60, 120, 240))
    (signal,) = read(tmp_path, "span (mm): 101.6\n\nTime (s),Load (mN),Deflection (mm)\n" + rows)
    assert signal.method == "bending_beam"
    assert [signal.columns[f"{n}_mm"][0] for n in ("span", "width", "thickness")] == [101.6, 12.7, 6.35]
    assert any("thickness" in remark and "usual" in remark for remark in signal.account.remarks)


def test_the_load_in_newtons_and_the_deflection_downwards_negative_are_brought_to_ours(
    tmp_path: Path,
) -> None:
    rows = "".join(f"{t},0.98,{-0.1 - t / 500}\n" for t in (8, 15, 30, 60, 120, 240))
    (signal,) = read(tmp_path, "Zeit [s],Last [N],Durchbiegung [mm]\n" + rows, thickness_mm=6.4)
    assert signal.columns["load_mn"] == pytest.approx([980.0] * 6)
    assert signal.columns["deflection_mm"].min() > 0
    assert signal.columns["thickness_mm"][0] == 6.4


def test_a_bare_viscosity_beside_a_temperature_is_the_rotational_one_and_the_account_says_so(
    tmp_path: Path,
) -> None:
    text = "temperature (°C),viscosity (mPa·s),torque (%)\n135,400,40\n165,110,22\n"
    (signal,) = read(tmp_path, text)
    assert signal.method == "rotational_viscosity"
    assert signal.columns["rotational_viscosity"] == pytest.approx([0.4, 0.11])
    assert signal.columns["torque_share_percent"].tolist() == [40.0, 22.0]
    assert any("taken as the rotational viscosity" in c.remark for c in signal.account.columns)


@pytest.mark.parametrize("heading", ["viscosity (mPa·s)", "Viscosity (cP)", "Viskosität [mPa·s]"])
def test_two_columns_of_temperature_and_viscosity_are_a_record_where_a_unit_is_printed(
    tmp_path: Path, heading: str
) -> None:
    (signal,) = read(tmp_path, f"temperature (°C),{heading}\n135,400\n165,110\n")
    assert signal.method == "rotational_viscosity"
    assert signal.columns["rotational_viscosity"] == pytest.approx([0.4, 0.11])
    assert any("taken as the rotational viscosity" in c.remark for c in signal.account.columns)


# Constructed from the definitions: |G*| = |η*| ω, tan δ = G''/G'; tan 60° = √3, tan 45° = 1.
def test_complex_viscosity_and_loss_tangent_make_modulus_and_phase_angle(tmp_path: Path) -> None:
    text = "temperature (°C),ω (rad/s),η* (Pa·s),tan δ\n64,10,200,1.7320508\n70,1,500,1\n"
    (signal,) = read(tmp_path, text)
    assert signal.method == "oscillation"
    assert signal.columns["complex_modulus"] == pytest.approx([2.0, 0.5])
    assert signal.columns["phase_angle"] == pytest.approx([60.0, 45.0])
    told = " ".join(signal.account.remarks)
    assert "|G*| = |η*| ω" in told
    assert "δ = atan(tan δ)" in told


def test_loss_tangent_beside_a_modulus_and_frequency_above_the_columns_are_taken(tmp_path: Path) -> None:
    text = (
        "frequency: 10 rad/s\ntemperature (°C),complex viscosity (Pa·s),loss tangent (-)\n64,200,1\n70,90,2\n"
    )
    (signal,) = read(tmp_path, text)
    assert signal.columns["complex_modulus"] == pytest.approx([2.0, 0.9])
    (other,) = read(tmp_path, "temperature (°C),|G*| (kPa),tan δ\n64,2,1\n70,1,1\n")
    assert other.columns["phase_angle"] == pytest.approx([45.0, 45.0])


def test_complex_viscosity_without_a_frequency_is_no_modulus(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError, match="no frequency is stated"):
        read(tmp_path, "temperature (°C),complex viscosity (Pa·s),phase angle (°)\n64,200,80\n70,90,82\n")


def test_columns_of_two_tests_are_a_question(tmp_path: Path) -> None:
    head = "time [s],load [mN],deflection [mm],temperature [°C],|G*| [kPa],phase angle [°]\n"
    rows = "".join(f"{t},980,0.2,64,1.2,80\n" for t in (8, 15, 30))
    with pytest.raises(AmbiguousFileError, match="which test is it"):
        read(tmp_path, head + rows)


def test_half_a_test_is_refused_with_what_is_missing(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError, match="phase angle"):
        read(tmp_path, "temperature [°C],|G*| [kPa]\n64,1.2\n70,0.6\n")
    with pytest.raises(FileFormatError, match=r"bending beam.*none for load"):
        read(tmp_path, "time [s],beam deflection [mm]\n8,0.2\n15,0.3\n")


def test_a_temperature_nowhere_stated_is_asked_for(tmp_path: Path) -> None:
    text = "frequency [rad/s],|G*| [kPa],phase angle [°]\n1,1.2,80\n10,9.6,75\n"
    with pytest.raises(AmbiguousFileError, match="--temperature"):
        read(tmp_path, text)
    assert read(tmp_path, text, temperature_c=64.0)[0].columns["temperature_c"].tolist() == [64.0, 64.0]


def test_a_row_without_a_number_is_refused_and_named(tmp_path: Path) -> None:
    rows = "".join(f"{t},10,{1000 - t},80\n" for t in range(40, 62, 2))
    (signal,) = read(tmp_path, "temperature [°C],omega [rad/s],|G*| [Pa],δ [°]\n" + rows + "64,10,-,81\n")
    assert (len(signal), signal.account.rows_refused_count) == (11, 1)
    assert signal.account.rows_refused[0].place == "line 13"


def test_specimens_named_in_columns_become_runs_of_their_own_with_their_residue(tmp_path: Path) -> None:
    text = (
        "sample,condition,temperature [°C],|G*| [kPa],phase angle [°]\n"
        "A,original,64,1.2,80\nA,original,70,0.6,83\nA,RTFO,64,2.4,78\nB,original,64,1.1,81\n"
    )
    signals = read(tmp_path, text)
    assert [len(signal) for signal in signals] == [2, 1, 1]
    assert [signal.details["condition"] for signal in signals] == ["original", "short_term_aged", "original"]


@needs_shared
def test_the_sheet_with_chinese_headings_gives_the_published_isotherms() -> None:
    workbook = SHARED / "synthetic_layouts" / "E_xlsx_merged_headers_side_by_side.xlsx"
    signals = read_raw_record(workbook)
    assert [signal.method for signal in signals] == ["creep_recovery", "creep_recovery", "oscillation"]
    sweep = signals[-1].columns
    rows = list(zip(*(sweep[n].tolist() for n in ("temperature_c", "angular_frequency_rad_s")), strict=True))
    for temperature, frequency, modulus_pa, angle in FHWA_POINTS:
        place = rows.index((temperature, frequency))
        assert sweep["complex_modulus"][place] == pytest.approx(modulus_pa / 1000)
        assert sweep["phase_angle"][place] == angle


@needs_shared
@pytest.mark.parametrize(
    ("name", "runs", "rows"),
    [
        ("fhwa_ptf_rutting_mit/htpg_dsr_points.csv", 35, 75),
        ("tudelft_binder_mit/frequency_sweeps_three_ages.csv", 3, 293),
    ],
)
def test_open_oscillation_tables_are_split_by_specimen_without_losing_a_row(
    name: str, runs: int, rows: int
) -> None:
    signals = read_raw_record(SHARED / name)
    assert (len(signals), sum(len(signal) for signal in signals)) == (runs, rows)
