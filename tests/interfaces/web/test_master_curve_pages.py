"""The pages of master curves: of one sweep, of all sweeps of a sample, and what they refuse."""

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kept_runs import AT, BEAM
from resile.records.determination import Condition
from resile.records.register import Result, Run, Sample
from workflows.test_master_curve import write

ONE_FREQUENCY = "\n".join(
    (
        "Temperature (°C);Frequency (rad/s);Complex modulus (kPa);Phase angle (°)",
        "58;10;3.1;82",
        "64;10;1.5;84",
    )
).encode()


@pytest.fixture
def kept(client: TestClient, tmp_path: Path) -> dict[str, str]:
    """A sample with two sweeps of one residue (two plates), a test at one frequency, and a beam."""
    files = {
        "cold": (write(tmp_path / "cold.csv", (0.0, 10.0, 20.0)).read_bytes(), "oscillation"),
        "warm": (write(tmp_path / "warm.csv", (30.0, 40.0)).read_bytes(), "oscillation"),
        "slow": (ONE_FREQUENCY, "oscillation"),
        "beam": (BEAM, "bending_beam"),
    }
    keys = {}
    with client.app.state.record.writing(by="P-LOCAL", at=AT) as book:  # type: ignore[attr-defined]
        keys["sample"] = book.keep(Sample(number="2026-201")).key
        keys["empty"] = book.keep(Sample(number="2026-202")).key
        for name, (content, test) in files.items():
            run = Run(
                test=test,
                file=book.keep_file(content),
                file_name=f"{name}.csv",
                sample=keys["sample"],
                condition=Condition.ORIGINAL,
            )
            keys[name] = book.keep(run).key
            book.keep(Result(run=keys[name], sample=keys["sample"], software="0.1.0"))
    return keys


def test_a_sweep_leads_to_its_curve_and_the_choice_stays(client: TestClient, kept: dict[str, str]) -> None:
    address = f"/runs/{kept['cold']}/master-curve"
    assert f'href="{address}"' in client.get(f"/runs/{kept['cold']}").text
    answer = client.get(f"{address}?shape=CAM&shift=free&reference=20")
    assert answer.status_code == 200
    for words in ("CAM with free shifts at 20", "rheological index R", "Residuals by isotherm"):
        assert words in answer.text
    assert '<option value="CAM" selected>' in answer.text and 'value="20"' in answer.text
    assert answer.text.count('<figure class="chart"') >= 4  # what follows from the curve is drawn below it


def test_a_test_at_one_frequency_leads_to_no_curve(client: TestClient, kept: dict[str, str]) -> None:
    assert f"/runs/{kept['slow']}/rows" in client.get(f"/runs/{kept['slow']}").text
    assert "/master-curve" not in client.get(f"/runs/{kept['slow']}").text


def test_sweeps_of_one_residue_of_a_sample_make_one_curve(client: TestClient, kept: dict[str, str]) -> None:
    sample = kept["sample"]
    assert f'href="/samples/{sample}/models"' in client.get(f"/samples/{sample}").text
    text = client.get(f"/samples/{sample}/models?reference=20").text
    assert "2 sweeps joined" in text
    assert "2.100 (2.100 to 2.100)" in text
    for words in ("Read from the curve", "A beam, estimated from shear", "Relaxation spectrum"):
        assert words in text
    assert "No frequency sweep on this sample yet" in client.get(f"/samples/{kept['empty']}/models").text


@pytest.mark.parametrize(
    ("name", "question", "sentence"),
    [
        ("warm", "", "shift WLF needs 3"),
        ("cold", "?reference=warm", "is no number"),
        ("cold", "?shape=sigmoid", "CA, CAM or 2S2P1D is needed"),
        ("beam", "", "no oscillation test"),
    ],
)
def test_what_cannot_be_fitted_is_said(
    client: TestClient, kept: dict[str, str], name: str, question: str, sentence: str
) -> None:
    answer = client.get(f"/runs/{kept[name]}/master-curve{question}")
    assert answer.status_code == 422
    assert sentence in answer.text
