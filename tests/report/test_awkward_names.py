"""Whatever a person writes into a field stands on the page as it was written, and breaks nothing."""

import html
import json
import re

import pytest

from resile.report.document import ReportDocument
from resile.report.page import _for_paper, html_page, pdf_page
from resile.report.paper.assemble import page_of
from resile.workflows.judging.grading import agree, grade_sample
from resile.workflows.orders.pages import file_stem
from verdict_bench import determination

NAMES = [
    "A/B\\C",
    "样品-64号",
    "x" * 200,
    "🛣 road 🚧",
    "#set page(fill: red) $x^2$ *b* _i_ <b>bold</b> @ref `code` ]) // /* --- ~ \" '",
    "& &amp; {{ 7*7 }} {% if %} \\ #",
    "=1+1",
    "first line\nsecond line",
]


def _document(name: str) -> ReportDocument:
    statement = grade_sample(name, [determination("jnr_3.2", "0.9", sample=name)], agree())
    return ReportDocument(
        number=name,
        date="2026-05-12",
        sample=name,
        statement=statement,
        laboratory=name,
        laboratory_address=name,
        customer=name,
        sample_description=name,
        sampling=name,
        deviations=name,
        instrument=name,
        tested_by=name,
        reviewed_by=name,
    )


@pytest.mark.parametrize("name", NAMES)
def test_an_awkward_name_is_set_on_paper_and_read_off_the_web_page(name: str) -> None:
    document = _document(name)
    assert pdf_page(document).startswith(b"%PDF")
    web = html_page(document)
    assert "<b>bold" not in web
    assert name in html.unescape(re.sub(r"<[^>]+>", "", web))


def test_a_long_word_may_break_on_paper_and_a_hash_stays_whole() -> None:
    sha = "3f7a9c0d5e1b48267c90ab3de45f6172839405a6b7c8d9e0f1a2b3c4d5e6f708"
    plain = json.dumps(_for_paper(page_of(_document("x" * 200 + " " + sha))), ensure_ascii=False)
    assert "x" * 17 not in plain
    assert sha in plain


@pytest.mark.parametrize(
    ("number", "stem"),
    [("../../etc/passwd", "etc-passwd"), ("A/B", "A-B"), ("..", "report"), ("x" * 300, "x" * 120)],
)
def test_a_report_number_becomes_a_file_name_that_stays_in_its_folder(number: str, stem: str) -> None:
    assert file_stem(number) == stem


def test_a_file_name_in_chinese_fits_the_limit_of_file_systems() -> None:
    assert len((file_stem("样" * 200) + "-run-10.svg.unfinished").encode()) < 255
