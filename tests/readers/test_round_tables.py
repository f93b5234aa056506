"""Tables of studies and sheets of rounds, however a laboratory typed them."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from resile.errors import FileFormatError, ResileError
from resile.readers.rounds.dispute_case import read_dispute_case
from resile.readers.rounds.own_tables import read_checks, read_duplicates, read_factors
from resile.readers.rounds.round_sheet import read_round_sheet
from resile.readers.rounds.study_table import read_study_table
from resile.records.determination import Condition
from resile.records.reading import HeldFile

# Two laboratories, two materials, two results each: one table in every form.
TRUTH = (((1.5, 1.6), (2.5, 2.25)), ((10.0, 11.0), (12.5, 13.0)))
FORMS = {
    "several in a cell": "Laboratory,A,B\nL1,1.5 1.6,10 11\nL2,2.5 2.25,12.5 13\n",
    "side by side": "Lab,A 1,A 2,B 1,B 2\nL1,1.5,1.6,10,11\nL2,2.5,2.25,12.5,13\n",
    "one heading twice": "Lab,A,A,B,B\nL1,1.5,1.6,10,11\nL2,2.5,2.25,12.5,13\n",
    "merged headings": "Round robin\nLab,A,,B,\n,1,2,1,2\nL1,1.5,1.6,10,11\nL2,2.5,2.25,12.5,13\n",
    "rows below": "Lab,Replicate,A,B\nL1,1,1.5,10\n,2,1.6,11\nL2,1,2.5,12.5\n,2,2.25,13\n",
    "rows repeated": "Lab;A;B\nL1;1,5;10\nL1;1,6;11\nL2;2,5;12,5\nL2;2,25;13\n",
    "one result a row": "Sample,Participant,Result [kPa]\nA,L1,1.5\nA,L1,1.6\nB,L1,10\nB,L1,11\n"
    "A,L2,2.5\nA,L2,2.25\nB,L2,12.5\nB,L2,13\n",
    "materials down": "Material,L1,L2\nA,1.5 1.6,2.5 2.25\nB,10 11,12.5 13\n",
    "Labor": "Labor;A [kPa];B [kPa]\nL1;1,5 1,6;10 11\nL2;2,5 2,25;12,5 13\n",
}


def held(text: str | bytes, name: str = "table.csv") -> HeldFile:
    return HeldFile(name, text.encode() if isinstance(text, str) else text)


@pytest.mark.parametrize("form", list(FORMS))
def test_every_form_of_one_study_gives_the_same_table(form: str) -> None:
    found = read_study_table(held(FORMS[form]))
    assert (found.laboratories, found.materials) == (("L1", "L2"), ("A", "B"))
    assert found.results == TRUTH
    assert found.unit == ("kPa" if "kPa" in FORMS[form] else "")


def test_a_workbook_gives_the_same_table(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["Lab", "A", "A", "B", "B"], ["L1", 1.5, 1.6, 10, 11], ["L2", 2.5, 2.25, 12.5, 13]):
        sheet.append(row)
    book.save(tmp_path / "study.xlsx")
    assert read_study_table(tmp_path / "study.xlsx").results == TRUTH


def test_a_missing_result_is_an_empty_cell_and_not_a_zero() -> None:
    found = read_study_table(held("Lab,A,B\n1,1.5 1.6,-\n2,,10 11\n"))
    assert found.results == (((1.5, 1.6), ()), ((), (10.0, 11.0)))


def test_columns_taken_for_replicates_are_told_and_numbered_materials_stay_apart() -> None:
    assert read_study_table(held(FORMS["side by side"])).remarks[0] == "column 'A 1' taken as replicates of A"
    assert read_study_table(held("Lab,Binder 1,Binder 2\nL1,1 2,3 4\n")).materials == ("Binder 1", "Binder 2")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("a,b\n1,2\n", "no table of a study was found; needed is a row of headings that begins with"),
        ("Lab,A\nL1,about 3\n", "'about 3' for laboratory L1, material A is no number"),
        ("Lab,A\n,3.5\n", "line 2: no laboratory is named"),
        ("Lab,A\nL1,-\n", "has headings and no result"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_with_its_place(text: str, said: str) -> None:
    with pytest.raises(FileFormatError, match=said):
        read_study_table(held(text))


@settings(max_examples=25, deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
def test_whatever_bytes_come_are_read_or_refused_in_a_sentence(content: str | bytes) -> None:
    for reader in (read_study_table, read_round_sheet, read_duplicates, read_checks, read_dispute_case):
        try:
            reader(held(content))
        except ResileError as error:
            assert str(error)


SHEET = """Round,Sample,Property,Our result,Assigned value,SD,Labs,Date,Residue
2025-1,A,Jnr3.2 at 64 °C,0.84,0.80,0.05,41,2025-02-01,RTFO
2025-1,A,G*/sin delta [Pa],2350,2300,60,41,2025-02-01,original
2025-1,B,R3.2,-,30,1.5,41,2025-02-01,RTFO
"""


def test_a_sheet_of_rounds_gives_results_in_the_units_of_the_glossary() -> None:
    (first, second), remarks = read_round_sheet(held(SHEET), scheme="North")
    assert (first.quantity, first.value, first.assigned, first.deviation) == ("jnr_3.2", 0.84, 0.80, 0.05)
    assert (first.temperature_c, first.condition) == (64.0, Condition.SHORT_TERM_AGED)
    assert (first.laboratories, first.scheme, first.day) == (41, "North", "2025-02-01")
    assert (second.quantity, second.value, second.deviation) == ("rutting_parameter", 2.35, 0.06)
    assert any("left out" in remark for remark in remarks)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("Jnr3.2 at 64 °C", "wonder number", "'wonder number' is not known"),
        ("0.84", "good", "line 2: 'good' under value is no number"),
        ("0.05", "0", "above zero is needed"),
        ("RTFO\n2025-1,A,G", "burnt\n2025-1,A,G", "'burnt' is not known"),
        ("[Pa]", "[mm]", "unit of"),
        ("Our result", "Colour", "needed is a row of headings"),
    ],
)
def test_a_sheet_of_rounds_that_cannot_be_read_is_refused(old: str, new: str, said: str) -> None:
    with pytest.raises(FileFormatError, match=said):
        read_round_sheet(held(SHEET.replace(old, new)))


def test_duplicates_checks_and_factors_are_read_from_ordinary_tables() -> None:
    (pair,) = read_duplicates(held("Sample,Date,Value 1,Value 2\nS1,2025-01-02,0.8,0.9\n"))
    assert (pair.values, pair.when) == ((0.8, 0.9), "2025-01-02")
    (check,) = read_checks(held("Day;Instrument;Measured\n2025-01-02;V1;33,9\n"))
    assert (check.measured, check.instrument) == (33.9, "V1")
    values, factors = read_factors(held("who,day,jnr\nP,1,0.8\nQ,1,0.9\n"), ("who", "day"), "jnr")
    assert (values, factors[0]) == ((0.8, 0.9), ("who", ("P", "Q")))
    with pytest.raises(FileFormatError, match="no who is named beside a result"):
        read_factors(held("who,day,jnr\n,1,0.8\n"), ("who", "day"), "jnr")


CASE = """rule = "failure-must-be-shown"
sample = "tank 4"
quantity = "jnr_3.2"
condition = "RTFO"
limit = 0.5
limit_is = "at_most"
[[laboratory]]
name = "S"
role = "supplier"
values = [0.42]
[[laboratory]]
name = "R"
role = "receiver"
values = [0.6]
"""


def test_a_case_names_its_rule_and_both_laboratories() -> None:
    found, source = read_dispute_case(held(CASE, "case.toml"))
    assert (found.first.values, found.second.values, found.rule.name) == (
        (0.42,),
        (0.6,),
        "failure-must-be-shown",
    )
    assert source.sha256


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('role = "receiver"', 'role = "supplier"', "one laboratory of the supplier is needed, found 2"),
        ("limit = 0.5", "", "'limit' is missing"),
        ('"jnr_3.2"', '"shine"', "'shine' is not known"),
        ("at_most", "below", "at_most"),
        ("values = [0.6]", "values = []", "values"),
    ],
)
def test_a_case_that_cannot_be_used_is_refused_with_its_key(old: str, new: str, said: str) -> None:
    with pytest.raises(ResileError, match=said):
        read_dispute_case(held(CASE.replace(old, new), "case.toml"))
