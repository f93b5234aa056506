"""Laws of studies, robust means, components of variance and own precision."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.components.crossed import crossed_components
from resile.compute.statistics.components.nested import nested_components
from resile.compute.statistics.interlaboratory.robust import algorithm_a
from resile.compute.statistics.interlaboratory.study import material_statistics
from resile.compute.statistics.own.duplicates import deviation_interval, pooled_deviation
from resile.errors import MeasurementError
from resile.records.laboratories import MaterialStatistics

FACTOR = st.floats(0.01, 1000.0)
SEED = st.integers(0, 2**32 - 1)
NUMBERS = ("repeatability", "reproducibility", "repeatability_limit", "cell_mean_deviation")
RATIOS = ("cochran", "h_critical", "k_critical", "grubbs_high")


def cells(seed: int, laboratories: int = 7, replicates: int = 3) -> list[list[float]]:
    rng = np.random.default_rng(seed)
    means = rng.normal(10.0, 1.0, laboratories)
    return [list(rng.normal(mean, 0.5, replicates)) for mean in means]


def numbers_of(found: MaterialStatistics, names: tuple[str, ...]) -> list[float]:
    return [float(getattr(found, name)) for name in names]


@settings(max_examples=25, deadline=None)
@given(SEED, FACTOR)
def test_precision_goes_with_the_unit_and_consistency_does_not(seed: int, factor: float) -> None:
    one = material_statistics(cells(seed))
    other = material_statistics([[factor * x for x in cell] for cell in cells(seed)])
    assert numbers_of(other, NUMBERS) == pytest.approx(
        [factor * x for x in numbers_of(one, NUMBERS)], rel=1e-9
    )
    assert numbers_of(other, RATIOS) == pytest.approx(numbers_of(one, RATIOS), rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(SEED)
def test_neither_the_order_of_laboratories_nor_that_of_replicates_matters(seed: int) -> None:
    given_cells = cells(seed)
    order = np.random.default_rng(seed).permutation(len(given_cells))
    one = material_statistics(given_cells)
    other = material_statistics(
        [given_cells[place][::-1] for place in order], laboratories=[str(place + 1) for place in order]
    )
    assert numbers_of(other, NUMBERS) == pytest.approx(numbers_of(one, NUMBERS), rel=1e-12)
    h_of = {cell.laboratory: cell.h for cell in one.cells}
    assert [cell.h for cell in other.cells] == pytest.approx([h_of[cell.laboratory] for cell in other.cells])


@settings(max_examples=25, deadline=None)
@given(SEED, st.lists(st.integers(1, 4), min_size=4, max_size=8))
def test_reproducibility_is_never_below_repeatability_even_for_unequal_cells(
    seed: int, counts: list[int]
) -> None:
    rng = np.random.default_rng(seed)
    found = material_statistics([list(rng.normal(5.0, 1.0, count)) for count in [2, *counts]])
    assert found.reproducibility >= found.repeatability
    assert found.between_laboratories >= 0.0


def test_a_balanced_study_of_unequal_formulas_is_that_of_the_equal_ones() -> None:
    given_cells = cells(3)
    found = material_statistics(given_cells)
    means = np.array([np.mean(cell) for cell in given_cells])
    sr2 = np.mean([np.var(cell, ddof=1) for cell in given_cells])
    raw = np.sqrt(np.var(means, ddof=1) + sr2 * 2.0 / 3.0)  # ASTM E691: sx^2 + sr^2 (n - 1)/n
    assert found.reproducibility_raw == pytest.approx(raw, rel=1e-12)


def test_a_study_without_replicates_is_refused_in_a_sentence() -> None:
    with pytest.raises(MeasurementError, match="no laboratory has two results"):
        material_statistics([[1.0], [2.0], [3.0]])


@settings(max_examples=25, deadline=None)
@given(SEED, FACTOR, st.floats(-100.0, 100.0))
def test_a_robust_mean_goes_with_unit_and_zero_and_forgets_the_order(
    seed: int, factor: float, shift: float
) -> None:
    values = np.random.default_rng(seed).normal(0.0, 1.0, 12)
    one, other = algorithm_a(values), algorithm_a(factor * values[::-1] + shift)
    assert other.location == pytest.approx(factor * one.location + shift, rel=1e-6, abs=1e-6 * factor)
    assert other.scale == pytest.approx(factor * one.scale, rel=1e-6)


def test_one_wild_result_moves_the_robust_mean_little_however_wild_it_is() -> None:
    values = np.arange(11.0)
    near, far = algorithm_a([*values, 50.0]), algorithm_a([*values, 5e6])
    assert far.location == pytest.approx(near.location, abs=1e-6)
    assert far.pulled_in == (11,)


def test_equal_results_have_no_scatter() -> None:
    found = algorithm_a([2.0, 2.0, 2.0, 2.0])
    assert (found.location, found.scale, found.converged) == (2.0, 0.0, True)


def test_a_nested_design_of_one_factor_is_the_crossed_one_without_the_other() -> None:
    rng = np.random.default_rng(8)
    rows = [(a, b, k) for a in "pqr" for b in "uvwx" for k in range(2)]
    values = rng.normal(0.0, 1.0, len(rows))
    crossed = crossed_components(values, [("a", [r[0] for r in rows]), ("b", [r[1] for r in rows])])
    nested = nested_components(values, [("a", [r[0] for r in rows]), ("b", [r[1] for r in rows])])
    # What b and its interaction take together in the crossed design is b within a in the nested one.
    together = sum(line.sum_of_squares for line in crossed.lines[1:3])
    assert nested.lines[1].sum_of_squares == pytest.approx(together, rel=1e-10)
    assert nested.lines[0].sum_of_squares == pytest.approx(crossed.lines[0].sum_of_squares, rel=1e-10)
    assert nested.lines[2].sum_of_squares == pytest.approx(crossed.lines[3].sum_of_squares, rel=1e-10)


@settings(max_examples=15, deadline=None)
@given(SEED, FACTOR)
def test_components_go_with_the_square_of_the_unit_whatever_the_names_of_levels(
    seed: int, factor: float
) -> None:
    rng = np.random.default_rng(seed)
    labels = [f"{name}{place}" for name in "abcd" for place in range(3)]
    operator = [label[0] for label in labels for _ in range(2)]
    day = [label for label in labels for _ in range(2)]
    values = rng.normal(0.0, 1.0, len(day))
    one = nested_components(values, [("operator", operator), ("day", day)])
    other = nested_components(
        factor * values,
        [("operator", [name.upper() for name in operator]), ("day", [name[1] for name in day])],
    )
    expected = [factor**2 * part.variance_raw for part in one.components]
    assert [part.variance_raw for part in other.components] == pytest.approx(
        expected, rel=1e-6, abs=1e-9 * factor**2
    )


def test_unequal_combinations_are_refused_for_a_crossed_design() -> None:
    with pytest.raises(MeasurementError, match="found 0 to 2"):
        crossed_components([1.0, 2.0, 3.0, 4.0], [("a", list("ppqq")), ("b", list("uuuv"))])


def covered(seeds: int, rng: np.random.Generator) -> tuple[float, float, float]:
    inside = np.zeros(3)
    operator = [name for name in "abcdefgh" for _ in range(4)]
    for _ in range(seeds):
        values = np.repeat(rng.normal(0.0, 1.0, 8), 4) + rng.normal(0.0, 0.7, 32)
        found = nested_components(values, [("operator", operator)])
        for place, truth in enumerate((1.0, 0.7)):
            part = found.components[place]
            assert part.lower is not None
            inside[place] += part.lower <= truth <= (part.upper or np.inf)
        pooled = pooled_deviation([values[at : at + 4] for at in range(0, 32, 4)])
        low, high = deviation_interval(*pooled)
        inside[2] += low <= 0.7 <= high
    return tuple(inside / seeds)  # type: ignore[return-value]


def test_intervals_of_components_cover_the_truth_as_often_as_they_say() -> None:
    # 300 studies: 0.95 within three standard errors; Williams and Tukey may cover a little more.
    between, within, pooled = covered(300, np.random.default_rng(20))
    assert between >= 0.912
    assert 0.912 <= within <= 0.988
    assert 0.912 <= pooled <= 0.988


@pytest.mark.nightly
def test_intervals_of_components_cover_the_truth_over_many_studies() -> None:
    between, within, pooled = covered(6000, np.random.default_rng(21))
    assert 0.941 <= between <= 0.975
    assert within == pytest.approx(0.95, abs=0.0085)
    assert pooled == pytest.approx(0.95, abs=0.0085)


@pytest.mark.nightly
def test_critical_values_are_exceeded_as_often_as_they_say() -> None:
    rng = np.random.default_rng(22)
    h_beyond = k_beyond = cells_seen = cochran_beyond = 0
    for _ in range(4000):
        found = material_statistics(list(rng.normal(0.0, 1.0, (8, 3))))
        h_beyond += sum(cell.h_beyond for cell in found.cells)
        k_beyond += sum(cell.k_beyond for cell in found.cells)
        cochran_beyond += found.cochran is not None and found.cochran > (found.cochran_critical or 1.0)
        cells_seen += len(found.cells)
    assert h_beyond / cells_seen == pytest.approx(0.005, abs=0.0013)
    assert k_beyond / cells_seen == pytest.approx(0.005, abs=0.0013)
    assert cochran_beyond / 4000 == pytest.approx(0.05, abs=0.011)
