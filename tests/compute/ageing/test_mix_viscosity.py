"""Viscosity after mixing: cited arithmetic, order, and what is refused."""

import tomllib
from pathlib import Path

import pytest

from resile.compute.ageing.mix_viscosity import mix_viscosity
from resile.errors import MeasurementError

FILE = Path(__file__).resolve().parents[2] / "published" / "ageing.toml"
CASES = [
    case
    for case in tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]
    if case["function"].endswith("mix_viscosity")
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_cited_case_comes_out(case: dict[str, float]) -> None:
    assert float(mix_viscosity(**case["inputs"])) == pytest.approx(case["expected"], abs=case["tolerance"])  # type: ignore[arg-type]


def test_a_poorer_resistance_hardens_more_and_none_softens() -> None:
    found = [float(mix_viscosity(100.0, hardening_code=code)) for code in (-1, 0, 1, 2)]
    assert found == sorted(found)
    assert found[0] > 100.0


@pytest.mark.parametrize(("viscosity", "code"), [(0.01, 0), (float("nan"), 0), (100.0, 3)])
def test_beyond_its_range_it_is_refused(viscosity: float, code: int) -> None:
    with pytest.raises(MeasurementError):
        mix_viscosity(viscosity, hardening_code=code)
