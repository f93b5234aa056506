"""A continuous temperature between two tests that hardly differ says that its slope is in doubt."""

from pathlib import Path

import pytest

from resile.workflows.judging.grading import agree, grade_table

CODE = "continuous-temperature-slope-in-doubt"


@pytest.mark.parametrize(
    ("cold", "doubted"),
    [
        # Three replicates of sd 0.003: u of a mean 0.0017, of a difference 0.0024. A step of 0.004 is
        # 1.6 of them, and the other way has some 5 % or more; a step of 0.039 is certain.
        ((0.298, 0.301, 0.295), True),
        ((0.263, 0.266, 0.260), False),
    ],
)
def test_two_slopes_that_hardly_differ_are_told(
    tmp_path: Path, cold: tuple[float, ...], doubted: bool
) -> None:
    rows = "sample,condition,temperature_c,quantity,value,unit\n"
    rows += "".join(f"E,PAV,-12,m_value,{value},\n" for value in (0.302, 0.305, 0.299))
    rows += "".join(f"E,PAV,-18,m_value,{value},\n" for value in cold)
    rows += "E,original,64,rutting_parameter,1.42,kPa\n"
    file = tmp_path / "results.csv"
    file.write_text(rows, encoding="utf-8")
    rules = agree("m320", uncertainty_basis="replicates", correlation="independent")
    (statement,) = grade_table(file, rules).statements
    assert (CODE in {finding.code for finding in statement.findings}) is doubted
