"""Whether recipes keep what is promised: the planted truth is asked, once in the suite, hundreds at night."""

import io
import re
from pathlib import Path

import numpy as np
import pypdf
import pytest
from scipy.special import stdtrit

from planted_blends import (
    EIGHT,
    Kept,
    Truth,
    drawn_book,
    kept_by_truth,
    key_of,
    varied_aim,
)
from resile.compute.blending.surfaces.predicted_surface import predict_surface
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.report.page import pdf_of_page
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.blending.shown import DesignAnswer
from resile.workflows.blending.task import design_book
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.blends import CONCENTRATE, HARD, SOFT, draw_batches

BOOKS = 60
"""Books drawn for each case at night: the mean of a probability is then known to about a point."""


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("blends")
    write_demonstration(folder)
    return folder / "blends" / "book.toml"


@pytest.fixture(scope="module")
def book(path: Path) -> BlendBook:
    return read_blend_book(path)


@pytest.fixture(scope="module")
def answer(path: Path) -> DesignAnswer:
    return design_book(path)


def test_base_hard_base_and_concentrate_with_a_dozen_trials_give_a_sure_recipe_for_a_heavy_road(
    answer: DesignAnswer,
) -> None:
    book, chosen = answer.design.book, answer.design.chosen
    assert ([one.name for one in book.components], len(book.trials)) == ([SOFT, HARD, CONCENTRATE], 12)
    assert (book.aim.specification, answer.design.grade, book.aim.site) == (
        "m332-2014",
        "PG 64H-28",
        "Coast road",
    )
    assert chosen is not None and (chosen.probability or 0.0) >= 0.95 and chosen.untested == ()


def test_batches_of_the_planted_truth_keep_the_whole_grade_as_often_as_the_recipe_promises(
    answer: DesignAnswer,
) -> None:
    chosen, draws = answer.design.chosen, 4000
    assert chosen is not None
    for percent, promised in (
        (chosen.percent, chosen.probability),
        ({line.component: line.percent for line in chosen.batch}, chosen.batch_probability),
    ):
        drawn = {
            key_of(one): values
            for one, values in draw_batches(percent, draws, np.random.default_rng(64)).items()
        }
        kept = np.ones(draws, dtype=bool)
        for limit in answer.design.limits:
            values = drawn[key_of(limit.response)]
            size = np.abs(values) if limit.absolute else values
            kept &= size <= limit.value if limit.bound == "maximum" else size >= limit.value
        assert promised is not None and promised >= 0.95
        assert kept.mean() >= promised - 3.0 * np.sqrt(promised * (1.0 - promised) / draws)


def test_the_next_trial_is_named_with_its_tests(answer: DesignAnswer) -> None:
    (trial,) = next_trials(answer.design.book, count=1)
    assert sum(trial.percent.values()) == pytest.approx(100.0)
    assert set(trial.tests) <= {limit.title for limit in answer.design.limits}
    assert len(trial.tests) == len({limit.response for limit in answer.design.limits}) == 11
    assert trial.reason


def test_the_batch_sheet_prints_every_mass_and_they_add_up_to_the_tank(answer: DesignAnswer) -> None:
    chosen = answer.design.chosen
    assert chosen is not None
    (sheet,) = pypdf.PdfReader(io.BytesIO(pdf_of_page(answer.batch_sheet(date="2026-05-13")))).pages
    text = re.sub(r"\s", "", sheet.extract_text())
    assert sum(line.mass_kg for line in chosen.batch) == answer.design.book.aim.tank_kg == 24000.0
    for line in chosen.batch:
        assert f"{line.mass_kg:.0f}" in text and re.sub(r"\s", "", line.component) in text
    for words in (
        "Batchsheet",
        "PG64H-28",
        "24000kg",
        "Notreleasedbeforeitistested",
        "Inventeddemonstration",
    ):
        assert words in text


def studied(book: BlendBook, truth: Truth, trials: tuple[str, ...]) -> list[Kept]:
    """Recipes proposed for drawn books with varied aims; those where nothing serves are left out."""
    some = (
        kept_by_truth(varied_aim(drawn_book(book, truth, seed, trials=trials), seed), truth)
        for seed in range(BOOKS)
    )
    return [one for one in some if one is not None]


@pytest.mark.nightly
@pytest.mark.parametrize(
    ("truth", "trials"),
    [
        (Truth(), ()),
        (Truth(network=True), ()),
        (Truth(scatter=2.0), ()),
        (Truth(), EIGHT),
        (Truth(scatter=2.0), EIGHT),
    ],
    ids=["a dozen", "a dozen, truth with a step", "a dozen, twice the scatter", "eight", "eight, twice"],
)
def test_stated_probabilities_are_kept_over_many_drawn_books(
    book: BlendBook, truth: Truth, trials: tuple[str, ...]
) -> None:
    """Without repeats the scatter of tests counts as that of batches: batches may only do better."""
    found = studied(book, truth, trials)
    stated = np.array([one.found.whole[0] for one in found])
    batch, test = (
        np.array([np.prod(one.batch) for one in found]),
        np.array([np.prod(one.test) for one in found]),
    )
    error = np.std(batch) / np.sqrt(len(found))
    inside = []
    for one in found:
        for row, surface in enumerate(one.surfaces):
            doubt = predict_surface(surface, one.shares[None, :])
            reach = stdtrit(doubt.degrees_of_freedom, 0.975) * doubt.standard[0]
            inside.append(abs(one.mean[row] - doubt.mean[0]) <= reach)
    by_limit: dict[str, list[tuple[float, float]]] = {}
    for one in found:
        for row, surface in enumerate(one.surfaces):
            places = [n for n, s in enumerate(one.frame.problem.surfaces) if s is surface]
            by_limit.setdefault(surface.response.quantity, []).append(
                (float(one.found.each[places, 0].min()), float(one.batch[row]))
            )
    low = [name for name, pairs in by_limit.items() if np.diff(np.mean(pairs, axis=0))[0] < -0.01]
    told = (
        f"{len(found)} books: stated {stated.mean():.3f}, batches {batch.mean():.3f} ± {error:.3f}, "
        f"tests {test.mean():.3f}, books below 90 %: {np.mean(batch < 0.9):.3f}, "
        f"intervals of the mean: {np.mean(inside):.3f}"
    )
    print(told)
    assert len(found) > BOOKS // 5, told
    assert batch.mean() >= stated.mean() - 2.0 * error, told
    assert np.mean(batch < 0.9) <= 0.10, told
    # A step that no form here follows costs some of it; without one, 93 to 97 % were found.
    assert np.mean(inside) >= (0.85 if truth.network else 0.90), told
    assert low == [], told
