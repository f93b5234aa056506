"""Beside the table of requirements stands only what its rows do not tell."""

from dataclasses import replace

from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.page import html_page
from resile.report.paper.assemble import page_of
from resile.report.paper.statements.verdicts import reason_lines
from resile.report.terminal import plain_text, render_statement
from resile.workflows.judging.grading import agree, grade_sample
from verdict_bench import determination


def _statement(jnr: str, *, rule: str = "simple", rounding: str = "none") -> GradeStatement:
    agreed = agree(decision_rule=rule)
    rounded = replace(agreed.specification, rounding=rounding)
    return grade_sample("tank", [determination("jnr_3.2", jnr)], replace(agreed, specification=rounded))


def _about_jnr(jnr: str, **how: str) -> list[str]:
    return [line for line in reason_lines(_statement(jnr, **how)) if "Jnr3.2" in line]


def test_a_plain_pass_needs_no_reason_and_a_failure_has_one() -> None:
    assert _about_jnr("0.9") == [
        "64E: Jnr3.2 ≤ 0.5 1/kPa: fail: 0.9 1/kPa is 0.4 1/kPa above the limit; "
        "at most 0.5 1/kPa is required."
    ]


def test_a_conditional_pass_says_how_far_it_lies_from_the_limit() -> None:
    (failed, conditional) = _about_jnr("0.9", rule="four-state")
    assert failed.startswith("64E: ")
    assert conditional.startswith("64V: Jnr3.2 ≤ 1.0 1/kPa: conditional pass: 0.9 1/kPa; ")


def test_a_pass_by_rounding_alone_is_said() -> None:
    # Constructed: 0.504 is 0.50 to two decimals.
    assert _about_jnr("0.504", rounding="half-even") == [
        "64E: Jnr3.2 ≤ 0.5 1/kPa: pass: 0.504 is 0.50 and passes only because it was rounded "
        "(at most 0.5 1/kPa is required)."
    ]


def test_what_was_not_tested_is_named_once_with_its_residue() -> None:
    lines = [line for line in reason_lines(_statement("0.9")) if line.startswith("Δm")]
    assert lines == ["Δm ≤ 1.0 %: not tested: no mass change in short-term ageing on short-term-aged binder."]


def test_unchecked_limits_are_said_once_on_the_page_and_once_in_the_terminal() -> None:
    statement = _statement("0.9")
    document = ReportDocument(number="1", date="2026-05-12", sample="tank", statement=statement)
    assert all(section.notice == "" for section in page_of(document).sections)
    assert (
        html_page(document).count("not been compared with") + html_page(document).count("not been checked")
        == 1
    )
    sheet = " ".join(plain_text(render_statement(statement)).split())
    assert sheet.count("not been checked") == 1
    assert "unchecked transcription" not in sheet


def test_unchecked_limits_without_a_finding_keep_their_notice() -> None:
    statement = replace(_statement("0.9"), findings=())
    document = ReportDocument(number="1", date="2026-05-12", sample="tank", statement=statement)
    assert any("Unchecked transcription" in section.notice for section in page_of(document).sections)


def test_the_reasons_stand_on_the_page_too() -> None:
    document = ReportDocument(number="1", date="2026-05-12", sample="tank", statement=_statement("0.9"))
    margins = next(section for section in page_of(document).sections if section.key == "margins")
    assert margins.bullets == reason_lines(_statement("0.9"))
