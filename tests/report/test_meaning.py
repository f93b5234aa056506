"""What an answer means in plain words, and the body of a page before its annexes."""

import io
import re
from dataclasses import replace

import pypdf
import pytest
from example_records import example_document, example_statement
from whole_grade_records import full_grade, whole_statement

from resile.records.finding import Finding, Severity
from resile.records.specification import ServiceClass
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.page import html_page, pdf_page
from resile.report.paper.assemble import page_of
from resile.report.paper.statements.meaning import doubts_sentence, meaning_sentences

TEXT = r"\s+"


def graded(**changes) -> ReportDocument:
    return example_document(statement=whole_statement(**changes))


def pages_of(document: ReportDocument) -> list[str]:
    return [
        re.sub(TEXT, " ", page.extract_text().replace("\xa0", " "))
        for page in pypdf.PdfReader(io.BytesIO(pdf_page(document))).pages
    ]


def test_a_satisfied_grade_is_told_with_both_ends_as_temperatures_of_the_road() -> None:
    told = " ".join(meaning_sentences(whole_statement()))
    label = full_grade().label
    assert f"The sample met every limit that {label} sets." in told
    # By definition of the grade (AASHTO M 320): pavement temperatures, in whole degrees.
    high, low = label.removeprefix("PG ").split("-")
    assert f"no hotter than {high} °C and no colder than −{low} °C" in told
    assert "not the air" in told
    assert "not of the delivery it came from" in told


def test_a_missed_limit_is_never_told_as_met() -> None:
    statement = whole_statement(full_grades=(full_grade(satisfied=False, slope=0.29),))
    told = " ".join(meaning_sentences(statement))
    assert "did not meet every limit" in told
    assert "met every limit" not in told


def test_the_letter_is_explained_and_no_decimal_is_shown_to_a_customer() -> None:
    grade = replace(full_grade(), service_class=ServiceClass("V", "very heavy traffic: over 30 million", 3))
    told = " ".join(meaning_sentences(whole_statement(full_grades=(grade,))))
    assert "V stands for very heavy traffic." in told
    assert not re.search(r"\d\.\d", told)


def test_nothing_is_explained_where_the_specification_names_no_roads() -> None:
    # The rules of the example grade no low end: what its classes mean is for its owner to say.
    statement: GradeStatement = example_statement()
    assert not statement.specification.low_temperatures_c
    assert meaning_sentences(statement) == ()
    assert "What this means" not in html_page(example_document())


@pytest.mark.parametrize(
    ("severities", "told"),
    [
        ((), ""),
        ((Severity.NOTE,), "To be read with it, under Findings: 1 note."),
        (
            (Severity.NOTE, Severity.INVALID, Severity.CAUTION, Severity.CAUTION),
            "To be read with it, under Findings: 1 invalid finding, 2 cautions and 1 note.",
        ),
    ],
)
def test_the_answer_names_the_findings_that_wait_further_down(severities, told) -> None:
    assert doubts_sentence([Finding("code", one, "words") for one in severities]) == told


def test_the_signatures_close_the_body_and_the_end_mark_closes_the_annexes() -> None:
    pages = pages_of(graded())
    signed = next(place for place, words in enumerate(pages) if "Tested by" in words)
    annex = next(place for place, words in enumerate(pages) if "Annex A: every requirement" in words)
    assert signed < annex
    assert [place for place, words in enumerate(pages) if "End of report" in words] == [len(pages) - 1]
    assert f"which ends on page {len(pages)} with its end mark" in pages[signed]


def test_the_first_sheet_names_every_annex_with_the_page_it_begins_on() -> None:
    document = graded()
    pages = pages_of(document)
    for letter, title in page_of(document).annexes:
        (begins,) = [
            number for number, words in enumerate(pages, start=1) if f"Annex {letter}: {title}" in words
        ]
        assert f"{letter}, {title}, page {begins}" in pages[0]


def test_the_body_holds_grade_verdict_and_findings_and_every_other_section_an_annex() -> None:
    page = page_of(graded())
    body = [section.key for section in page.sections if not section.annex]
    assert body == ["whole-grade", "continuous", "results", "verdict", "findings"]
    letters = [section.annex for section in page.sections if section.annex]
    assert letters == sorted(letters)
    assert set(letters) == {letter for letter, _ in page.annexes}


def test_a_page_without_a_verdict_is_all_body() -> None:
    page = page_of(example_document(statement=None))
    assert page.annexes == ()
    assert not any(section.annex for section in page.sections)
