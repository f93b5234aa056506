"""The page of the model of a run: the answer, the choice that comes back filled, what it refuses."""

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kept_runs import KeptRuns, creep_files, keep_runs


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list:
    folder: Path = tmp_path_factory.mktemp("demonstration")
    return creep_files(folder)


@pytest.fixture
def kept(client: TestClient, files: list) -> KeptRuns:
    return keep_runs(client.app.state.record, files)  # type: ignore[attr-defined]


def test_the_page_of_a_run_leads_to_its_model_with_answer_findings_and_pictures(
    client: TestClient, kept: KeptRuns
) -> None:
    run = kept.creep[0]
    assert f'href="/runs/{run}/model"' in client.get(f"/runs/{run}").text
    answer = client.get(f"/runs/{run}/model")
    assert answer.status_code == 200
    for words in ("is viscous flow at 0.1 kPa", "Findings</h2>", "Springs and dashpots", "s; compliance"):
        assert words in answer.text
    assert answer.text.count("<figure") == 3


def test_another_kind_is_fitted_and_the_choice_stays(client: TestClient, kept: KeptRuns) -> None:
    text = client.get(f"/runs/{kept.creep[0]}/model?kind=burgers").text
    assert "Burgers model: a spring, a dashpot and 1 Kelvin element" in text
    assert '<option value="burgers" selected>' in text


def test_steps_are_answered_beside_the_model_and_a_wrong_line_comes_back(
    client: TestClient, kept: KeptRuns
) -> None:
    address = f"/runs/{kept.creep[0]}/model"
    asked = {"kind": "burgers", "steps": "0.2 3,2\n5 0"}
    answer = client.get(address, params=asked)
    assert answer.status_code == 200
    assert "After 5.2 s the model answers" in answer.text and "not a measurement" in answer.text
    assert answer.text.count("<figure") == 4
    wrong = client.get(address, params={**asked, "steps": "a push of 3.2"})
    assert wrong.status_code == 422
    assert "steps, line 1" in wrong.text and "a push of 3.2</textarea>" in wrong.text
    assert "no shift is stated" in client.get(address, params={**asked, "steps": "1 3.2 80"}).text


@pytest.mark.parametrize(
    ("typed", "sentence"), [("many", "is no number"), ("12", "12 Kelvin elements found")]
)
def test_a_number_that_cannot_be_comes_back_with_a_sentence(
    client: TestClient, kept: KeptRuns, typed: str, sentence: str
) -> None:
    answer = client.get(f"/runs/{kept.creep[0]}/model?kind=kelvin&elements={typed}")
    assert answer.status_code == 422
    assert sentence in answer.text and f'value="{typed}"' in answer.text


def test_a_run_of_another_test_has_no_such_model(client: TestClient, kept: KeptRuns) -> None:
    answer = client.get(f"/runs/{kept.beam}/model")
    assert answer.status_code == 422
    assert "this model is of pushes and recoveries" in answer.text
