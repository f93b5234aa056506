"""The archive in the workbench: questions with addresses of their own, answers to take along, judged anew."""

import io
import re

import openpyxl
import pyarrow.parquet
import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import answer_of, send
from resile.workflows.archive import of_record
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import grade_stored_sample

AT = "2026-03-02T08:00:00Z"
ANEW = (
    "/archive-judged?before=m332-2014&after=m332-2020&rule=simple&rule_after=simple&basis=reproducibility"
    "&retest_rule=mean-of-all"
)


@pytest.fixture
def filled(client: TestClient) -> TestClient:
    """Three samples of one invented product; the first gains a letter where a line is waived for E."""
    record, somebody = client.app.state.record, one_person()  # type: ignore[attr-defined]
    for number, jnr in (("26-1", 0.3), ("26-2", 0.8), ("26-3", 2.5)):
        arrival = Arrival(number=number, product="Quarnsk <Plain>", lot="A")
        sample = receive_sample(record, somebody, AT, arrival)
        table = (
            "sample,condition,temperature_c,quantity,value,unit\n"
            f"{number},short_term_aged,64,jnr_3.2,{jnr},1/kPa\n"
            f"{number},short_term_aged,64,jnr_difference_percent,120,%\n"
        )
        told = RecordTold(sample=sample.key, tested=f"2026-0{number[-1]}-03")
        keep_record(record, somebody, AT, table.encode(), f"{number}.csv", told)
        grade_stored_sample(record, somebody, AT, sample.key)
    return client


def page(client: TestClient, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.text
    return answer.text


def test_the_archive_says_what_is_in_it_and_follows_the_record(filled: TestClient) -> None:
    text = page(filled, "/archive")
    assert "6 of 3 samples in 1 lots" in text
    assert "2026-01-03 to 2026-03-03" in text
    assert "Quarnsk &lt;Plain&gt;" in text
    assert 'href="/archive/spread?quantity=jnr_3.2"' in text


def test_every_question_has_an_address_and_its_answer_can_be_taken_along(filled: TestClient) -> None:
    asked = "quantity=jnr_3.2&product=Quarnsk+%3CPlain%3E"
    text = page(filled, f"/archive/trend?{asked}&class=64S")
    assert re.findall(r">(2026-0\d)<", text)[:3] == ["2026-01", "2026-02", "2026-03"]
    assert "limit of 64S 4.5" in text
    taken = filled.get(f"/archive/trend/as.csv?{asked}")
    assert taken.text.splitlines()[1].startswith("2026-01,1,0.3")
    book = openpyxl.load_workbook(io.BytesIO(filled.get(f"/archive/trend/as.xlsx?{asked}").content))
    assert book.active.cell(2, 2).value == 1
    assert [cell.value for cell in book.active[1]][:3] == ["Month", "Results", "Geometric mean (1/kPa)"]
    parquet = pyarrow.parquet.read_table(io.BytesIO(filled.get(f"/archive/trend/as.parquet?{asked}").content))
    assert parquet.column("results").to_pylist() == [1, 1, 1]
    assert "26-2" in page(filled, "/archive/samples?words=26-2")
    assert "0.8" in page(filled, "/archive/spread?quantity=jnr_3.2")
    failures = page(filled, "/archive/failures?class=64E")
    assert "Difference in compliance from 0.1 to 3.2 kPa, at most (%)" in failures
    assert "jnr_difference_maximum" not in failures
    shown = page(filled, "/archive")
    assert "Non-recoverable creep compliance at 3.2 kPa (1/kPa)" in shown
    assert ">jnr_3.2<" not in shown
    assert "Nothing in the record fits." in page(filled, "/archive/findings?code=drifts")


def test_a_slip_comes_back_on_the_filled_form(filled: TestClient) -> None:
    text = page(filled, "/archive/trend?quantity=jnr_3.2&temperature=warm", status=422)
    assert 'value="warm"' in text
    page(filled, "/archive/nothing", status=404)
    page(filled, "/archive/trend/as.exe?quantity=jnr_3.2", status=404)


def test_a_small_record_is_judged_anew_at_once_and_stands_at_its_address(filled: TestClient) -> None:
    assert "not worked out yet" in page(filled, ANEW)
    answer = send(filled, "/archive-judged", page="/archive-judged", before="m332-2014", after="m332-2020")
    assert answer.headers["location"] == ANEW
    text = page(filled, ANEW)
    assert "1 higher (33.3" in text
    assert "m332-2020 waives it" in text
    question = ANEW.partition("?")[2]
    assert filled.get(f"/archive-judged/report.pdf?{question}").content.startswith(b"%PDF")
    assert "26-1" in filled.get(f"/archive-judged/report.csv?{question}").text


def test_a_large_record_is_judged_anew_in_the_background(
    filled: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(of_record, "_MANY_RESULTS", 1)
    answer = send(filled, "/archive-judged", page="/archive-judged", before="m332-2014", after="m332-2020")
    assert answer.headers["location"].startswith("/jobs/")
    assert "1 higher" in answer_of(filled, answer).text


def test_a_rule_that_is_not_there_is_told_on_the_filled_form(filled: TestClient) -> None:
    answer = send(filled, "/archive-judged", page="/archive-judged", before="m332-2014", after="m999")
    assert answer.status_code == 404
    assert "m999" in answer.text
