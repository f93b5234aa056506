"""Records that the tests of this room share: built once, they are frozen."""

import pytest
from example_records import ELASTIC, TABLE_8_2, example_document, example_run, example_statement

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.page import html_page, pdf_page


@pytest.fixture(scope="session")
def burgers_run() -> CreepRecoveryRun:
    return example_run(TABLE_8_2)


@pytest.fixture(scope="session")
def elastic_run() -> CreepRecoveryRun:
    return example_run(ELASTIC)


@pytest.fixture(scope="session")
def statement() -> GradeStatement:
    return example_statement()


@pytest.fixture(scope="session")
def document() -> ReportDocument:
    return example_document()


@pytest.fixture(scope="session")
def html(document: ReportDocument) -> str:
    return html_page(document)


@pytest.fixture(scope="session")
def pdf(document: ReportDocument) -> bytes:
    return pdf_page(document)
