"""Send a form as a browser would: with the token of the page it stands on."""

import re
from typing import Any

from httpx import Response
from starlette.testclient import TestClient

TOKEN = re.compile(r'name="csrf" value="([^"]+)"')


def token_of(client: TestClient, page: str = "/") -> str:
    found = TOKEN.search(client.get(page).text)
    assert found, f"no form on {page}"
    return found.group(1)


def send(
    client: TestClient, address: str, /, *, page: str = "/", files: Any = None, **fields: Any
) -> Response:
    data = {"csrf": token_of(client, page), **fields}
    return client.post(address, data=data, files=files)


def wait_for_jobs(client: TestClient) -> None:
    """Wait until the work of a workbench in this process is done: asking all the time would slow it."""
    state = getattr(getattr(client, "app", None), "state", None)
    jobs = getattr(state, "jobs", None)
    if state is not None and jobs is not None:
        jobs._pool.shutdown(wait=True)
        del state.jobs


def answer_of(client: TestClient, started: Response) -> Response:
    """Follow a job from the answer that started it to the page where its own answer stands."""
    assert started.status_code == 303, started.text
    wait_for_jobs(client)
    place = started.headers["location"]
    for _ in range(20_000):
        told = client.get(place)
        if told.status_code == 303:
            return client.get(told.headers["location"])
        assert 'hx-trigger="load' in told.text, told.text
    raise AssertionError(f"{place} has not ended")
