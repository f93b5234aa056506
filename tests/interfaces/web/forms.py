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


def send(client: TestClient, address: str, *, page: str = "/", files: Any = None, **fields: Any) -> Response:
    data = {"csrf": token_of(client, page), **fields}
    return client.post(address, data=data, files=files)
