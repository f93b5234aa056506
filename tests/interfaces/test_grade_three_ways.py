"""The same grade from Python, the command line and a certificate downloaded from the workbench."""

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from interfaces.web.forms import send
from resile.interfaces.web.app import make_app
from resile.interfaces.web.settings import WorkbenchSettings
from resile.records.register import Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.orders.ordering import report_order
from stored_samples import keep_order, order_file

AT = "2026-05-13T16:00:00.000Z"
JUDGED = (
    "verdicts",
    "grades",
    "classes",
    "reported_class",
    "full_grades",
    "continuous_temperatures",
    "derived",
)


def plain(told: Any) -> Any:
    """Leave out where files lie and which order names them: a laboratory's record has no folders."""
    if isinstance(told, dict):
        return {
            name: (Path(value).name if name == "path" else plain(value))
            for name, value in told.items()
            if name != "findings"
        }
    return [plain(one) for one in told] if isinstance(told, (list, tuple)) else told


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    where = str(tmp_path_factory.mktemp("three") / "laboratory.db")
    record = LaboratoryRecord.open(where)
    keep_order(record, "203-polymer")
    record.close()
    app = make_app(WorkbenchSettings(record=where), clock=lambda: AT)
    return TestClient(app, base_url="http://localhost", follow_redirects=False)


def downloaded(client: TestClient) -> dict[str, Any]:
    with client.app.state.record.reading() as reading:
        key = reading.find(Sample, number="203")[0].key
    assert send(client, f"/samples/{key}/grade", page=f"/samples/{key}/grade").status_code == 303
    draft = send(client, f"/samples/{key}/statements", page=f"/samples/{key}/grade").headers["location"]
    assert send(client, f"{draft}/release", page=draft).status_code == 303
    return json.loads(client.get(f"{draft}/pages/203-1.json").content)


def test_a_whole_grade_is_the_same_from_python_command_line_and_workbench(client: TestClient, run) -> None:
    order = order_file("203-polymer")
    python = json.loads(json.dumps(report_order(order, date=AT[:10]).to_json()))
    _, out, _ = run("report", order, "--json")
    command = json.loads(out)
    command = command["reports"][0] if "reports" in command else command
    web = downloaded(client)
    assert python["full_grades"], "nothing was graded"
    for name in JUDGED:
        assert plain(python[name]) == plain(command[name]) == plain(web[name]), name
    assert plain(python["results"]) == plain(command["results"]) == plain(web["results"])
