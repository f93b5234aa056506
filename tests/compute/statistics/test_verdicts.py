import tomllib
from collections.abc import Callable
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.statistics.verdicts import comparing, deciding, replicates, standards
from resile.errors import MeasurementError
from resile.specifications.load import load_precision

PUBLISHED = Path(__file__).resolve().parents[2] / "published" / "verdicts.toml"
CASES = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["case"]


def known(standard: list[float], freedom: float = np.inf) -> deciding.KnownTo:
    return deciding.KnownTo(np.array(standard), np.full(len(standard), freedom))


def scores(values: list[float], limits: list[float], standard: list[float], **how: Any) -> Any:
    return deciding.conformity_scores(np.array(values), np.array(limits), known(standard), **how)


def probabilities(values: list[float], limits: list[float], standard: list[float], **how: Any) -> Any:
    return deciding.conformity_probabilities(np.array(values), np.array(limits), known(standard), **how)


def outcomes(met: list[bool], scores: list[float], freedom: float = np.inf, **how: Any) -> Any:
    return deciding.outcomes_by_rule(np.array(met), np.array(scores), np.full(len(met), freedom), **how)


def reproducibility(values: list[float], quantity: str) -> Any:
    bands = [band for band in load_precision("t350-2014").bands if band.quantity == quantity]
    return standards.published_standards(values, bands)[1]


FUNCTIONS: dict[str, Callable[..., Any]] = {
    **{name: getattr(comparing, name) for name in ("rounded_values", "limits_met", "margins_to_limits")},
    **{name: getattr(replicates, name) for name in ("replicate_groups", "group_means", "group_spreads")},
    **{name: getattr(standards, name) for name in ("repeatability_of_means", "reproducibility_of_means")},
    "conformity_scores": scores,
    "conformity_probabilities": probabilities,
    "outcomes_by_rule": outcomes,
    "published_standards": reproducibility,
}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_a_cited_case_is_met(case: dict[str, Any]) -> None:
    found = FUNCTIONS[case["function"].rpartition(".")[2]](**case["inputs"])
    assert np.asarray(found, dtype=float) == pytest.approx(np.array(case["expected"]), abs=case["tolerance"])


MODES = {"half-even": ROUND_HALF_EVEN, "half-up": ROUND_HALF_UP}


@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=20),
    st.integers(0, 4),
    st.sampled_from(["half-even", "half-up"]),
    st.booleans(),
)
def test_rounding_an_array_is_rounding_each_decimal(
    values: list[float], decimals: int, rounding: str, to_a_half: bool
) -> None:
    if to_a_half:  # draws hardly ever hit a half, and halves are what goes wrong
        values = [float(f"{value:.{decimals}f}5") for value in values]
    step = Decimal(1).scaleb(-decimals)
    expected = [float(Decimal(repr(value)).quantize(step, rounding=MODES[rounding])) for value in values]
    assert comparing.rounded_values(values, decimals, rounding=rounding).tolist() == expected


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 12)), max_size=30))
def test_replicates_are_grouped_as_if_each_looked_for_the_first_group_near_it(
    drawn: list[tuple[int, int]],
) -> None:
    families = [family for family, _ in drawn]
    temperatures = [np.nan if step == 12 else 64.0 + 0.05 * step for _, step in drawn]
    heads: list[tuple[int, float]] = []
    expected = []
    for family, t in zip(families, temperatures, strict=True):
        near = [
            n
            for n, (f, of) in enumerate(heads)
            if f == family and ((np.isnan(of) and np.isnan(t)) or abs(of - t) <= 0.1 + 1e-9)
        ]
        if not near:
            heads.append((family, t))
        expected.append(near[0] if near else len(heads) - 1)
    found = replicates.replicate_groups(families, temperatures, tolerance_c=0.1)
    assert found.tolist() == expected


@pytest.mark.parametrize(
    "refused",
    [
        lambda: comparing.rounded_values([np.nan], 2, rounding="half-up"),
        lambda: comparing.rounded_values([1.0], 2, rounding="down"),
        lambda: comparing.limits_met([1.0], 1.0, bound="between"),
        lambda: replicates.group_means([1.0], [1]),
        lambda: standards.published_standards([np.inf], []),
        lambda: outcomes([True], [1.0], guard_factor=2.0, states=3),
    ],
)
def test_what_cannot_be_compared_is_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(MeasurementError, match=r"needed|finite|mean"):
        refused()
