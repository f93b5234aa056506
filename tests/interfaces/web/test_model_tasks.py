"""Models for programs: Python, command line, files sent and runs of the record give the same numbers."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from resile.records.determination import Condition
from resile.records.register import Result, Run, Sample
from resile.workflows.modelling.creep_model import model_creep_record
from resile.workflows.modelling.master_curve import fit_sweeps
from workflows.test_master_curve import write

RunCommand = Callable[..., tuple[int, str, str]]
AT = "2026-03-02T08:00:00.000Z"


def sent(name: str, *files: Path) -> list[tuple[str, tuple[str, bytes]]]:
    return [(name, (file.name, file.read_bytes())) for file in files]


def kept(client: TestClient, file: Path, test: str) -> str:
    with client.app.state.record.writing(by="P-LOCAL", at=AT) as book:  # type: ignore[attr-defined]
        sample = book.keep(Sample(number=file.stem)).key
        run = Run(
            test=test,
            file=book.keep_file(file.read_bytes()),
            file_name=file.name,
            sample=sample,
            condition=Condition.LONG_TERM_AGED,
        )
        key = book.keep(run).key
        book.keep(Result(run=key, sample=sample, software="0.1.0"))
    return str(key)


def of_command(run: RunCommand, *words: object) -> Any:
    code, out, err = run("model", *words, "--json")
    assert code == 0, err
    folders = {str(word.parent) + "/" for word in words if isinstance(word, Path)}
    for folder in folders:
        out = out.replace(folder, "")
    return json.loads(out)


def told(report: Any) -> Any:
    """Give JSON as it comes out at the other end."""
    import orjson

    return orjson.loads(orjson.dumps(report, option=orjson.OPT_SERIALIZE_NUMPY))


def test_a_creep_model_has_the_same_numbers_from_python_command_line_and_web(
    client: TestClient, day: Path, run: RunCommand
) -> None:
    file = day / "101-plain" / "specimen-1.csv"
    command = of_command(run, "creep", file, "--kind", "burgers")
    web = client.post("/api/v1/model/creep", files=sent("files", file), data={"kind": "burgers"})
    assert web.status_code == 200, web.text
    assert web.json() == command
    (of_python,) = told(model_creep_record(file, kind="burgers").to_json())
    assert of_python["parameters"] == command["models"][0]["parameters"]
    of_record = client.get(f"/api/v1/runs/{kept(client, file, 'creep_recovery')}/model?kind=burgers").json()
    assert of_record["models"][0]["parameters"] == command["models"][0]["parameters"]


def test_a_master_curve_has_the_same_numbers_from_python_command_line_and_web(
    client: TestClient, tmp_path: Path, run: RunCommand
) -> None:
    files = [write(tmp_path / "cold.csv", (0.0, 10.0, 20.0)), write(tmp_path / "warm.csv", (30.0, 40.0))]
    command = of_command(run, "sweep", *files, "--join", "--reference-temperature", "25")
    asked = {"join": "true", "reference_c": "25"}
    web = client.post("/api/v1/model/sweep", files=sent("files", *files), data=asked)
    assert web.status_code == 200, web.text
    assert web.json() == command
    one = files[0]
    (of_python,) = told(fit_sweeps([one]).to_json())["curves"]
    of_record = client.get(f"/api/v1/runs/{kept(client, one, 'oscillation')}/master-curve").json()["curves"][
        0
    ]
    for part in ("parameters", "shift_parameters", "follows"):
        assert of_record[part] == of_python[part], part


def test_damage_and_traffic_are_those_of_the_command_line(
    client: TestClient, day: Path, run: RunCommand
) -> None:
    file = day / "301-models" / "amplitude-sweep.csv"
    asked = {"strain": ["2.5", "7"]}
    web = client.post("/api/v1/model/damage", files=sent("file", file), data=asked)
    assert web.json() == of_command(run, "damage", file, "--strain", "2.5", "--strain", "7")
    of_record = client.get(f"/api/v1/runs/{kept(client, file, 'oscillation')}/damage").json()
    assert of_record["sweeps"][0]["laws"]
    roads = day / "roads"
    sites, binders = roads / "sites.csv", roads / "range.csv"
    alone = sites.read_bytes().replace(b"weather/", b"")  # a program sends files, not folders
    files = [
        ("sites", (sites.name, alone)),
        *sent("binders", binders),
        *sent("others", roads / "results.csv", *sorted((roads / "weather").iterdir())),
    ]
    web = client.post("/api/v1/model/traffic", files=files, data={"site": "Harbour road"})
    assert web.status_code == 200, web.text
    command = of_command(run, "traffic", sites, binders, "--site", "Harbour road")
    assert web.json()["binders"] == command["binders"]


def test_what_cannot_be_fitted_is_a_problem_in_one_sentence(client: TestClient, day: Path) -> None:
    file = day / "301-models" / "amplitude-sweep.csv"
    answer = client.post("/api/v1/model/creep", files=sent("files", file))
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    assert "no creep-recovery run is found" in answer.json()["detail"]
