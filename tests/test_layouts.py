"""The layout writer itself: what it writes is what was asked for."""

import io

import numpy as np
import openpyxl
import pytest

from layouts import Layout, print_column, printed_error, render_layout
from resile.compute.rheology.models.simulation import simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import newtonian
from resile.records.creep_recovery import CreepRecoveryProgramme

PROGRAMME = CreepRecoveryProgramme("constructed", 1.0, 9.0, (0.1, 3.2), 10, 5.0, 0.05, 0.30)
RECORD = simulate_creep_recovery(newtonian(0.25), PROGRAMME)


def lines(layout: Layout, generator: np.random.Generator | None = None) -> list[str]:
    return render_layout(RECORD, layout, generator=generator).decode(layout.encoding).split("\n")


def test_the_plainest_layout_is_one_heading_row_and_numbers() -> None:
    text = lines(Layout())
    assert text[0] == "time [s],shear stress [kPa],shear strain [%],temperature [°C]"
    assert text[1] == "0.1000,0.10000,4.00000,64.00"
    assert len(text) == 3002  # a heading, 3000 rows, and nothing after the last line end


def test_decimal_commas_a_units_row_and_german_headings() -> None:
    layout = Layout(separator=";", decimal_mark=",", unit_style="row", language="de", encoding="cp1252")
    text = lines(layout)
    assert text[:3] == [
        "Zeit;Schubspannung;Scherdeformation;Temperatur",
        "[s];[kPa];[%];[°C]",
        "0,1000;0,10000;4,00000;64,00",
    ]


def test_thousands_marks_stand_where_a_number_is_large() -> None:
    last = print_column("strain", np.array([136.0]), Layout(thousands_mark=",", separator=";"))
    assert last == ["13,600.00000"]


def test_time_and_strain_restart_where_asked() -> None:
    text = lines(Layout(time_restarts="step", strain_restarts=True))
    assert text[10].startswith("1.0000,0.10000,40.00000")
    assert text[11].startswith("0.1000,0.00000,40.00000")
    assert text[101].startswith("0.1000,0.10000,4.00000")


def test_torque_and_angle_follow_the_plate() -> None:
    # 2M/(pi R^3) with 12.5 mm and 0.1 kPa gives 0.30680 mN·m; strain 0.04 at a gap of 1 mm turns 3.2 mrad.
    text = lines(Layout(columns=("time_s", "torque_nm", "angle_rad"), preamble="names"))
    assert text[1] == "plate diameter [mm],25.00"
    assert text[5].split(",")[1:] == ["0.3067962", "0.00320000"]


@pytest.mark.parametrize("order", ["shuffled", "repeated"])
def test_disorder_keeps_every_row(order: str) -> None:
    text = lines(Layout(order=order), np.random.default_rng(1))
    assert set(text) == set(lines(Layout()))
    assert text != lines(Layout())


def test_a_workbook_holds_numbers_under_merged_headings() -> None:
    layout = Layout(workbook=True, group_row=True, arrangement="side by side", language="pl")
    book = openpyxl.load_workbook(io.BytesIO(render_layout([RECORD, RECORD], layout)))
    sheet = book["record"]
    assert {str(area) for area in sheet.merged_cells.ranges} == {"A1:C1", "F1:H1"}
    assert sheet["F2"].value == "czas [s]"
    assert sheet["H3"].value == pytest.approx(4.0)


def test_the_printed_error_is_half_a_step_of_the_last_digit() -> None:
    values = np.array([0.123456789, 61.6])
    for layout in (Layout(), Layout(numbers="exponent", digits=6), Layout(strain_unit="‰")):
        texts = print_column("strain", values, layout)
        factor = {"%": 100, "‰": 1000}[layout.strain_unit]
        error = np.abs(np.array([float(t) for t in texts]) / factor - values).max()
        assert error <= printed_error("strain", values, layout) * (1 + 1e-6)
