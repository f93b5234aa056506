"""Summary tables: long and wide, text and workbook, in many spellings; FHWA tables where they are present."""

import io
import math
import os
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

from resile.errors import (
    AmbiguousFileError,
    FileFormatError,
    InputError,
    RecordNotFoundError,
    SpecificationError,
)
from resile.readers.layout import ColumnLayout, Layout, read_layout
from resile.readers.summaries.ledger import WITHOUT_TEMPERATURE
from resile.readers.summary_table import read_summary_table
from resile.records.determination import Condition, Determination
from resile.records.finding import Severity
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES, WORD_QUANTITIES
from resile.records.summary import SummaryTable

SHARED = Path(__file__).resolve().parents[2] / ".." / "shared" / "data" / "fhwa_ptf_rutting_mit"
LONG = "sample,condition,temperature_c,quantity,value,unit\n"


def read_text(folder: Path, text: str, *, encoding: str = "utf-8", name: str = "results.csv") -> SummaryTable:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return read_summary_table(path)


def only(table: SummaryTable) -> Determination:
    (determination,) = table.determinations
    return determination


def by_quantity(table: SummaryTable) -> dict[str, Determination]:
    return {determination.quantity: determination for determination in table.determinations}


def test_a_long_table_gives_each_value_with_its_place_digits_and_source(tmp_path: Path) -> None:
    table = read_text(tmp_path, LONG + "N-118,short_term_aged,64,jnr_3.2,0.350,1/kPa\n")
    found = only(table)
    assert (found.sample, found.condition, found.temperature_c) == ("N-118", Condition.SHORT_TERM_AGED, 64.0)
    assert (found.quantity, found.value, found.unit, found.text) == ("jnr_3.2", 0.35, "1/kPa", "0.350")
    assert found.resolution == 0.001
    assert found.place == "line 2"
    assert found.source is not None
    assert len(found.source.sha256) == 64
    assert not found.raw
    assert table.remarks == ()


def test_a_traffic_class_is_kept_as_the_word_that_was_printed(tmp_path: Path) -> None:
    found = only(read_text(tmp_path, LONG + "N-118,RTFO,64,traffic_class,None,\n"))
    assert (found.quantity, found.value, found.text) == ("traffic_class", None, "None")


def test_properties_without_a_temperature_take_none(tmp_path: Path) -> None:
    text = LONG + "A,RTFO,163,mass_change_percent,-0.312,%\nA,original,,flash_point,302,°C\n"
    assert [d.temperature_c for d in read_text(tmp_path, text).determinations] == [None, None]


def test_the_first_row_may_hold_no_number_at_all(tmp_path: Path) -> None:
    table = read_text(tmp_path, LONG + "A,RTFO,,traffic_class,V,\nA,RTFO,64,jnr_3.2,0.8,1/kPa\n")
    assert [d.place for d in table.determinations] == ["line 2", "line 3"]


@pytest.mark.parametrize(
    ("printed", "quantity"),
    [
        ("Jnr3.2", "jnr_3.2"),
        ("JNR_3.2", "jnr_3.2"),
        ("Jnr 3.2 kPa", "jnr_3.2"),
        ("R3.2", "percent_recovery_3.2"),
        ("recovery at 0.1 kPa", "percent_recovery_0.1"),
        ("Percent Recovery 3.2", "percent_recovery_3.2"),
        ("G*/sin delta", "rutting_parameter"),
        ("Rutting Parameter", "rutting_parameter"),
        ("Jnr diff", "jnr_difference_percent"),
        ("phase angle", "phase_angle"),
        ("Flash point", "flash_point"),
    ],
)
def test_other_spellings_of_a_quantity_are_read_and_it_is_said(
    tmp_path: Path, printed: str, quantity: str
) -> None:
    table = read_text(tmp_path, LONG + f"A,RTFO,64,{printed},1.5,\n")
    assert only(table).quantity == quantity
    assert any(repr(printed) in remark and quantity in remark for remark in table.remarks)


def test_a_stress_column_completes_jnr_and_recovery(tmp_path: Path) -> None:
    head = "sample,condition,temperature_c,stress_kpa,quantity,value,unit\n"
    rows = "A,RTFO,64,3.2,jnr,0.8,1/kPa\nA,RTFO,64,0.1,percent_recovery,40,%\n"
    rows += "A,RTFO,64,1.6,jnr,0.7,1/kPa\n"
    table = read_text(tmp_path, head + rows)
    assert [d.quantity for d in table.determinations] == ["jnr_3.2", "percent_recovery_0.1"]
    (refused,) = table.account.rows_refused
    assert refused.place == "line 4"
    assert "1.6 kPa" in refused.reason


def test_an_unknown_quantity_is_refused_with_its_row_and_the_known_names(tmp_path: Path) -> None:
    rows = "A,RTFO,64,jnr_3.2,0.8,1/kPa\nA,RTFO,64,springiness,12,%\n"
    (refused,) = read_text(tmp_path, LONG + rows).account.rows_refused
    assert refused.place == "line 3"
    assert "'springiness' is not known" in refused.reason
    assert "rutting_parameter" in refused.reason


def test_rows_that_were_not_used_are_a_caution_that_travels_with_the_table(tmp_path: Path) -> None:
    rows = "A,RTFO,64,jnr_3.2,0.8,1/kPa\n" + "A,RTFO,64,springiness,12,%\n" * 9
    (finding,) = read_text(tmp_path, LONG + rows).findings
    assert finding.severity is Severity.CAUTION
    assert finding.value == 9.0
    assert "line 3: quantity 'springiness' is not known" in finding.message
    assert "and 1 more" in finding.message
    assert read_text(tmp_path, LONG + "A,RTFO,64,jnr_3.2,0.8,1/kPa\n").findings == ()


def test_where_no_row_can_be_used_the_file_is_refused_with_the_first_reason(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError, match=r"no row could be used: line 2: quantity 'springiness'"):
        read_text(tmp_path, LONG + "A,RTFO,64,springiness,12,%\n")


# Constructed from the definitions: 1 kPa = 1000 Pa, 1 Pa·s = 1000 mPa·s, 0 °C = 273.15 K = 32 °F.
@pytest.mark.parametrize(
    ("quantity", "value", "unit", "expected"),
    [
        ("jnr_3.2", "0.00086", "1/Pa", 0.86),
        ("jnr_3.2", "0.86", "kPa^-1", 0.86),
        ("percent_recovery_3.2", "0.29", "fraction", 29.0),
        ("percent_recovery_3.2", "290", "‰", 29.0),
        ("rutting_parameter", "2200", "Pa", 2.2),
        ("complex_modulus", "0.0022", "MPa", 2.2),
        ("rotational_viscosity", "3000", "mPa.s", 3.0),
        ("rotational_viscosity", "3000", "cP", 3.0),
        ("phase_angle", "1.5707963267948966", "rad", 90.0),
        ("flash_point", "446", "°F", 230.0),
        ("flash_point", "503.15", "K", 230.0),
    ],
)
def test_a_printed_unit_is_brought_to_that_of_the_glossary(
    tmp_path: Path, quantity: str, value: str, unit: str, expected: float
) -> None:
    found = only(read_text(tmp_path, LONG + f"A,RTFO,64,{quantity},{value},{unit}\n"))
    assert found.value == pytest.approx(expected, rel=1e-13)
    assert found.unit == QUANTITIES[quantity].unit
    assert found.text == value


def test_a_fraction_becomes_per_cent_without_arithmetic_noise(tmp_path: Path) -> None:
    # Constructed: 0.29 * 100 is 28.999999999999996 in binary arithmetic, below a limit of 29.
    assert only(read_text(tmp_path, LONG + "A,RTFO,64,percent_recovery_3.2,0.29,fraction\n")).value == 29.0


@pytest.mark.parametrize("unit", ["Pa.s", "kPa", "furlong", "-"])
def test_a_unit_that_cannot_belong_is_refused_with_its_row(tmp_path: Path, unit: str) -> None:
    rows = f"A,RTFO,64,percent_recovery_3.2,20,{unit}\nA,RTFO,64,jnr_3.2,0.8,1/kPa\n"
    (refused,) = read_text(tmp_path, LONG + rows).account.rows_refused
    assert refused.place == "line 2"
    assert repr(unit) in refused.reason


def test_a_missing_unit_is_taken_from_the_glossary_and_it_is_said(tmp_path: Path) -> None:
    table = read_text(tmp_path, "sample,condition,temperature_c,quantity,value\nA,RTFO,64,jnr_3.2,0.8\n")
    assert only(table).unit == "1/kPa"
    assert "no unit given for jnr_3.2: taken as 1/kPa" in table.remarks


@pytest.mark.parametrize("missing", ["", "-", "n/a"])
def test_a_missing_value_is_no_determination_and_it_is_said(tmp_path: Path, missing: str) -> None:
    rows = f"A,RTFO,64,jnr_3.2,{missing},1/kPa\nA,RTFO,64,jnr_0.1,0.7,1/kPa\n"
    table = read_text(tmp_path, LONG + rows)
    assert [d.quantity for d in table.determinations] == ["jnr_0.1"]
    assert any("jnr_3.2: no value in line 2" in remark for remark in table.remarks)


@pytest.mark.parametrize("value", ["<0.1", "1.2.3", "see note"])
def test_a_value_that_is_no_number_is_refused_with_its_row(tmp_path: Path, value: str) -> None:
    rows = f"A,RTFO,64,jnr_3.2,{value},1/kPa\nA,RTFO,64,jnr_0.1,0.7,1/kPa\n"
    (refused,) = read_text(tmp_path, LONG + rows).account.rows_refused
    assert (refused.place, value in refused.reason) == ("line 2", True)


def test_a_row_without_sample_is_refused_where_others_have_one(tmp_path: Path) -> None:
    rows = ",RTFO,64,jnr_3.2,0.8,1/kPa\nA,RTFO,64,jnr_3.2,0.8,1/kPa\n"
    (refused,) = read_text(tmp_path, LONG + rows).account.rows_refused
    assert refused.reason == "no sample is named"


def test_negative_recovery_stays_as_it_is(tmp_path: Path) -> None:
    # Hobson, Oklahoma DOT, SEAUPG webinar 2011: binder 64-22 A2 prints R0.1 as -2 %
    assert only(read_text(tmp_path, LONG + "A2,RTFO,64,percent_recovery_0.1,-2,%\n")).value == -2.0


def test_replicates_keep_their_names_and_repeats_without_names_are_numbered(tmp_path: Path) -> None:
    named = "sample,condition,temperature_c,replicate,quantity,value,unit\n" + "".join(
        f"A,RTFO,64,{letter},jnr_3.2,0.8,1/kPa\n" for letter in "xy"
    )
    assert [d.replicate for d in read_text(tmp_path, named).determinations] == ["x", "y"]
    table = read_text(tmp_path, LONG + "A,RTFO,64,jnr_3.2,0.8,1/kPa\nA,RTFO,64.02,jnr_3.2,0.8,1/kPa\n")
    assert [d.replicate for d in table.determinations] == ["1", "2"]
    assert any("numbered in the order" in remark for remark in table.remarks)


def test_a_row_that_repeats_another_is_refused_and_one_that_contradicts_it_is_kept_and_said(
    tmp_path: Path,
) -> None:
    head = "sample,condition,temperature_c,replicate,quantity,value,unit\n"
    same, other = "A,RTFO,64,1,jnr_3.2,0.8,1/kPa\n", "A,RTFO,64,1,jnr_3.2,0.9,1/kPa\n"
    table = read_text(tmp_path, head + same + same)
    assert "repeats line 2" in table.account.rows_refused[0].reason
    assert len(table.determinations) == 1
    table = read_text(tmp_path, head + same + other)
    assert [d.value for d in table.determinations] == [0.8, 0.9]
    assert any("line 3" in remark and "another value" in remark for remark in table.remarks)


def test_a_row_of_means_is_no_determination(tmp_path: Path) -> None:
    text = "sample;replicate;condition;Jnr3.2, 1/kPa\nA;1;RTFO;0,81\nA;2;RTFO;0,83\nA;Mittelwert;RTFO;0,82\n"
    table = read_text(tmp_path, text)
    assert [d.value for d in table.determinations] == [0.81, 0.83]
    assert table.account.rows_refused[0].place == "line 4"


def test_a_wide_table_in_german_with_decimal_commas_and_a_units_row_in_a_code_page(tmp_path: Path) -> None:
    text = (
        "Prüfbericht;;;;;\nProbe;Alterung;Temperatur;Jnr 0,1;Jnr 3,2;Rückstellung bei 3,2 kPa\n"
        ";;°C;1/kPa;1/kPa;%\nP 7;RTFOT;64;0,6473;0,8606;27,70\n"
    )
    found = by_quantity(read_text(tmp_path, text, encoding="cp1252"))
    assert found["jnr_0.1"].value == 0.6473
    assert found["jnr_3.2"].value == 0.8606
    assert found["percent_recovery_3.2"].resolution == 0.01
    assert found["jnr_3.2"].condition is Condition.SHORT_TERM_AGED


def test_a_wide_table_with_stress_in_its_own_column(tmp_path: Path) -> None:
    text = "Sample\tState\tT °C\tStress, kPa\tJnr, 1/kPa\tRecovery, %\n"
    text += "A\tRTFO\t64\t0.1\t0.5\t10\nA\tRTFO\t64\t3.2\t0.6\t8\n"
    values = {d.quantity: d.value for d in read_text(tmp_path, text).determinations}
    assert values == {
        "jnr_0.1": 0.5,
        "percent_recovery_0.1": 10.0,
        "jnr_3.2": 0.6,
        "percent_recovery_3.2": 8.0,
    }


def test_a_temperature_in_a_heading_holds_for_its_column(tmp_path: Path) -> None:
    text = "sample,condition,temperature_c,viscosity at 135 °C (Pa.s),G*/sin delta (kPa)\n"
    text += "A,unaged,64,0.412,1.31\n"
    found = by_quantity(read_text(tmp_path, text))
    assert found["rotational_viscosity"].temperature_c == 135.0
    assert found["rutting_parameter"].temperature_c == 64.0


def test_an_oscillation_value_off_10_rad_per_s_is_refused(tmp_path: Path) -> None:
    text = "sample,condition,temperature_c,omega_rad_s,Gstar_kPa,delta_deg\n"
    text += "A,RTFO,64,10,2.1,80\nA,RTFO,64,1,0.3,85\n"
    table = read_text(tmp_path, text)
    assert len(table.determinations) == 2
    assert {row.place for row in table.account.rows_refused} == {"line 3"}
    assert "10 rad/s" in table.account.rows_refused[0].reason


def test_columns_that_are_not_used_are_named(tmp_path: Path) -> None:
    table = read_text(tmp_path, "sample,condition,temperature_c,smell,Jnr3.2\nA,RTFO,64,none,0.8\n")
    assert "columns not used: 'smell'" in table.remarks
    unused = [column.heading for column in table.account.columns if column.quantity is None]
    assert unused == ["smell"]


def test_sample_and_condition_may_stand_above_the_table(tmp_path: Path) -> None:
    text = "Sample: N-118\nCondition: RTFO\n\ntemperature_c,Jnr0.1,Jnr3.2\n64,0.64,0.86\n"
    table = read_text(tmp_path, text)
    assert {d.sample for d in table.determinations} == {"N-118"}
    assert {d.condition for d in table.determinations} == {Condition.SHORT_TERM_AGED}


def test_a_table_that_names_no_sample_takes_the_name_of_the_file(tmp_path: Path) -> None:
    table = read_text(tmp_path, "condition,temperature_c,Jnr3.2\nRTFO,64,0.86\n", name="tank-4.csv")
    assert only(table).sample == "tank-4"
    assert any("'tank-4'" in remark for remark in table.remarks)


def test_an_unknown_condition_stays_unknown_and_it_is_said(tmp_path: Path) -> None:
    table = read_text(tmp_path, LONG + "A,None,64,jnr_3.2,0.8,1/kPa\n")
    assert only(table).condition is Condition.UNKNOWN
    assert any("'unaged' or 'as recovered'" in remark for remark in table.remarks)


def test_two_columns_of_one_quantity_are_a_question(tmp_path: Path) -> None:
    with pytest.raises(AmbiguousFileError, match=r"columns 3 .* and 4 .* both read as jnr_3\.2"):
        read_text(tmp_path, "sample,condition,Jnr3.2,Jnr at 3.2 kPa\nA,RTFO,0.8,0.9\n")
    layout = Layout(columns=(ColumnLayout("4", "ignore"),))
    assert only(read_summary_table(tmp_path / "results.csv", layout=layout)).value == 0.8


def test_a_number_that_may_be_one_or_a_thousand_is_a_question_that_a_layout_answers(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("sample;condition;Jnr3.2\nA;RTFO;2,039\n", encoding="utf-8")
    with pytest.raises(AmbiguousFileError, match="decimal mark"):
        read_summary_table(path)
    assert only(read_summary_table(path, layout=Layout(decimal_mark=","))).value == 2.039


def test_fractions_under_a_percent_sign_carry_a_finding(tmp_path: Path) -> None:
    # FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, sheet MSCR, lane 1 tank
    text = "sample,condition,temperature_c,R0.1 (%),R3.2 (%)\nlane 1,RTFO,64,0.4259,0.2770\n"
    for determination in read_text(tmp_path, text).determinations:
        assert [finding.code for finding in determination.findings] == ["unit-suspected"]
    text = "sample,condition,temperature_c,R0.1 (fraction)\nlane 1,RTFO,64,42.59\n"
    assert only(read_text(tmp_path, text)).findings[0].code == "unit-suspected"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02\x03" * 200, "binary"),
        (b"time,stress,strain\n0.1,0.1,0.2\n0.2,0.1,0.3\n", "raw record"),
        (b"hello there\n", "no table of results"),
        (LONG.encode(), "no row"),
        (b"%PDF-1.7 ...", "PDF"),
    ],
)
def test_what_is_no_table_of_results_is_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(content)
    with pytest.raises(FileFormatError, match=words) as caught:
        read_summary_table(path)
    assert "a.csv" in str(caught.value)


def test_a_file_that_does_not_exist_is_named(tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError, match=r"nothing\.csv"):
        read_summary_table(tmp_path / "nothing.csv")


def test_a_workbook_with_merged_headings_and_a_sheet_of_notes(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.title = "Results"
    sheet.append(["Certificate 12"])
    sheet.append(["Sample", "State", "T, °C", "Jnr, 1/kPa", None, "R, %", None])
    sheet.append([None, None, None, "0.1 kPa", "3.2 kPa", "0.1 kPa", "3.2 kPa"])
    for cells in ("D2:E2", "F2:G2", "A2:A3", "B2:B3", "C2:C3"):
        sheet.merge_cells(cells)
    sheet.append(["A", "RTFO", 64, 0.6473, 0.8606, 42.59, 27.7])
    book.create_sheet("Notes")["A1"] = "kept cold"
    buffer = io.BytesIO()
    book.save(buffer)
    path = tmp_path / "c.xlsx"
    path.write_bytes(buffer.getvalue())
    table = read_summary_table(path)
    values = {d.quantity: d.value for d in table.determinations}
    assert values == {
        "jnr_0.1": 0.6473,
        "jnr_3.2": 0.8606,
        "percent_recovery_0.1": 42.59,
        "percent_recovery_3.2": 27.7,
    }
    assert {d.place for d in table.determinations} == {"sheet Results, row 4"}
    assert any("'Notes'" in remark for remark in table.remarks)


def shared(name: str) -> SummaryTable:
    path = SHARED / name
    if not path.exists():
        pytest.skip("the shared data folder is absent")
    return read_summary_table(path)


# FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, Data.xlsx, sheet MSCR:
# R0.1 %, R3.2 %, Jnr0.1, Jnr3.2 in 1/kPa, class published
PUBLISHED = [
    ("lane 1, Tank binder", "1", 42.59, 27.70, 0.6473, 0.8606, "V"),
    ("lane 3, Tank binder", "1", 2.38, 0.0, 2.889, 3.222, "S"),
    ("lane 3, Tank binder", "3", 2.55, 0.0, 2.710, 2.9411, "S"),
    ("lane 4, Tank binder", "1", 81.71, 74.12, 0.1193, 0.1719, "E"),
    ("lane 7, Tank binder", "1", 1.96, 0.0, 4.869, 5.3757, "FAILED"),
    ("lane 10, Tank binder", "3", 4.58, 0.98, 1.8477, 2.0105, "S"),
    ("lane 1, 0-Month", "1", 42.96, 36.71, 0.1889, 0.2111, "E"),
    ("lane 4, 0-Month", "1", 64.32, 56.77, 0.1219, 0.1489, "E"),
    ("lane 10, 0-Month", "3", 10.08, 6.13, 0.7390, 0.7976, "V"),
]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: f"{row[0]} replicate {row[1]}")
def test_the_published_creep_recovery_rows_come_out_as_printed(
    row: tuple[str, str, float, float, float, float, str],
) -> None:
    sample, replicate, *numbers, letter = row
    found = {
        d.quantity: d
        for d in shared("mscr_summary.csv").determinations
        if d.sample.startswith(f"{sample},") and d.replicate == replicate
    }
    quantities = ("percent_recovery_0.1", "percent_recovery_3.2", "jnr_0.1", "jnr_3.2")
    assert [found[quantity].value for quantity in quantities] == numbers
    assert found["traffic_class"].text == letter
    assert {d.temperature_c for d in found.values()} == {64.0}


def test_all_thirty_specimens_of_the_published_table_are_read_whole() -> None:
    table = shared("mscr_summary.csv")
    assert len(table.determinations) == 30 * 7
    assert table.account.rows_kept == 30
    assert table.account.rows_refused_count == 0
    conditions = {d.condition for d in table.determinations if "Tank binder" in d.sample}
    assert conditions == {Condition.SHORT_TERM_AGED}


def test_all_oscillation_points_are_read_and_share_their_samples_with_the_creep_tests() -> None:
    points, creep = shared("htpg_dsr_points.csv"), shared("mscr_summary.csv")
    assert len(points.determinations) == 75 * 3 + 35
    assert set(points.samples) == set(creep.samples)
    # specifications.md section 4, from the same source: lane 3, G*/sin delta at 64 °C, RTFO 2.791 kPa
    lane_3 = next(
        d
        for d in points.determinations
        if d.sample.startswith("lane 3, Tank") and d.quantity == "rutting_parameter" and d.value == 2.791
    )
    assert (lane_3.condition, lane_3.temperature_c) == (Condition.SHORT_TERM_AGED, 64.0)
    assert "columns not used: " in points.remarks[-1]
    assert "'viscosity_mPas'" in points.remarks[-1]


names = st.text(st.characters(codec="utf-8", categories=("L", "N")), min_size=1, max_size=8).map(
    lambda text: f"Probe {text}"
)
numbers = st.decimals(min_value="0.001", max_value="99", places=3).map(str)
rows = st.lists(
    st.tuples(
        names,
        st.sampled_from([c for c in Condition if c is not Condition.UNKNOWN]),
        st.sampled_from(["52", "58.1", "64", "70.02", ""]),
        st.sampled_from([name for name in RESULT_QUANTITIES if name not in WORD_QUANTITIES]),
        numbers,
    ),
    min_size=1,
    max_size=6,
    unique_by=lambda row: row[:4],
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rows=rows,
    separator=st.sampled_from([",", ";", "\t"]),
    comma=st.booleans(),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
    ending=st.sampled_from(["\n", "\r\n"]),
)
def test_a_long_table_written_in_any_way_comes_back_value_for_value(
    tmp_path: Path,
    rows: list[tuple[str, Condition, str, str, str]],
    separator: str,
    comma: bool,
    encoding: str,
    ending: str,
) -> None:
    comma = comma and separator != ","

    def written(number: str) -> str:
        return number.replace(".", ",") if comma else number

    lines = [LONG.strip().replace(",", separator)]
    for sample, condition, celsius, quantity, value in rows:
        unit = QUANTITIES[quantity].unit
        cells = (sample, condition.value, written(celsius), quantity, written(value), unit)
        lines.append(separator.join(cells))
    path = tmp_path / "t.csv"
    path.write_bytes((ending.join(lines) + ending).encode(encoding))
    # whether 1,234 is one or a thousand is not what this test asks
    table = read_summary_table(path, layout=Layout(decimal_mark="," if comma else "."))
    assert len(table.determinations) == len(rows)
    for found, (sample, condition, celsius, quantity, value) in zip(table.determinations, rows, strict=True):
        assert (found.sample, found.condition, found.quantity) == (sample, condition, quantity)
        assert found.value == float(value)
        assert found.text == written(value)
        assert found.resolution is not None
        assert math.isclose(found.resolution, 0.001)
        if celsius and quantity not in WITHOUT_TEMPERATURE:
            assert found.temperature_c == float(celsius)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=300), text=st.text(max_size=200))
def test_any_bytes_are_read_or_refused_in_words(tmp_path: Path, data: bytes, text: str) -> None:
    path = tmp_path / "t.csv"
    for content in (data, LONG.encode() + data, (LONG + text).encode("utf-8", "replace")):
        path.write_bytes(content)
        try:
            read_summary_table(path)
        except FileFormatError as error:
            assert "t.csv" in str(error)


WIDE = "Probe,Zustand,T,Q1,Q2\nA,RTFO,64,0.9,1.1\nB,RTFO,64,0.4,0.5\n"


def test_columns_of_a_wide_table_can_be_named_by_number_or_by_heading(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(WIDE)
    columns = (ColumnLayout("4", "jnr_0.1"), ColumnLayout("Q2", "jnr_3.2", "1/kPa"))
    table = read_summary_table(path, layout=Layout(columns=columns))
    assert [(d.sample, d.quantity, d.value) for d in table.determinations] == [
        ("A", "jnr_0.1", 0.9),
        ("A", "jnr_3.2", 1.1),
        ("B", "jnr_0.1", 0.4),
        ("B", "jnr_3.2", 0.5),
    ]


def test_a_column_that_is_named_but_not_there_is_refused_with_those_that_are(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(WIDE)
    columns = (ColumnLayout("Q2", "jnr_3.2"), ColumnLayout("9", "jnr_0.1"))
    with pytest.raises(FileFormatError, match=r"no column '9'; the columns are 1 'Probe', .* 5 'Q2'"):
        read_summary_table(path, layout=Layout(columns=columns))


def _finenesses(tmp_path: Path, heading: str, texts: list[str]) -> list[float | None]:
    path = tmp_path / "wide.csv"
    rows = "".join(f"s{number},RTFO,64,{text}\n" for number, text in enumerate(texts))
    path.write_text(f"sample,condition,temperature_c,{heading}\n{rows}")
    return [determination.resolution for determination in read_summary_table(path).determinations]


def test_noughts_that_a_spreadsheet_dropped_are_given_back_from_the_column(tmp_path: Path) -> None:
    # Constructed: all given to 0.0001; 0.1700 prints as 0.17.
    found = _finenesses(tmp_path, "Jnr3.2 1/kPa", ["0.2111", "0.2088", "0.17", "0.3671", "0.3673", "0.8606"])
    assert found == pytest.approx([1e-4] * 6)


def test_three_significant_figures_are_not_taken_for_dropped_noughts(tmp_path: Path) -> None:
    texts = ["0.172", "0.861", "0.149", "0.211", "0.758", "0.381", "3.22", "5.38"]
    assert _finenesses(tmp_path, "Jnr3.2 1/kPa", texts)[-2:] == pytest.approx([0.01, 0.01])


def test_a_bare_nought_is_as_fine_as_the_coarsest_of_its_column(tmp_path: Path) -> None:
    assert _finenesses(tmp_path, "R3.2 %", ["27.70", "0", "74.1"])[1] == pytest.approx(0.1)


def test_a_bare_nought_among_whole_numbers_stays_a_whole_number(tmp_path: Path) -> None:
    assert _finenesses(tmp_path, "R3.2 %", ["27", "0", "74"])[1] == pytest.approx(1.0)


def _certificate(tmp_path: Path, *lines: str) -> SummaryTable:
    path = tmp_path / "certificate.csv"
    path.write_text("property,method,limit,result,unit,kind\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return read_summary_table(path)


@pytest.mark.parametrize(
    ("title", "quantity", "temperature_c", "condition"),
    [
        ("Jnr3.2 at 64 °C (RTFO)", "jnr_3.2", 64.0, Condition.SHORT_TERM_AGED),
        ('"Mass change, RTFO"', "mass_change_percent", None, Condition.SHORT_TERM_AGED),
        ('"G*/sin delta at 64 °C, original"', "rutting_parameter", 64.0, Condition.ORIGINAL),
        ("Jnr3.2", "jnr_3.2", None, Condition.UNKNOWN),
    ],
)
def test_the_title_of_a_certificate_line_gives_quantity_temperature_and_residue(
    tmp_path: Path, title: str, quantity: str, temperature_c: float | None, condition: Condition
) -> None:
    (found,) = _certificate(tmp_path, f"{title},own,1.0,0.52,,").determinations
    assert (found.quantity, found.temperature_c, found.condition) == (quantity, temperature_c, condition)


def test_a_value_marked_typical_says_so_with_its_line(tmp_path: Path) -> None:
    table = _certificate(tmp_path, "Jnr3.2,own,1.0,0.52,1/kPa,typical", "Jnr0.1,own,1.0,0.41,1/kPa,measured")
    typical, measured = table.determinations
    assert [f.message for f in typical.findings] == [
        "line 2: marked 'typical': a typical value is no determination of this sample."
    ]
    assert measured.findings == ()


def test_a_row_entered_twice_is_kept_and_doubted_unless_replicates_are_numbered(tmp_path: Path) -> None:
    path = tmp_path / "twice.csv"
    row = "A,RTFO,64,jnr_3.2,0.9,1/kPa"
    path.write_text(f"sample,condition,temperature_c,quantity,value,unit,replicate\n{row},\n{row},\n")
    first, second = read_summary_table(path).determinations
    assert first.findings == ()
    assert [f.code for f in second.findings] == ["row-repeated"]
    path.write_text(f"sample,condition,temperature_c,quantity,value,unit,replicate\n{row},1\n{row},2\n")
    assert [d.findings for d in read_summary_table(path).determinations] == [(), ()]


@pytest.mark.parametrize(
    ("printed", "told"),
    [
        ("<0.1", "a bound, not a measured value"),
        ("≤ 0.5", "a bound, not a measured value"),
        ("0.4-0.5", "a range; one value is needed"),
        ("0.4 ± 0.1", "holds a value and its uncertainty"),
        ("abc", "is not a number"),
    ],
)
def test_a_cell_that_holds_more_or_less_than_a_value_is_refused_in_its_own_words(
    tmp_path: Path, printed: str, told: str
) -> None:
    table = _certificate(tmp_path, f"Jnr3.2,own,1.0,{printed},1/kPa,", "Jnr0.1,own,1.0,0.41,1/kPa,")
    assert told in table.account.rows_refused[0].reason


def test_a_value_with_its_unit_in_the_cell_is_read(tmp_path: Path) -> None:
    (found,) = _certificate(tmp_path, "Jnr3.2,own,1.0,0.9 1/kPa,,").determinations
    assert found.value == 0.9


@pytest.mark.skipif(not SHARED.exists(), reason="the open data are not here")
@pytest.mark.parametrize(
    ("name", "quantities", "first"),
    [
        # First rows of the files [read: FHWA-RA, FHWA-RUT].
        (
            "fhwa_pitC_recycling_mit/bbr_60s.csv",
            {"creep_stiffness", "m_value", "reported_outcome"},
            (-12.0, 144.0, "MPa"),
        ),
        ("fhwa_pitC_recycling_mit/extended_bbr.csv", {"creep_stiffness", "m_value"}, (-6.0, 91.1, "MPa")),
        (
            "fhwa_ptf_rutting_mit/htpg_dsr_points.csv",
            {"rutting_parameter", "complex_modulus", "phase_angle", "reported_high_temperature"},
            (70.0, 8.465, "kPa"),
        ),
    ],
)
def test_open_tables_of_beam_and_oscillation_are_read_with_their_quantities(
    name: str, quantities: set[str], first: tuple[float, float, str]
) -> None:
    found = read_summary_table(SHARED.parent / name).determinations
    assert {d.quantity for d in found} == quantities
    leading = next(d for d in found if d.quantity in ("creep_stiffness", "rutting_parameter"))
    assert (leading.temperature_c, leading.value, leading.unit) == first


@pytest.mark.parametrize(
    ("text", "method"),
    [
        ("time [s],load [mN],deflection [mm]\n8,980,0.2\n15,980,0.25\n60,980,0.4\n", "bending beam"),
        ("time [s],stress [kPa],strain [%]\n0.1,0.1,0.2\n0.2,0.1,0.4\n0.3,0.1,0.6\n", "creep recovery"),
    ],
)
def test_a_raw_record_is_named_as_one_with_the_way_on(tmp_path: Path, text: str, method: str) -> None:
    with pytest.raises(FileFormatError, match=rf"raw record \({method}\).*resile reduce.*resile report"):
        read_text(tmp_path, text)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_named_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "results.csv"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="not a regular file"):
        read_summary_table(pipe)
    with pytest.raises(SpecificationError, match="not a regular file"):
        read_layout(pipe)
