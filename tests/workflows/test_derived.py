"""What follows from typed results, shown and not judged: penetration index, working temperatures."""

from pathlib import Path

import pytest

from resile.records.verdict import GradeStatement
from resile.report.terminal import plain_text
from resile.workflows.judging.grading import grade_table

HEAD = "sample,condition,temperature_c,quantity,value,unit\n"
PENETRATION = "A,original,25,penetration,60,0.1 mm\nA,original,,softening_point,49,°C\n"
VISCOSITIES = (
    "A,original,135,rotational_viscosity,0.400,Pa·s\nA,original,165,rotational_viscosity,0.110,Pa·s\n"
)


def graded(folder: Path, rows: str) -> tuple[GradeStatement, str]:
    path = folder / "table.csv"
    path.write_text(HEAD + rows, encoding="utf-8")
    grading = grade_table(path)
    return grading.statements[0], " ".join(plain_text(grading.to_terminal()).split())


def test_the_penetration_index_stands_with_rule_and_source(tmp_path: Path) -> None:
    statement, sheet = graded(tmp_path, PENETRATION)
    (index,) = statement.derived
    # EN 12591:2009, annex A, from memory (high), by hand: 60 and 49 °C give -1.0354.
    assert index.lowest == index.highest == pytest.approx(-1.0354, abs=5e-5)
    assert "EN 12591" in index.source
    assert "Penetration index −1.04" in sheet
    assert "NOT JUDGED" in sheet


def test_working_temperatures_stand_with_the_caution_for_modified_binder(tmp_path: Path) -> None:
    statement, sheet = graded(tmp_path, VISCOSITIES)
    found = {one.name: (round(one.lowest, 1), round(one.highest, 1)) for one in statement.derived}
    # Trade notes, section 6 [derived].
    assert found == {"mixing_temperature": (151.1, 156.9), "compaction_temperature": (140.2, 144.9)}
    assert "151.1 to 156.9 °C" in sheet
    assert "ask its supplier" in sheet


@pytest.mark.parametrize("rows", [PENETRATION.splitlines()[0] + "\n", VISCOSITIES.splitlines()[0] + "\n"])
def test_half_of_what_is_needed_gives_nothing(tmp_path: Path, rows: str) -> None:
    statement, sheet = graded(tmp_path, rows)
    assert statement.derived == ()
    assert "ask its supplier" not in sheet
