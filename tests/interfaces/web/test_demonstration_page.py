"""The invented laboratory is loaded by one click, into an empty record alone."""

from starlette.testclient import TestClient

from interfaces.web.forms import send
from resile.interfaces.web.jobs import jobs_of


def test_an_empty_record_offers_it_and_the_button_leads_to_its_progress_which_can_be_stopped(
    client: TestClient,
) -> None:
    assert "Load the invented laboratory" in client.get("/").text
    answer = send(client, "/demonstration", page="/")
    job = answer.headers["location"]
    assert job.startswith("/jobs/")
    send(client, f"{job}/cancel", page=job)
    jobs_of(client.app)._pool.shutdown(wait=True)
    page = client.get(job).text
    assert "Stopped" in page
    assert "Go on" in page


def test_a_record_that_holds_samples_is_refused_before_anything_begins(client: TestClient) -> None:
    send(client, "/samples/new", page="/samples/new", number="26-101")
    answer = send(client, "/demonstration", page="/samples/new")
    assert answer.status_code == 409
    assert "invented and real work are never mixed" in answer.text
    assert "Load the invented laboratory" not in client.get("/").text


def test_it_is_not_loaded_by_a_foreign_form(client: TestClient) -> None:
    assert client.post("/demonstration").status_code == 403
