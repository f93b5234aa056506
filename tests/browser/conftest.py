"""A real browser, and the workbench running for it.

``serve`` starts the workbench on a record of its own and gives its address; ``tab`` is a page of the browser
that fails the test where the browser complains (a refused script or style, an error of ours);
``accessibility.assert_accessible`` asks axe-core.
"""

import os
import shutil
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect, sync_playwright

from resile.interfaces.web.app import make_app
from resile.interfaces.web.settings import WorkbenchSettings

PATIENCE_MS = 60_000
"""How long a page is waited for: a busy computer is no fault of the page."""

expect.set_options(timeout=PATIENCE_MS)

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
REQUIRED = os.environ.get("RESILE_REQUIRE_BROWSER") == "1"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The browser of this computer; skipped where there is none, unless one is required.

    For one module at a time: Playwright keeps an event loop running in this thread for as long as it is open,
    and what other tests sign needs one of its own.
    """
    if BROWSER is None:
        if REQUIRED:
            pytest.fail("a browser is required here, and none is installed")
        pytest.skip("no chromium is installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=BROWSER, args=FLAGS)
        yield browser
        browser.close()


Serve = Callable[..., str]
Window = Callable[..., Page]


@contextmanager
def workbench(settings: WorkbenchSettings) -> Iterator[str]:
    """Run a workbench on a free port; gives its address."""
    listening = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(make_app(settings), log_level="warning", ws="none"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{listening.getsockname()[1]}"
    server.should_exit = True
    thread.join(10)
    listening.close()


@pytest.fixture
def serve(tmp_path: Path, bare_file: Path) -> Iterator[Serve]:
    """Start workbenches, each on a free port; settings as arguments; gives the address."""
    shutil.copy(bare_file, tmp_path / "laboratory.db")
    with ExitStack() as running:

        def start(**settings: Any) -> str:
            chosen = WorkbenchSettings(**{"record": str(tmp_path / "laboratory.db"), **settings})
            return running.enter_context(workbench(chosen))

        yield start


@pytest.fixture
def window(chromium: Browser, serve: Serve) -> Iterator[Window]:
    """Open windows, each with cookies of its own; settings of Playwright as arguments; gives a page in it.

    It asks for the workbenches, so that they stop after the windows close: a page that still draws its
    pictures when a test ends is not refused them.
    """
    with ExitStack() as opened:

        def new(**settings: Any) -> Page:
            context = opened.enter_context(chromium.new_context(**{"reduced_motion": "reduce", **settings}))
            context.set_default_timeout(PATIENCE_MS)
            return context.new_page()

        yield new


@pytest.fixture
def tab(window: Window) -> Iterator[Page]:
    """A page; the test fails where the browser refuses or reports something."""
    complaints: list[str] = []
    page = window()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "console",
        lambda message: (
            complaints.append(message.text)
            if message.type == "error" and "the server responded with a status of 4" not in message.text
            else None
        ),
    )
    yield page
    assert complaints == []
