"""The page for people outside the laboratory, asked without a browser."""

from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from bench_files import creep_record
from resile.records.determination import Condition
from resile.workflows.explaining.trying import model_to_json, try_binder
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record

AT = "2026-03-02T08:00:00Z"


def test_the_page_shows_what_was_asked_for(client: TestClient) -> None:
    answer = client.get("/explain?stress=3.2&temperature=70&binder=polymer")
    assert answer.status_code == 200
    for sentence in try_binder(stress=3.2, temperature=70, binder="polymer").sentences:
        assert sentence.replace("'", "&#39;") in answer.text
    assert ' style="' not in answer.text


@pytest.mark.parametrize("question", ["stress=99", "temperature=warm", "binder=gold", "stress=%00"])
def test_what_cannot_be_tried_comes_back_as_a_page_that_says_what_can(
    client: TestClient, question: str
) -> None:
    answer = client.get(f"/explain?{question}")
    assert answer.status_code == 400
    assert "is needed" in answer.text
    assert "One push, taken apart" in answer.text


def test_the_script_is_given_the_numbers_python_computes_with(client: TestClient) -> None:
    assert client.get("/explain/model.json").json() == model_to_json()


def test_a_stored_run_is_explained_with_its_own_numbers(workbench: Callable[..., TestClient]) -> None:
    client = workbench()
    with client:
        kept = keep_record(
            client.app.state.record,
            one_person(),
            AT,
            creep_record(),
            "run.csv",
            RecordTold(condition=Condition.SHORT_TERM_AGED),
        )
        run = kept.runs[0]
        lines = {line.quantity: line for line in run.result.value.lines}
        page = client.get(f"/explain?run={run.run.key}").text
        page = page.replace("\N{NO-BREAK SPACE}", " ")
        assert f"The two numbers: R = {lines['percent_recovery_3.2'].value:.1f} %" in page
        assert f'name="run" value="{run.run.key}"' in page
        assert client.get("/explain?run=R-999999").status_code == 404
