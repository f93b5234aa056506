"""The web page and the paper: one content, self-contained, readable without a picture, the same bytes."""

import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import pypdf
import pytest
from example_records import SHA, example_document, example_run, example_statement

from resile.records.creep_recovery import CreepRecoveryRun, StressLevel
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.verdict import Outcome
from resile.report.document import ReportDocument
from resile.report.markup import TEMPLATES, symbols_as_html
from resile.report.page import html_page, pdf_page
from resile.report.paper.assemble import page_of
from resile.report.words import OUTCOME_MARKS, SEVERITY_MARKS

ORDER = [
    "Answer",
    "Results",
    "Verdict",
    "Findings",
    "Signatures",
    "Annex A: every requirement and every determination",
    "Annex B: every run",
    "Annex C: ageing",
    "Annex D: how the files were read",
    "Annex E: what this report hangs on, and cautions",
]
ANNEXED = [
    "Margins",
    "Determinations",
    "The run",
    "Short-term ageing",
    "How the record was read",
    "What this report hangs on",
    "Cautions",
]


class Outline(HTMLParser):
    """Collects headings and counts of tags."""

    def __init__(self) -> None:
        super().__init__()
        self.headings: list[tuple[str, str]] = []
        self.counts: dict[str, int] = {}
        self.attributes: list[tuple[str, str | None]] = []
        self._open = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.counts[tag] = self.counts.get(tag, 0) + 1
        self.attributes += attrs
        if re.fullmatch(r"h[1-6]", tag):
            self._open = tag
            self.headings.append((tag, ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == self._open:
            self._open = ""

    def handle_data(self, data: str) -> None:
        if self._open:
            tag, text = self.headings[-1]
            self.headings[-1] = (tag, text + data)


@pytest.fixture(scope="module")
def outline(html: str) -> Outline:
    parsed = Outline()
    parsed.feed(html)
    return parsed


@pytest.fixture(scope="module")
def paper(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


@pytest.fixture(scope="module")
def paper_text(paper: pypdf.PdfReader) -> str:
    text = "\n".join(page.extract_text() for page in paper.pages)
    return re.sub(r"\s+", " ", text.replace("\xa0", " "))


def test_the_page_has_one_title_and_its_sections_in_order(outline: Outline) -> None:
    assert [text for tag, text in outline.headings if tag == "h1"] == [
        "Creep recovery of a bituminous binder"
    ]
    assert [text for tag, text in outline.headings if tag == "h2"] == ORDER
    annexed = [text for tag, text in outline.headings if tag == "h3"]
    assert [text for text in annexed if text in ANNEXED] == ANNEXED


def test_every_table_has_a_caption_and_the_language_is_named(outline: Outline, html: str) -> None:
    assert outline.counts["table"] == outline.counts["caption"] >= 8
    assert '<html lang="en">' in html


def test_the_page_needs_no_script_and_no_network(outline: Outline, html: str) -> None:
    assert "script" not in outline.counts
    assert "link" not in outline.counts
    assert not [value for name, value in outline.attributes if name in ("src", "srcset")]
    addresses = set(re.findall(r"https?://[^\s\"'<)]+", html))
    assert addresses <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
    assert "url(http" not in html


def test_each_picture_has_a_spoken_description(outline: Outline) -> None:
    labels = [value for name, value in outline.attributes if name == "aria-label" and value]
    assert any(label.startswith("Cycle 5 at 3.2 kPa: strain rises to") for label in labels)
    assert outline.counts["svg"] == outline.counts["figure"] == 5


def test_the_names_of_elements_are_unique(outline: Outline) -> None:
    names = [value for name, value in outline.attributes if name == "id"]
    assert len(names) == len(set(names))


def test_the_answer_says_what_is_satisfied_and_what_is_missing(document: ReportDocument) -> None:
    page = page_of(document)
    assert page.answer == (
        "Linden 50/70 M satisfies 64V, 64H and 64S of AASHTO M 332 (2014) as far as it was tested."
    )
    assert page.answer_more[0].startswith("Not yet a full grade. Not tested: flash point (original binder)")


def test_hashes_decision_rule_and_warnings_are_on_both(html: str, paper_text: str) -> None:
    for words in (
        "Invented demonstration data",
        "Unchecked transcription",
        "the risk of accepting a binder that does not conform is at most 5",
        "Declared before testing: The mean of all determinations is reported; none is left out.",
        "The contract, the edition it names and licensed practice prevail.",
        "Glass of the rolling thin film oven at 163",
        "End of report LK-2025-0317",
        "resile 0.1.0",
    ):
        assert words in html
        assert words in paper_text
    assert SHA in html
    assert SHA in paper_text.replace(" ", "").replace("\u200b", "")


def test_the_paper_is_tagged_archivable_and_dated_by_the_document(paper: pypdf.PdfReader, pdf: bytes) -> None:
    catalogue = paper.trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in catalogue
    assert catalogue["/Lang"] == "en"
    assert b"<pdfaid:part>2</pdfaid:part>" in pdf
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf
    assert str(paper.metadata.creation_date).startswith("2025-03-14")


def test_the_paper_is_a4_and_counts_its_pages(paper: pypdf.PdfReader) -> None:
    count = len(paper.pages)
    assert count > 1
    for number, page in enumerate(paper.pages, start=1):
        assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == (595, 842)
        assert f"page {number} of {count}" in page.extract_text()


def test_only_our_own_font_is_used_on_paper(paper: pypdf.PdfReader) -> None:
    fonts = {
        str(font.get_object()["/BaseFont"])
        for page in paper.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert fonts
    assert all("SourceSans3" in name for name in fonts)


def test_the_same_document_gives_the_same_bytes(document: ReportDocument, html: str, pdf: bytes) -> None:
    assert html_page(document) == html
    assert pdf_page(document) == pdf


def test_every_determination_is_shown_also_one_that_does_not_count() -> None:
    statement = example_statement()
    first = statement.results[0]
    left_out = replace(first, counted=(True, False))
    document = example_document(statement=replace(statement, results=(left_out, *statement.results[1:])))
    section = next(s for s in page_of(document).sections if s.key == "determinations")
    rows = section.tables[0].rows
    assert sum(len(result.determinations) for result in statement.results) == 4
    assert [row[5] for row in rows] == ["yes", "no", "1 counted", "yes", "yes"]


def test_a_determination_that_is_a_word_is_shown_as_that_word() -> None:
    statement = example_statement()
    word = Determination("s", statement.results[0].condition, 64.0, "jnr_3.2", None, "1/kPa", "V")
    result = replace(
        statement.results[0], value=None, uncertainty=None, determinations=(word,), counted=(False,)
    )
    document = example_document(statement=replace(statement, results=(result,)), runs=())
    section = next(s for s in page_of(document).sections if s.key == "determinations")
    assert section.tables[0].rows[0][3] == "V"


def test_markup_of_any_kind_in_a_name_stays_text() -> None:
    hostile = '<script>alert(1)</script> #import "x" $a$ *b* _c_ = [d] //e /*f*/ \\ Jnr3.2 {{ g }}'
    finding = Finding("odd", Severity.INVALID, hostile)
    document = example_document(sample=hostile, findings=(finding,), runs=(), statement=None, ageing=None)
    assert "<script" not in html_page(document)
    text = pypdf.PdfReader(io.BytesIO(pdf_page(document))).pages[0].extract_text()
    assert "alert(1)" in text
    assert '#import "x" $a$ *b* _c_ = [d]' in text


def test_a_sample_that_satisfies_nothing_says_by_what_it_misses_the_mildest_class() -> None:
    # FHWA-RUT, lane 7 tank replicate 1: Jnr3.2 5.3757, class FAILED (creep-recovery.md, section 9.1).
    statement = example_statement(jnr=5.3757)
    classes = tuple(
        replace(c, satisfied=False, verdicts=tuple(_failed(v) if v.value else v for v in c.verdicts))
        for c in statement.classes
    )
    document = example_document(statement=replace(statement, grades=(), classes=classes))
    assert page_of(document).answer == (
        "Linden 50/70 M satisfies no class of AASHTO M 332 (2014) at the temperatures tested: "
        "Jnr3.2 at 64 °C is 5.38 1/kPa, 64S asks for at most 4.5."
    )


def _failed(verdict):  # type: ignore[no-untyped-def]
    return replace(verdict, outcome=Outcome.FAIL)


def test_letters_that_our_font_lacks_do_not_stop_the_paper() -> None:
    # Chinese from the fonts of the machine where there are any; a letter of no font as its code.
    document = example_document(
        sample="样品 林 Проба \U000e0041 \U0010fffd", runs=(example_run(),), statement=None
    )
    reader = pypdf.PdfReader(io.BytesIO(pdf_page(document)))
    text = "".join(page.extract_text() for page in reader.pages)
    assert "Проба" in text
    assert "样品" in text or "[U+6837]" in text


def test_every_mark_that_stands_beside_a_word_is_in_our_font() -> None:
    marks = "".join((*SEVERITY_MARKS.values(), *OUTCOME_MARKS.values())) + "±≤≥−–·µ°δτγηΔ²½√×"
    pdf = pdf_page(example_document(sample=marks, runs=(), statement=None, ageing=None))
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    fonts = {str(f.get_object()["/BaseFont"]) for f in reader.pages[0]["/Resources"]["/Font"].values()}
    assert all("SourceSans3" in name for name in fonts)


def test_a_report_of_typed_results_alone_can_be_set() -> None:
    # FHWA-RUT, lane 3 tank replicate 1 (creep-recovery.md, section 9.1).
    levels = (StressLevel(0.1, None, 2.38, 2.889), StressLevel(3.2, None, 0.0, 3.222))
    run = CreepRecoveryRun(levels=levels, jnr_difference_percent=11.53, temperature_c=64.0, sample="lane 3")
    document = example_document(runs=(run,), statement=None, ageing=None, invented=False, date="March")
    html = html_page(document)
    assert "there is no raw record behind it" in html
    assert "Invented demonstration data" not in html
    assert pdf_page(document).startswith(b"%PDF-")


def test_symbols_take_their_subscripts_and_nothing_else_does() -> None:
    assert str(symbols_as_html("Jnr3.2 and R0.1 <b>")) == (
        '<i>J</i><sub>nr<span class="step">3.2</span></sub> and <i>R</i><sub>0.1</sub> &lt;b&gt;'
    )
    assert str(symbols_as_html("R 92 and Rain")) == "R 92 and Rain"


def test_on_a_narrow_screen_the_answer_stands_before_the_identity() -> None:
    style = (TEMPLATES / "report.css").read_text(encoding="utf-8")
    narrow = style.split("@media (max-width:44rem)")[1].split("@media print")[0]
    assert ".answer{order:1" in narrow
    assert "header .facts{order:2}" in narrow
