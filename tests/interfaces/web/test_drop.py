"""Record files go in through pages: without script, by script, fixed, attached, refused."""

import re

import pytest
from starlette.testclient import TestClient

from bench_files import OSCILLATION, SHORT_TERM, creep_record
from interfaces.web.forms import send
from resile.interfaces.web.jobs import jobs_of

STRANGE = ("q1", "q2", "q3", "q4")
NAMED = {
    "quantity-1": "time_s", "unit-1": "s", "quantity-2": "stress_kpa", "unit-2": "kPa",
    "quantity-3": "strain", "unit-3": "%", "quantity-4": "temperature_c", "unit-4": "°C",
}  # fmt: skip


def dropped(client: TestClient, data: bytes, name: str = "run.csv", **fields: str) -> str:
    answer = send(client, "/drop", page="/drop", files={"files": (name, data)}, **fields)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_a_file_is_kept_and_its_findings_stand_before_its_numbers(client: TestClient) -> None:
    page = client.get(dropped(client, creep_record())).text
    assert "is kept: 1 run" in page
    assert "Creep recovery" in page
    assert page.index('class="findings"' if 'class="findings"' in page else "No finding") < page.index(
        "Numbers"
    )
    assert "How it was read" in page
    assert "<svg" in page or "data:image/svg" in page
    assert "Which sample is it?" in page


def test_the_same_file_again_is_told(client: TestClient) -> None:
    first = dropped(client, creep_record())
    assert dropped(client, creep_record(), "again.csv") == first
    assert "kept already" in client.get(first).text


def test_a_file_is_attached_to_a_new_sample_and_the_two_results_are_compared(client: TestClient) -> None:
    where = dropped(client, creep_record(1))
    told = {"specimen": "1", "condition": "short_term_aged", "operator": "R. Ohm"}
    answer = send(client, f"{where}/attach", page=where, sample="26-101", new="yes", **told)
    assert answer.status_code == 303
    assert "26-101" in client.get(where).text
    other = dropped(client, creep_record(2), "second.csv", sample="26-101", **{**told, "specimen": "2"})
    page = client.get(other).text
    assert "Repeatability limit" in page
    assert "agree" in page


def test_a_second_creep_recovery_run_on_a_specimen_is_refused_and_the_form_comes_back_filled(
    client: TestClient,
) -> None:
    told = {"specimen": "1", "condition": "short_term_aged"}
    where = dropped(client, creep_record(1))
    send(client, f"{where}/attach", page=where, sample="26-101", new="yes", **told)
    second = dropped(client, creep_record(2))
    answer = send(client, f"{second}/attach", page=second, sample="26-101", note="", **told)
    assert answer.status_code == 409
    assert "a specimen serves one run" in answer.text
    assert 'value="26-101"' in answer.text


def test_a_file_nobody_can_read_is_kept_its_columns_named_and_the_next_one_read_at_once(
    client: TestClient,
) -> None:
    where = dropped(client, creep_record(headings=STRANGE))
    assert "kept byte for byte" in client.get(where).text
    columns = f"{where}/columns"
    page = client.get(columns).text
    assert "q3" in page
    preview = send(client, columns, page=columns, do="preview", **NAMED)
    assert "Read this way: creep recovery" in preview.text
    assert 'value="strain" data-units="%;‰;ratio" selected' in preview.text
    assert send(client, columns, page=columns, do="keep", name="Rheometer 2", **NAMED).status_code == 303
    assert "Numbers" in client.get(where).text
    assert (
        "read by the layout &#39;Rheometer 2&#39;"
        in client.get(dropped(client, creep_record(9, headings=STRANGE), "next.csv")).text
    )


def test_a_reading_that_cannot_be_is_refused_and_nothing_typed_is_lost(client: TestClient) -> None:
    where = dropped(client, creep_record(headings=STRANGE))
    answer = send(client, f"{where}/columns", page=where, do="keep", **{**NAMED, "heading_row": "first"})
    assert answer.status_code == 422
    assert "first" in answer.text
    assert 'value="first"' in answer.text


def test_many_files_are_kept_in_the_background(client: TestClient) -> None:
    files = [("files", (f"{seed}.csv", creep_record(seed))) for seed in (1, 2)]
    with client:
        answer = send(client, "/drop", page="/drop", files=[*files, ("files", ("ageing.toml", SHORT_TERM))])
        job = answer.headers["location"]
        assert job.startswith("/jobs/")
        jobs_of(client.app)._pool.shutdown(wait=True)
        assert client.get(job).headers["location"] == "/drop"
        page = client.get("/drop").text
    for name in ("1.csv", "2.csv", "ageing.toml"):
        assert name in page


def test_a_script_is_answered_with_what_was_made_of_the_file(client: TestClient) -> None:
    token = {"x-csrf": client.get("/drop").text.split('name="csrf" value="')[1].split('"')[0]}
    headers = {"accept": "application/json", **token}
    told = client.post("/drop", files={"files": ("sweep.csv", OSCILLATION)}, headers=headers).json()
    assert told["address"].startswith("/drop/")
    refused = client.post("/drop", files={"files": ("empty.csv", b"")}, headers=headers)
    assert refused.status_code == 422
    assert "empty" in refused.json()["refused"]


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("setup.exe", b"MZ\x90\x00" + bytes(range(256)) * 8, "Nothing was kept"),
        ("huge.csv", b"1;2;3\n" * 10_000_000, "60.0 MB is too large; a record file has at most 50 MB"),
        ("empty.csv", b"", "the file is empty"),
    ],
)
def test_what_is_no_record_is_refused_with_a_sentence(
    client: TestClient, name: str, data: bytes, told: str
) -> None:
    answer = send(client, "/drop", page="/drop", files={"files": (name, data)}, operator="R. Ohm")
    assert answer.status_code == 422
    assert told in answer.text
    assert "R. Ohm" in answer.text


def test_a_file_name_cannot_become_markup(client: TestClient) -> None:
    where = dropped(client, creep_record(), "<img src=x onerror=alert(1)>.csv")
    for page in (where, f"{where}/columns", "/drop"):
        assert "<img src=x" not in client.get(page).text


def test_who_tested_is_remembered_for_the_next_file_but_never_its_residue(client: TestClient) -> None:
    dropped(client, creep_record(), operator="R. Ohm", condition="short_term_aged")
    page = client.get("/drop").text
    assert 'value="R. Ohm"' in page
    assert 'value="unknown" selected' in page


STATED = b"sample;26-101\nresidue;PAV\n\n"
TABLE = b"sample,condition,temperature_c,quantity,value,unit\n26-101,original,,flash_point,288,\xc2\xb0C\n"


def test_the_residue_is_the_one_the_file_states_unless_a_person_says_another(client: TestClient) -> None:
    send(client, "/samples/new", page="/samples/new", number="26-101")
    where = dropped(client, STATED + creep_record(), "one.csv", sample="26-101")
    assert "long-term aged" in client.get(where).text
    where = dropped(client, creep_record(2), "two.csv", sample="26-101")
    page = client.get(where).text
    assert "Its residue is not said, so it will not be judged." in page
    correct = re.search(r"/runs/R-\d+/correct", page)[0]
    told = {"sample": "26-101", "condition": "short_term_aged", "seen": "1"}
    refused = send(client, correct, page=correct, **told)
    assert refused.status_code == 422
    assert "reason" in refused.text.partition('role="alert"')[2].partition("</p>")[0]
    answer = send(client, correct, page=correct, reason="it was not said", **told)
    assert answer.status_code == 303
    assert "short-term aged" in client.get(where).text


def test_a_table_of_results_is_kept_told_line_by_line_and_bound_to_the_sample_it_names(
    client: TestClient,
) -> None:
    for number in ("26-101", "26-102"):
        send(client, "/samples/new", page="/samples/new", number=number)
    wrong = send(client, "/drop", page="/drop", files={"files": ("t.csv", TABLE)}, sample="26-102")
    assert wrong.status_code == 422
    assert "holds results of 26-101" in wrong.text
    where = dropped(client, TABLE, "t.csv", sample="26-101")
    page = client.get(where).text
    assert "t.csv is kept: 1 result." in page
    assert "line 2, original binder" in page
    run = client.get("/runs/R-000001")
    assert run.headers["location"] == where


def test_samples_are_found_while_typing(client: TestClient) -> None:
    where = dropped(client, creep_record())
    send(client, f"{where}/attach", page=where, sample="26-101", new="yes", condition="original")
    assert 'value="26-101"' in client.get("/drop/samples?sample=26").text
    assert client.get("/drop/samples?sample=zz").text.strip() == ""
