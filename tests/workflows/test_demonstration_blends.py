"""The invented blends: the trials tell of the planted truth, and the truth behaves as binders do."""

import numpy as np
import pytest

from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import Response
from resile.records.determination import Condition
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.blends import (
    CONCENTRATE,
    HARD,
    SOFT,
    draw_batches,
    planted_properties,
    true_values,
)

JNR = Response("jnr_3.2", Condition.SHORT_TERM_AGED, 64.0)
RECOVERY = Response("percent_recovery_3.2", Condition.SHORT_TERM_AGED, 64.0)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> BlendBook:
    folder = tmp_path_factory.mktemp("blends")
    write_demonstration(folder)
    return read_blend_book(folder / "blends" / "book.toml")


def recipe(hard: float, concentrate: float) -> dict[str, float]:
    return {SOFT: 100.0 - hard - concentrate, HARD: hard, CONCENTRATE: concentrate}


def test_the_book_is_read_without_a_doubt_and_says_that_it_is_invented(book: BlendBook) -> None:
    assert (book.invented, book.findings, len(book.trials)) == (True, (), 12)
    assert any("invented" in remark for remark in book.remarks)


def test_every_result_lies_within_the_stated_scatter_of_the_truth(book: BlendBook) -> None:
    scaled = []
    for trial in book.trials:
        for planted in planted_properties():
            found = [
                d.value
                for d in trial.determinations
                if (d.quantity, d.condition, d.temperature_c)
                == (planted.response.quantity, planted.response.condition, planted.response.temperature_c)
            ]
            if not found or found[0] is None:
                continue
            value = np.log(found[0]) if planted.values["scale"] == "logarithm" else found[0]
            spread = np.hypot(planted.values["batch"], planted.values["test"])
            scaled.append((value - planted.mean(trial.percent)) / spread)
    assert len(scaled) == 12 * 14 - 2
    assert np.max(np.abs(scaled)) < 4.0
    assert np.std(scaled) == pytest.approx(1.0, abs=0.15)


def test_the_truth_keeps_the_rules_of_thumb_of_the_trade() -> None:
    """From memory: R3.2 below 15 % under 2 % SBS, above 50 % over 3.5 %; Jnr halves by 6 °C."""
    assert true_values(recipe(30, 100 * 2.0 / 12))[RECOVERY] < 15.0
    assert true_values(recipe(30, 100 * 4.0 / 12))[RECOVERY] > 50.0
    one_percent = true_values(recipe(30, 25))[JNR] / true_values(recipe(30, 25 + 100 / 12))[JNR]
    assert 0.45 ** (-4.0 / 6.0) * 0.8 < one_percent < 0.45 ** (-6.0 / 6.0)


@pytest.mark.parametrize("concentrate", [0.0, 15.0, 35.0])
def test_more_of_the_harder_base_lowers_the_compliance_and_stiffens_the_cold_end(concentrate: float) -> None:
    values = [true_values(recipe(hard, concentrate)) for hard in (0.0, 20.0, 40.0, 60.0)]
    stiffness = Response("creep_stiffness", Condition.LONG_TERM_AGED, -18.0)

    assert np.all(np.diff([v[JNR] for v in values]) < 0.0)
    assert np.all(np.diff([v[stiffness] for v in values]) > 0.0)


def test_batches_of_a_recipe_scatter_about_its_true_values() -> None:
    drawn = draw_batches(recipe(30, 25), 4000, np.random.default_rng(1))

    for response, true in true_values(recipe(30, 25)).items():
        assert np.median(drawn[response]) == pytest.approx(true, rel=0.02, abs=0.05)
