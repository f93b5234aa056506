"""The files that come with the pages."""

import hashlib
import re
import tomllib
from pathlib import Path

from starlette.testclient import TestClient

import resile.interfaces.web as web

VENDOR = Path(web.__file__).parent / "assets" / "vendor"
KNOWN = tomllib.loads((VENDOR / "versions.toml").read_text(encoding="utf-8"))["file"]


def test_every_library_is_the_file_it_says_it_is_and_brings_its_licence() -> None:
    for one in KNOWN:
        content = (VENDOR / one["name"]).read_bytes()
        assert hashlib.sha256(content).hexdigest() == one["sha256"], one["name"]
        assert (VENDOR / one["licence_file"]).read_text(encoding="utf-8").strip()


def test_no_library_is_there_without_a_line_about_it() -> None:
    assert {path.name for path in VENDOR.glob("*.js")} == {one["name"] for one in KNOWN}
    notice = (VENDOR / "NOTICE.md").read_text(encoding="utf-8")
    assert all(one["name"] in notice for one in KNOWN)


def test_every_file_a_page_or_style_names_is_there_and_kept_for_long(client: TestClient) -> None:
    page = client.get("/").text
    style = re.search(r'"([^"]+\.css)"', page)
    assert style
    named = set(re.findall(r'(?:src|href)="(/assets/[^"]+)"', page))
    folder = style.group(1).rsplit("/", 1)[0]
    named |= {f"{folder}/{one}" for one in re.findall(r'url\("([^"]+)"\)', client.get(style.group(1)).text)}
    assert len(named) > 5
    for address in named:
        answer = client.get(address)
        assert answer.status_code == 200, address
        assert "immutable" in answer.headers["cache-control"]
        assert "set-cookie" not in answer.headers


def test_a_file_under_an_old_address_is_not_kept(client: TestClient) -> None:
    assert client.get("/assets/old/workbench.css").headers["cache-control"] == "no-cache"


def test_pages_are_not_kept_by_browsers(client: TestClient) -> None:
    assert client.get("/").headers["cache-control"] == "no-store"


def test_a_page_asks_for_nothing_from_elsewhere(client: TestClient) -> None:
    page = client.get("/").text
    assert not re.findall(r'(?:src|href|action)="(?!/|#|data:)[^"]*"', page)
