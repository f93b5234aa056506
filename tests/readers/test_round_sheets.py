"""Sheets of rounds, studies and checks as people keep them."""

from pathlib import Path

import pytest

from resile.errors import FileFormatError
from resile.readers.rounds.own_tables import read_checks
from resile.readers.rounds.round_sheet import read_round_sheet
from resile.readers.rounds.study_table import read_study_table
from resile.records.determination import Condition
from resile.records.reading import HeldFile

GERMAN = """\
Ringversuch Herbst
Gemeinschaft der Nachbarn

Runde;Probe;Eigenschaft;Unser Ergebnis;Zugewiesener Wert;Soll-Standardabweichung;Datum;Rückstand
R2;B;Jnr3.2 bei 64 °C;1,29;1,20;0,08;12.05.2025;RTFO
R1;A;Jnr3.2 bei 64 °C;0,86;0,80;0,05;10.02.2025;RTFO
R3;C;Jnr3.2 bei 64 °C;;0,50;0,03;11.08.2025;RTFO
"""


def held(text: str) -> HeldFile:
    return HeldFile("sheet.csv", text.encode())


def test_a_german_sheet_with_lines_of_title_gives_numbers_and_days_in_order() -> None:
    found, remarks = read_round_sheet(held(GERMAN))
    assert [(one.round, one.value, one.assigned, one.deviation) for one in found] == [
        ("R2", 1.29, 1.2, 0.08),
        ("R1", 0.86, 0.8, 0.05),
    ]
    assert [one.day for one in found] == ["2025-05-12", "2025-02-10"]
    assert {one.condition for one in found} == {Condition.SHORT_TERM_AGED}
    assert any("no result, left out" in one for one in remarks)


def test_a_bound_is_no_result_and_the_sentence_says_what_to_do() -> None:
    with pytest.raises(FileFormatError, match="line 6: '<0,1' under value is a bound and no result: ask for"):
        read_round_sheet(held(GERMAN.replace("0,86", "<0,1")))
    with pytest.raises(FileFormatError, match="laboratory B, material A is a bound and no result"):
        read_study_table(held("Lab,A\nA,1.0\nB,<5\n"))


def test_times_of_one_day_stay_apart_and_days_that_may_be_two_stay_as_printed() -> None:
    found = read_checks(held("Tag;Messwert\n02.06.2025 08:00;34,01\n02.06.2025 14:30;33,95\n"))
    assert [one.done for one in found] == ["2025-06-02 08:00", "2025-06-02 14:30"]
    assert read_checks(held("Day,Measured\n03/04/2025,34.0\n"))[0].done == "03/04/2025"


def test_a_laboratory_with_more_rows_than_the_others_is_told() -> None:
    table = read_study_table(held("Lab,A,B\nA,1.0 1.1,5 5\nA,1.2 1.3,5.5 5.2\nC,1.1 1.3,5.3 5.4\n"))
    assert table.remarks == (
        "'A' has 2 rows where others have 1: taken as its replicates; is it there twice?",
    )
    assert read_study_table(held("Lab,A\nA,1\nA,2\nC,1\nC,3\n")).remarks == ()


def test_results_without_scatter_are_not_taken_for_a_precision(tmp_path: Path) -> None:
    from resile.workflows.laboratories.study import study_of

    found = study_of(read_study_table(held("Lab,A\nA,1.0 1.0\nB,1.0 1.0\nC,1.0 1.0\n")))
    assert "study-no-scatter" in {one.code for one in found.findings}
