"""A fitted creep model asked about steps: exact cases from the command line, shifts, refusals."""

import csv
import json
import re
from pathlib import Path

import numpy as np
import pytest

from compute.rheology.models.creep_runs import BURGERS, run_of
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement

HOTTER = BurgersModel(0.25, 50.0, (KelvinElement(2.0, 2.0),))
"""The exact Burgers case with both dashpots halved: time runs twice as fast."""


def written(path: Path, binder: BurgersModel, temperature: float) -> None:
    _, (time, stress, strain) = run_of(binder)
    lines = ["time (s),shear stress (kPa),shear strain (-),temperature (°C)"]
    lines += [
        f"{t:.3f},{s:.4f},{e!r},{temperature}"
        for t, s, e in zip(time.tolist(), stress.tolist(), strain.tolist(), strict=True)
    ]
    path.write_text("\n".join(lines), encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("programme")
    written(place / "cold.csv", BURGERS, 60.0)
    written(place / "hot.csv", HOTTER, 66.0)
    (place / "steps.csv").write_text("duration (s);stress (kPa)\n1;0,1\n9;0\n", encoding="utf-8")
    (place / "warm.toml").write_text(
        "[[step]]\nduration_s = 1\nstress_kpa = 3.2\ntemperature_c = 66\n", encoding="utf-8"
    )
    return place


@pytest.fixture
def asked(run, folder: Path):
    """Give a call of the command on the cold record: exit code, output, messages."""

    def call(*words: str):
        named = [folder / word if (folder / word).suffix in (".csv", ".toml") else word for word in words]
        return run("model", "programme", folder / "cold.csv", "--kind", "burgers", *named)

    return call


def test_the_exact_case_is_answered_to_its_printed_digits_and_written_as_a_table(asked, folder: Path) -> None:
    code, text, told = asked("steps.csv", "--json", "--csv", "out.csv")
    assert code == 0 and "written:" in told
    found = json.loads(text)
    # Cycle 1 of the exact Burgers case: strains 0.221673 and 0.200219.
    np.testing.assert_allclose([step["strain"] for step in found["steps"]], [0.221673, 0.200219], atol=5e-7)
    np.testing.assert_allclose(found["steps"][1]["flow_strain"], 0.2, atol=1e-6)
    assert found["standing"].endswith("not a measurement") and found["findings"] == []
    with (folder / "out.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert float(rows[-1]["strain (%)"]) == pytest.approx(20.0219, abs=1e-4)
    last = found["steps"][-1]
    assert last["strain_lower"] <= last["strain"] <= last["strain_upper"]
    assert float(rows[-1]["strain, upper (%)"]) == pytest.approx(100.0 * last["strain_upper"], rel=1e-6)


def test_noise_of_the_record_gives_the_answer_an_interval_in_brackets(run, folder: Path) -> None:
    _, (time, stress, strain) = run_of(BURGERS)
    noisy = strain + 0.02 * np.random.default_rng(1).standard_normal(len(strain))
    lines = ["time (s),shear stress (kPa),shear strain (-),temperature (°C)"]
    lines += [f"{t:.3f},{s:.4f},{e!r},60" for t, s, e in zip(time, stress, noisy.tolist(), strict=True)]
    (folder / "noisy.csv").write_text("\n".join(lines), encoding="utf-8")
    code, text, _ = run("model", "programme", folder / "noisy.csv", folder / "steps.csv", "--kind", "burgers")
    told = " ".join(text.split())
    assert code == 0 and "In brackets" in told
    assert re.search(r"the model answers \S+ % shear strain \(\S+ to \S+ %\), of which", told)


def test_a_second_record_gives_the_shift_and_the_answer_is_that_of_the_hotter_binder(asked) -> None:
    code, text, _ = asked("warm.toml", "--json", "--shift-record", "hot.csv")
    found = json.loads(text)
    assert code == 0 and found["shift"]["kind"] == "two-temperatures"
    # Twice as fast: 1 s at 66 °C is 2 s at 60 °C, by the closed form of the elements.
    expected = 3.2 * (0.02 + 2.0 / 0.5 + 0.5 * (1.0 - np.exp(-1.0)))
    np.testing.assert_allclose(found["steps"][0]["log_shift"], -np.log10(2.0), atol=1e-4)
    np.testing.assert_allclose(found["steps"][0]["strain"], expected, rtol=2e-4)
    assert [one["code"] for one in found["findings"]] == ["programme-one-shift"]


def test_a_stated_slope_is_told_as_extrapolated_and_no_shift_is_refused(asked) -> None:
    _, text, _ = asked("warm.toml", "--json", "--shift-slope", "0.05")
    codes = {one["code"] for one in json.loads(text)["findings"]}
    assert codes == {"programme-one-shift", "programme-temperature-outside"}
    code, _, told = asked("warm.toml")
    assert code == 2 and "no shift is stated" in told


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("duration (s),stress (Pa)\n1,3200\n", "stress in 'Pa' found"),
        ("duration (s),stress (kPa)\n0,3.2\n", "above 0 s is needed"),
        ("duration (s),stress (kPa)\n1,high\n", "stress 'high' found"),
        ("stress (kPa)\n1\n", "no row of headings was found"),
    ],
)
def test_what_are_no_steps_is_refused_with_a_sentence(
    asked, folder: Path, content: str, sentence: str
) -> None:
    (folder / "odd.csv").write_text(content, encoding="utf-8")
    code, _, told = asked("odd.csv")
    assert code == 2 and sentence in told
