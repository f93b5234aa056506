"""The workbench, asked in the process of the test."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from anyio.from_thread import start_blocking_portal
from starlette.testclient import TestClient

from resile.interfaces.web.app import make_app
from resile.interfaces.web.settings import WorkbenchSettings
from resile.workflows.demonstration import write_demonstration

NOON = "2026-05-12T10:00:00Z"


@pytest.fixture(scope="session", autouse=True)
def one_loop() -> Iterator[None]:
    """Answer every request in one event loop: a loop and its threads for each took a third of the time."""
    with start_blocking_portal() as portal, pytest.MonkeyPatch.context() as patch:
        patch.setattr(TestClient, "portal", portal)
        yield


@pytest.fixture(scope="session")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the invented day; read only."""
    folder = tmp_path_factory.mktemp("day") / "demo"
    write_demonstration(folder)
    return folder


@pytest.fixture
def workbench(tmp_path: Path, bare_file: Path) -> Iterator[Callable[..., TestClient]]:
    """Start a workbench on a record of its own; settings as arguments."""
    shutil.copy(bare_file, tmp_path / "laboratory.db")
    opened: list[TestClient] = []

    def start(**settings: object) -> TestClient:
        chosen = WorkbenchSettings(**{"record": str(tmp_path / "laboratory.db"), **settings})
        app = make_app(chosen, clock=lambda: NOON)
        base = "https://localhost" if chosen.secure else "http://localhost"
        opened.append(TestClient(app, base_url=base, follow_redirects=False))
        return opened[-1]

    yield start
    for client in opened:
        client.close()


@pytest.fixture
def client(workbench: Callable[..., TestClient]) -> TestClient:
    """A browser without script on the workbench of one person."""
    return workbench()
