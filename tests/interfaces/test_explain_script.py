"""The script of the page computes what Python computes: same numbers, same words, same lines."""

import json
import re
import shutil
import subprocess
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest

from resile.report.explaining.geometry import ladder_x, push_geometry
from resile.workflows.explaining.trying import model_to_json, try_binder

MODEL = (
    Path(__file__).parents[2] / "src" / "resile" / "interfaces" / "web" / "assets" / "explain" / "model.js"
)
NODE = shutil.which("node")
CASES = [
    (binder, stress, temperature)
    for binder in ("plain", "blended", "polymer")
    for stress in (0.1, 0.7, 1.6, 3.2, 6.4, 12.8)
    for temperature in range(52, 77, 3)
]
HARNESS = """
import { ladderX, pushGeometry, threeFigures, tryBinder } from %(model)s;
const [data, cases] = %(given)s;
console.log(JSON.stringify(cases.map(([binder, stress, temperature]) => {
  const trial = tryBinder(data, binder, stress, temperature);
  return {
    ...trial,
    geometry: pushGeometry(trial.push, trial.reference, data.layout),
    ladder: ladderX(trial.deciding.jnr, data.limits, data.layout),
    jnr: threeFigures(trial.push.jnr),
  };
})));
"""


@pytest.fixture(scope="module")
def computed(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    if NODE is None:
        pytest.skip("node is not installed; the browser journey runs the same script")
    script = tmp_path_factory.mktemp("script") / "harness.mjs"
    given = json.dumps([model_to_json(), CASES])
    script.write_text(HARNESS % {"model": json.dumps(MODEL.as_uri()), "given": given}, encoding="utf-8")
    done = subprocess.run([NODE, str(script)], capture_output=True, text=True, check=False, timeout=180)
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def test_numbers_agree_to_one_in_a_thousand_million(computed: list[dict[str, Any]]) -> None:
    for (binder, stress, temperature), script in zip(CASES, computed, strict=True):
        trial = try_binder(binder=binder, stress=stress, temperature=temperature)
        for name in ("push", "reference", "deciding"):
            ours, theirs = asdict(getattr(trial, name)), script[name]
            assert ours.keys() == theirs.keys()
            for key, value in ours.items():
                assert theirs[key] == pytest.approx(value, rel=1e-9, abs=1e-12), (binder, stress, key)


def test_words_and_letters_are_the_same(computed: list[dict[str, Any]]) -> None:
    for (binder, stress, temperature), script in zip(CASES, computed, strict=True):
        trial = try_binder(binder=binder, stress=stress, temperature=temperature)
        assert tuple(script["sentences"]) == trial.sentences
        assert script["letter"] == (asdict(trial.letter) if trial.letter else None)
        assert float(script["jnr"]) == pytest.approx(trial.push.jnr, rel=5.1e-3)


def test_lines_lie_in_the_same_places(computed: list[dict[str, Any]]) -> None:
    number = re.compile(r"-?\d+\.\d+")
    limits = None
    for (binder, stress, temperature), script in zip(CASES, computed, strict=True):
        trial = try_binder(binder=binder, stress=stress, temperature=temperature)
        ours, theirs = asdict(push_geometry(trial.push, trial.reference)), script["geometry"]
        assert ours.keys() == theirs.keys()
        for name in ("curve", "ghost", "leftover", "springing"):
            assert number.sub("#", theirs[name]) == number.sub("#", ours[name])
            places = [list(map(float, number.findall(text))) for text in (theirs[name], ours[name])]
            assert places[0] == pytest.approx(places[1], abs=0.0101)
        assert [words for _, words in theirs["ticks"]] == [words for _, words in ours["ticks"]]
        for name in ("peak_y", "left_y", "floor_y", "back_words_y", "left_words_y", "let_go_x"):
            assert theirs[name] == pytest.approx(ours[name], rel=1e-9)
        limits = limits or _limits()
        assert script["ladder"] == pytest.approx(ladder_x(trial.deciding.jnr, limits), rel=1e-9)


def _limits() -> Any:
    from resile.specifications.load import load_specification
    from resile.workflows.explaining.trying import letter_limits

    return letter_limits(load_specification("m332-2020"))
