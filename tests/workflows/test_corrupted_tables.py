"""Published creep-recovery summaries with one derived value a row corrupted: each is found in its row.

FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, Data.xlsx, sheet MSCR: 30 specimens at 64 °C.
"""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from resile.workflows.judging.grading import Grading, agree, grade_table

PUBLISHED = Path(__file__).parents[3] / "shared" / "data" / "fhwa_ptf_rutting_mit" / "mscr_summary.csv"
MISFITS = {
    "derived-value-does-not-follow",
    "wrong-unit-suspected",
    "reported-class-does-not-follow",
}
CORRUPTIONS: dict[str, Callable[[str], str]] = {
    "ten times": lambda text: repr(10.0 * float(text)),
    "a tenth": lambda text: repr(0.1 * float(text)),
    "a hundredfold": lambda text: repr(100.0 * float(text)),
    "a hundredth": lambda text: repr(0.01 * float(text)),
    "sign": lambda text: repr(-float(text)),
}
pytestmark = pytest.mark.skipif(not PUBLISHED.is_file(), reason="the open data set is not at hand")


def _rows() -> list[list[str]]:
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def _graded(rows: list[list[str]], folder: Path) -> Grading:
    path = folder / "summary.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    return grade_table(path, agree("m332-2014"), each=True)


def _lines_told(grading: Grading) -> set[int]:
    found = [f for s in grading.statements for f in s.findings if f.code in MISFITS]
    return {int(finding.message.split(", line ")[1].split(":")[0]) for finding in found}


def test_the_published_rows_themselves_raise_no_misfit(tmp_path: Path) -> None:
    assert _lines_told(_graded(_rows(), tmp_path)) == set()


@pytest.mark.parametrize("column", ["R_diff_fraction", "Jnr_diff_fraction"])
@pytest.mark.parametrize("corruption", CORRUPTIONS)
def test_a_derived_value_off_by_a_factor_or_sign_is_found_in_every_row(
    column: str, corruption: str, tmp_path: Path
) -> None:
    heading, *body = _rows()
    place = heading.index(column)
    for row in body:
        row[place] = CORRUPTIONS[corruption](row[place])
    assert _lines_told(_graded([heading, *body], tmp_path)) == set(range(2, 32))


@pytest.mark.parametrize("letter", ["S", "H", "V", "E", "FAILED"])
def test_a_wrong_letter_is_found_in_every_row(letter: str, tmp_path: Path) -> None:
    heading, *body = _rows()
    wrong = {line for line, row in enumerate(body, start=2) if row[-1] != letter}
    told = _lines_told(_graded([heading, *([*row[:-1], letter] for row in body)], tmp_path))
    assert told == wrong
