"""Long work: told about while it runs, cancelled, seen only by who started it."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.interfaces.web.jobs import Jobs, Progress, jobs_of
from resile.records.register import Actor
from resile.workflows.laboratory.access.permissions import one_person

SOMEBODY = one_person()


def ended(jobs: Jobs, address: str) -> str:
    key = address.rpartition("/")[2]
    jobs._pool.shutdown(wait=True)
    return jobs.state(key, SOMEBODY).state


def test_a_job_tells_how_far_it_is_and_where_its_answer_stands(tmp_path: Path) -> None:
    jobs, seen = Jobs(tmp_path), []

    def work(progress: Progress) -> str:
        progress.step(1, 2, "first")
        seen.append(next(tmp_path.glob("*.json")).read_text())
        return "/samples"

    address = jobs.start(SOMEBODY, "Count", work)
    assert ended(jobs, address) == "done"
    assert '"done":1' in seen[0]
    assert jobs.state(address[6:], SOMEBODY).address == "/samples"


def test_another_process_of_the_workbench_tells_of_the_job_too(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path)
    address = jobs.start(SOMEBODY, "Count", lambda progress: "/samples")
    ended(jobs, address)
    assert Jobs(tmp_path).state(address[6:], SOMEBODY).title == "Count"


def test_a_cancelled_job_stops_at_its_next_step(tmp_path: Path) -> None:
    jobs, go = Jobs(tmp_path), threading.Event()
    done: list[int] = []

    def work(progress: Progress) -> str:
        for place in range(1000):
            progress.step(place, 1000)
            done.append(place)
            go.wait(120)
        return "/"

    address = jobs.start(SOMEBODY, "Count", work)
    jobs.cancel(address[6:], SOMEBODY)
    go.set()
    assert ended(jobs, address) == "cancelled"
    assert len(done) < 1000


def test_a_refusal_is_told_in_its_own_words(tmp_path: Path) -> None:
    def work(progress: Progress) -> str:
        raise InputError("line 3: a number is needed")

    jobs = Jobs(tmp_path)
    address = jobs.start(SOMEBODY, "Count", work)
    assert ended(jobs, address) == "refused"
    assert jobs.state(address[6:], SOMEBODY).words == "line 3: a number is needed"


def test_nobody_else_sees_or_stops_a_job(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path)
    address = jobs.start(SOMEBODY, "Count", lambda progress: "/")
    other = Actor("P-000099", "Another")
    for task in (jobs.state, jobs.cancel):
        with pytest.raises(PermissionRefusedError):
            task(address[6:], other)
    for key in ("../../etc/passwd", "x" * 16):
        with pytest.raises(RecordNotFoundError):
            jobs.state(key, SOMEBODY)


def test_the_page_of_a_job_shows_it_and_leads_to_the_answer(workbench: Callable[..., TestClient]) -> None:
    client = workbench()
    with client:
        go = threading.Event()
        jobs = jobs_of(client.app)

        def work(progress: Progress) -> str:
            progress.step(3, 7, "sample 26-101")
            go.wait(120)
            return "/drop"

        address = jobs.start(SOMEBODY, "Read files", work)
        while "3 of 7" not in client.get(address).text:
            pass
        assert client.get(f"{address}/news").json()["words"] == "sample 26-101"
        assert send(client, f"{address}/cancel").status_code == 303
        go.set()
        jobs._pool.shutdown(wait=True)
        assert client.get(address).headers["location"] == "/drop"
