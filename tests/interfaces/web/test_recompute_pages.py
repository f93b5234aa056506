"""Stored results recomputed in the browser."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from bench_files import creep_record
from interfaces.web.forms import answer_of, send
from resile.records.register import Result
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record

AT = "2026-03-02T09:00:00Z"


@pytest.fixture
def client(tmp_path: Path, workbench: Callable[..., TestClient]) -> TestClient:
    """A workbench with two results; the second as an older version might have given it (constructed)."""
    record = LaboratoryRecord.open(tmp_path / "laboratory.db")
    for seed in (1, 2):
        keep_record(record, one_person(), AT, creep_record(seed), f"run-{seed}.csv", RecordTold())
    with record.writing(by="P-LOCAL", at=AT) as book:
        kept = book.get(Result, "E-000002")
        first, *rest = kept.value.lines
        assert first.value is not None
        older = replace(kept.value, lines=(replace(first, value=first.value * 2), *rest), software="0.0.9")
        book.keep(older, key=kept.key, reason="constructed")
    record.close()
    return workbench()


def test_the_page_of_a_run_leads_to_its_recomputation(client: TestClient) -> None:
    assert 'href="/runs/R-000001/recompute"' in client.get("/runs/R-000001").text
    page = client.get("/runs/R-000001/recompute").text
    assert "The same." in page
    assert "Keep today" not in page
    assert client.get("/runs/R-000009/recompute").status_code == 404


def test_what_differs_is_shown_and_kept_as_a_revision(client: TestClient) -> None:
    address = "/runs/R-000002/recompute"
    page = client.get(address).text
    for words in ("E-000002, revision 2", "Kept by resile 0.0.9", "-50", "Why numbers may differ"):
        assert words in page
    assert send(client, address, page=address).headers["location"] == address
    after = client.get(address).text
    assert "E-000002, revision 3" in after
    assert "The same." in after
    assert "recomputed with resile" in client.get("/audit?key=E-000002").text


def test_every_result_is_recomputed_in_the_background(client: TestClient) -> None:
    assert "Nothing was recomputed" in client.get("/audit/recomputed").text
    page = answer_of(client, send(client, "/audit/recompute", page="/audit")).text
    assert "1 of 2 results differ" in page
    assert "E-000002" in page
    assert "E-000001" not in page
    assert "1 of 2 results differ" in client.get("/audit/recomputed").text
