"""A report holds what ISO/IEC 17025:2017 asks of one: clause 7.8.2.1 a) to p), and 7.8.6.2 for conformity.

The list of items is that of the trade notes (practice.md, section 3, read there).
"""

import io

import pytest
from example_records import example_document
from pypdf import PdfReader

from resile.report.page import html_page, pdf_page

LOGO = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 20"><rect width="60" height="20"/></svg>'
FILLED = {
    "title": "Performance grade of a bituminous binder",
    "laboratory": "Works laboratory",
    "laboratory_address": "Quay 3",
    "laboratory_contact": "lab@example.org",
    "place_of_work": "mobile laboratory 2",
    "customer": "Northern roads",
    "customer_contact": "Dike 1",
    "method": "Creep and recovery",
    "method_edition": "T 350-14",
    "sample_description": "binder of tank 4",
    "sample_state": "sealed, no settlement seen",
    "received": "2026-03-02",
    "tested_on": "2026-03-04 to 2026-03-05",
    "sampling": "plan SP-7, loading arm 2",
    "deviations": "Can opened once.",
    "reviewed_by": "B. Reader",
    "external_results": "flash point: laboratory Two",
    "accreditation": "Accredited for T 350 under number 000 (invented).",
    "logo": LOGO,
    "logo_form": "svg",
}
ITEMS = {
    "a) title": "Performance grade of a bituminous binder",
    "b) name and address of the laboratory": "Works laboratory, Quay 3, lab@example.org",
    "c) location of the activities": "mobile laboratory 2",
    "d) unique identification and end": "End of report LK-2025-0317",
    "e) customer and contact": "Northern roads, Dike 1",
    "f) method": "Creep and recovery, T 350-14",
    "g) description of the item": "binder of tank 4",
    "g) condition of the item": "sealed, no settlement seen",
    "h) date of receipt": "2026-03-02",
    "i) dates of the activity": "2026-03-04 to 2026-03-05",
    "j) date of issue": "2025-03-14",
    "k) sampling plan and method": "plan SP-7, loading arm 2",
    "l) relates only to the items": "relates only to the item tested",
    "m) results with units": "1/kPa",
    "n) deviations": "Can opened once.",
    "o) who authorises": "Reviewed and authorised by",
    "p) results of external providers": "flash point: laboratory Two",
    "copying": "not to be reproduced except in full",
    "7.8.6.2 a) results covered": "Statement of conformity: it covers the results of Linden 50/70 M",
    "7.8.6.2 b) specification": "AASHTO M 332 (edition 2014)",
    "7.8.6.2 c) decision rule": "Decision rule, chosen before the verdict",
    "accreditation": "Accredited for T 350 under number 000 (invented).",
}


@pytest.fixture(scope="module")
def filled():
    return example_document(**FILLED)


@pytest.fixture(scope="module")
def web(filled):
    return html_page(filled)


@pytest.fixture(scope="module")
def paper(filled):
    reader = PdfReader(io.BytesIO(pdf_page(filled)))
    text = " ".join(page.extract_text() for page in reader.pages)
    return " ".join(text.replace("\N{ZERO WIDTH SPACE}", "").split())


@pytest.mark.parametrize("item", ITEMS)
def test_the_web_page_holds_the_item(item, web):
    plain = " ".join(web.replace("\N{NO-BREAK SPACE}", " ").split())
    assert ITEMS[item] in plain


@pytest.mark.parametrize(
    "item", [name for name in ITEMS if name not in ("l) relates only to the items", "copying")]
)
def test_the_paper_page_holds_the_item(item, paper):
    assert ITEMS[item].replace(" ", "") in paper.replace(" ", "")


def test_the_foot_of_every_sheet_says_what_it_relates_to_and_which_sheet_it_is(filled):
    pages = PdfReader(io.BytesIO(pdf_page(filled))).pages
    for number, page in enumerate(pages, start=1):
        words = " ".join(page.extract_text().split())
        assert "Relates only to the item tested. Not to be reproduced except in full." in words
        assert f"page {number} of {len(pages)}" in words


def test_the_logo_stands_inside_the_web_page_with_a_name(web):
    assert 'src="data:image/svg+xml;base64,' in web
    assert 'alt="Logo of Works laboratory"' in web


def test_what_was_not_stated_is_said_to_be_not_stated():
    page = html_page(example_document(sample_state="", external_results=""))
    assert "State on arrival" in page
    assert "not stated" in page
    assert "External results" in page
    assert "<img" not in page
