"""What a notebook shows: a fragment of HTML, self-contained."""

from example_records import TABLE_8_2, example_run

from resile.records.creep_recovery import CreepRecoveryRun, StressLevel
from resile.records.verdict import GradeStatement
from resile.report.notebook import runs_html, statements_html


def test_a_run_shows_its_sentence_findings_table_and_cycle() -> None:
    html = runs_html([example_run(TABLE_8_2)])
    # creep-recovery.md, section 8.2.
    assert "2.00 1/kPa and recovery 9.7\N{NO-BREAK SPACE}% at 3.2 kPa" in html
    assert "▲ caution" in html
    assert html.count("<svg") == 1
    assert html.index("caution") < html.index("<table")
    assert "<script" not in html


def test_a_typed_summary_shows_no_picture() -> None:
    assert "<svg" not in runs_html([CreepRecoveryRun(levels=(StressLevel(3.2, None, 0.0, 3.222),))])


def test_a_statement_shows_its_answer_and_margins(statement: GradeStatement) -> None:
    html = statements_html([statement, statement])
    assert html.count("satisfies 64V, 64H and 64S") == 2
    assert html.count("<svg") == 2
    assert "notebook-margin-2" in html or "64E ≤ 0.5" in html
