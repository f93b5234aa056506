"""Plates of a record: said with it, stated in its file, or of its instrument; a contradiction is told."""

import math
from pathlib import Path

import pytest

from resile.errors import AmbiguousFileError, SpecificationError
from resile.records.finding import Finding
from resile.records.oscillation import OscillationRun
from resile.report.paper.statements.answer import findings_of
from resile.workflows.orders.ordering import OrderReport, report_order

# |G*| = 2 h M/(pi R^4 theta), definition: 1000 kPa on plates of 8 mm with a gap of 2 mm, rotation 5 mrad.
ANGLE_MRAD = 5.0
TORQUE_MNM = 1e6 * math.pi * 0.004**4 * 0.005 / (2 * 0.002) * 1e3
ROWS = (
    "temperature (°C),ω (rad/s),δ (°),torque (mN·m),angle (mrad)\n"
    f"25,10,45,{TORQUE_MNM:.9f},{ANGLE_MRAD}\n28,10,48,{TORQUE_MNM / 2:.9f},{ANGLE_MRAD}\n"
)
STATED = "plate diameter [mm]: {}\ngap [mm]: 2\n"
FACTOR = (25.0 / 8.0) ** 4
"""How much too soft it comes out with plates of 25 mm: the fourth power of the radius."""


def order(folder: Path, *, above: str = "", instruments: str = "", record: str = "") -> Path:
    (folder / "sweep.csv").write_text(above + ROWS, encoding="utf-8")
    path = folder / "order.toml"
    path.write_text(
        f'[sample]\nname = "E"\n{instruments}\n[[record]]\nfile = "sweep.csv"\ncondition = "PAV"\n{record}\n',
        encoding="utf-8",
    )
    return path


def modulus(report: OrderReport) -> float:
    (run,) = report.machine_runs
    assert isinstance(run, OscillationRun)
    return run.points[0].complex_modulus


def contradictions(report: OrderReport) -> list[Finding]:
    return [f for f in findings_of(report.document) if f.code.endswith("-contradicts-order")]


INSTRUMENT = '[instrument]\nname = "rheometer 1"\nplate_diameter_mm = {}\ngap_mm = 2\n'
RECORD = "plate_diameter_mm = {}\ngap_mm = 2\n"


@pytest.mark.parametrize(
    ("parts", "factor", "told"),
    [
        ({"above": STATED.format(8)}, 1.0, ""),
        ({"instruments": INSTRUMENT.format(8)}, 1.0, ""),
        ({"record": RECORD.format(8)}, 1.0, ""),
        ({"above": STATED.format(8), "record": RECORD.format(8)}, 1.0, ""),
        ({"above": STATED.format(8), "instruments": INSTRUMENT.format(25)}, 1.0, "that of the file was used"),
        (
            {"above": STATED.format(8), "record": RECORD.format(25)},
            1.0 / FACTOR,
            "that of the order was used",
        ),
        ({"instruments": INSTRUMENT.format(25), "record": RECORD.format(8)}, 1.0, ""),
    ],
)
def test_the_plate_nearest_to_the_record_counts_and_a_contradiction_is_told(
    tmp_path: Path, parts: dict[str, str], factor: float, told: str
) -> None:
    report = report_order(order(tmp_path, **parts), date="2026-05-12")
    assert modulus(report) == pytest.approx(1000.0 * factor, rel=1e-6)
    assert [told in f.message for f in contradictions(report)] == ([True] if told else [])


def test_a_gap_that_contradicts_is_told_too(tmp_path: Path) -> None:
    wrong = INSTRUMENT.format(8).replace("gap_mm = 2", "gap_mm = 1")
    report = report_order(order(tmp_path, above=STATED.format(8), instruments=wrong), date="2026-05-12")
    (finding,) = contradictions(report)
    assert finding.code == "gap-contradicts-order"
    assert "a gap of 2 mm, the order 1 mm; that of the file was used" in finding.message
    assert modulus(report) == pytest.approx(1000.0, rel=1e-6)


BENCH = """
[[instrument]]
name = "rheometer 1"
tests = ["creep_recovery"]
plate_diameter_mm = 25
gap_mm = 1
verified = 2026-02-11

[[instrument]]
name = "rheometer 2"
tests = ["oscillation"]
plate_diameter_mm = 8
gap_mm = 2
verified = 2026-03-01
"""


def test_the_plates_are_those_of_the_instrument_for_that_test(tmp_path: Path) -> None:
    report = report_order(order(tmp_path, instruments=BENCH), date="2026-05-12")
    assert modulus(report) == pytest.approx(1000.0, rel=1e-6)
    assert report.document.instrument == (
        "rheometer 1 (creep recovery), plates of 25 mm, gap 1 mm, temperature verified 2026-02-11; "
        "rheometer 2 (oscillation), plates of 8 mm, gap 2 mm, temperature verified 2026-03-01"
    )


def test_two_instruments_of_one_test_with_two_plates_leave_the_question_open(tmp_path: Path) -> None:
    both = BENCH.replace("creep_recovery", "oscillation")
    with pytest.raises(AmbiguousFileError, match=r"what is the plate diameter in mm"):
        report_order(order(tmp_path, instruments=both), date="2026-05-12")
    known = report_order(order(tmp_path, instruments=both, record=RECORD.format(8)), date="2026-05-12")
    assert modulus(known) == pytest.approx(1000.0, rel=1e-6)


def test_a_test_that_is_none_is_refused_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(SpecificationError, match=r"'stirring' is no test.*oscillation"):
        report_order(order(tmp_path, instruments='[instrument]\ntests = ["stirring"]\n'), date="2026-05-12")
