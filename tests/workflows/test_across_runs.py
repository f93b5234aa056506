"""Runs of one file side by side: what the published sweeps hold is told, and what they do not is not."""

from pathlib import Path

import pytest

from resile.workflows.reducing.reduction import Reduction, reduce_records

SWEEPS = (
    Path(__file__).parents[3] / "shared" / "data" / "fhwa_ptf_rutting_mit" / "frequency_sweep_recovered.csv"
)
HEAD = "residue;temperature [°C];angular frequency [rad/s];complex modulus [kPa];phase angle [°]"


def _told(reduction: Reduction, code: str) -> list[str]:
    return [f["message"] for run in reduction.to_json() for f in run["findings"] if f["code"] == code]


@pytest.mark.skipif(not SWEEPS.is_file(), reason="the open data set is not at hand")
def test_the_replicates_of_the_published_sweeps_that_disagree_are_told_once_a_temperature() -> None:
    """FHWA-RUT [read]: lanes 3, 4, 7 and 10 at 58, 70 and 82 °C; lane 7 at 58 °C 23.6, 44.4, 43.2 kPa."""
    (reduction,) = reduce_records([SWEEPS])
    told = _told(reduction, "replicates-far-apart")
    places = sorted({tuple(message.split(":")[0].split(", |G*|/sin δ at ")) for message in told})
    lanes = ("lane 10", "lane 3", "lane 4", "lane 7")
    assert places == [(lane, f"{t} °C") for lane in lanes for t in (58, 70, 82)]
    assert len(told) == len(places)
    others = ("ageing-order-reversed", "temperature-step-odd", "wrong-way-with-temperature")
    assert [code for code in others if _told(reduction, code)] == []


@pytest.mark.skipif(not SWEEPS.is_file(), reason="the open data set is not at hand")
def test_a_run_alone_is_compared_with_nothing(tmp_path: Path) -> None:
    heading, *rows = SWEEPS.read_text(encoding="utf-8").splitlines()
    alone = tmp_path / "alone.csv"
    own = [row for row in rows if row.startswith("7,1,")]
    alone.write_text("\n".join([heading, *own]), encoding="utf-8")
    (reduction,) = reduce_records([alone])
    assert len(reduction.runs) == 1
    assert _told(reduction, "replicates-far-apart") == []


def test_residues_exchanged_in_one_file_are_told(tmp_path: Path) -> None:
    """FHWA-RUT, lane 3, original and residue at 64 and 70 °C [read], under each other's label."""
    rows = (
        "original;64;10;2.777;84.3",
        "original;70;10;1.251;86.1",
        "RTFO;64;10;1.161;87.4",
        "RTFO;70;10;0.550;88.3",
    )
    path = tmp_path / "two.csv"
    path.write_text("\n".join([HEAD, *rows]), encoding="utf-8")
    (reduction,) = reduce_records([path])
    assert reduction.error is None
    assert len(reduction.runs) == 2
    assert len(_told(reduction, "residues-exchanged")) == 2
