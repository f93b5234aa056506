"""What the pictures of a design are drawn from: lines where limits are met, shades the check confirms."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from resile.compute.blending.ternary import ternary_lattice
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import Component
from resile.workflows.blending.designing.desk import RecipeDesk, recipe_desk
from resile.workflows.blending.designing.framing import frame_book, shares_of
from resile.workflows.blending.designing.recipes import recipe_of
from resile.workflows.blending.pictures import dose_curves, ternary_picture, trials_of_limit
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.blends import CONCENTRATE, HARD, SOFT

RECIPE = {SOFT: 45.0, HARD: 30.0, CONCENTRATE: 25.0}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> RecipeDesk:
    folder = tmp_path_factory.mktemp("blends")
    write_demonstration(folder)
    return recipe_desk(frame_book(read_blend_book(folder / "blends" / "book.toml")))


def test_along_a_line_the_expected_value_meets_its_limit(desk: RecipeDesk) -> None:
    picture = ternary_picture(desk, RECIPE)

    assert picture is not None
    assert picture.corners == (CONCENTRATE, SOFT, HARD)
    for contour in picture.contours:
        place = desk.problem.limits.index(contour.limit)
        points = [point for line in contour.lines for point in line]
        rows = [
            shares_of(desk.frame.book, dict(zip(picture.corners, point, strict=True))) for point in points
        ]
        margins = desk.found(np.array(rows)).margins[place]
        # Between two points of the lattice the margin is taken as straight.
        assert np.max(np.abs(margins)) < 0.35


def test_a_shaded_point_is_as_probable_as_the_check_says(desk: RecipeDesk) -> None:
    picture = ternary_picture(desk, RECIPE)

    assert picture is not None
    points = ternary_lattice(picture.divisions) * picture.span_percent + np.array(picture.floor_percent)
    nearest = int(np.argmin(np.abs(points - np.array([25.0, 45.0, 30.0])).sum(axis=1)))
    percent = dict(zip(picture.corners, points[nearest].tolist(), strict=True))
    recipe = recipe_of(desk, shares_of(desk.frame.book, percent), name="here")
    assert picture.allowed[nearest]
    assert picture.probability[nearest] == pytest.approx(recipe.probability, rel=1e-9)


def test_every_trial_is_marked_and_none_lies_outside_the_triangle(desk: RecipeDesk) -> None:
    picture = ternary_picture(desk, RECIPE, [("recipe", "recipe", RECIPE)])

    assert picture is not None
    assert [mark.label for mark in picture.marks if mark.kind == "trial"] == [
        trial.name for trial in desk.frame.book.trials
    ]
    for mark in picture.marks:
        assert all(
            share >= floor - 1e-9 for share, floor in zip(mark.percent, picture.floor_percent, strict=True)
        )


def test_two_components_make_no_triangle(desk: RecipeDesk) -> None:
    problem = replace(desk.problem, upper=(1.0, 1.0, 0.0))
    two = replace(desk, frame=replace(desk.frame, problem=problem))

    assert ternary_picture(two, {SOFT: 60.0, HARD: 40.0}) is None


def test_a_dose_picture_begins_with_the_narrowest_window_and_has_its_trials(desk: RecipeDesk) -> None:
    recipe = recipe_of(desk, shares_of(desk.frame.book, RECIPE), name="here")
    curves = dose_curves(desk, recipe)

    width = {one.component: one.highest_percent - one.lowest_percent for one in recipe.windows}
    assert [width[curve.component] for curve in curves] == sorted(width.values())
    jnr = next(limit for limit in desk.problem.limits if limit.response.quantity == "jnr_3.2")
    trials = trials_of_limit(desk, jnr, CONCENTRATE)
    assert [(name, dose) for name, dose, _ in trials][:3] == [("V-01", 0.0), ("V-02", 0.0), ("V-03", 15.0)]


def test_a_fourth_component_is_held_and_said_so(tmp_path: Path) -> None:
    write_demonstration(tmp_path)
    book = read_blend_book(tmp_path / "blends" / "book.toml")
    wax = Component("Wax", "wax", 1500.0, highest_percent=3.0)
    trials = tuple(
        replace(one, percent={**one.percent, SOFT: one.percent[SOFT] - wax_share, "Wax": wax_share})
        for one, wax_share in zip(book.trials, [0, 2, 0, 2, 0, 2, 0, 2, 0, 2, 0, 2], strict=True)
    )
    four = recipe_desk(frame_book(replace(book, components=(*book.components, wax), trials=trials)))

    picture = ternary_picture(four, {SOFT: 44.0, HARD: 30.0, CONCENTRATE: 24.0, "Wax": 2.0})

    assert picture is not None
    assert dict(picture.held_percent) == {"Wax": 2.0}
    assert sum(picture.floor_percent) + picture.span_percent == pytest.approx(98.0)
    assert [mark.label for mark in picture.marks] == ["V-02", "V-04", "V-06", "V-08", "V-10", "V-12"]
