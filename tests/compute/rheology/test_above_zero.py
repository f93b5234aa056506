"""Numbers that a power or a logarithm cannot take are refused with what they are."""

import math
import tomllib
from pathlib import Path

import pytest

from resile.compute.rheology.above_zero import above_zero
from resile.errors import MeasurementError

FILE = Path(__file__).resolve().parents[2] / "published" / "above_zero.toml"


def test_numbers_above_zero_come_back_as_they_came() -> None:
    for case in tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]:
        assert above_zero(**case["inputs"]).tolist() == case["expected"]


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_a_number_that_has_no_logarithm_is_refused_by_its_name(wrong: float) -> None:
    with pytest.raises(MeasurementError, match="bending beam: every stiffness must be a finite number above"):
        above_zero("bending beam", "stiffness", [300.0, wrong])
