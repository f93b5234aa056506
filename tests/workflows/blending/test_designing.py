"""Blends designed from the invented book, and what is said where none can be."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from resile.errors import InputError
from resile.judge.results.conformity import meets
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendAim, BlendBook, Component
from resile.records.blending.design import BlendDesign
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.portfolio import GradeDemand
from resile.records.demand_request import DemandRequest
from resile.records.determination import Condition
from resile.workflows.blending.designing.cautions import recipe_cautions
from resile.workflows.blending.designing.design import design_blend
from resile.workflows.blending.designing.doses import dose_curve
from resile.workflows.blending.designing.framing import frame_book
from resile.workflows.blending.designing.limits import aim_limits, limits_of_aim
from resile.workflows.blending.designing.recipes import predict_blend
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.blending.planning.portfolio import plan_portfolio
from resile.workflows.blending.planning.tank_content import content_by_results
from resile.workflows.blending.planning.tank_rescue import rescue_tank
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.blends import draw_batches
from resile.workflows.sites.site_demands import site_demands

JNR = Response("jnr_3.2", Condition.SHORT_TERM_AGED, 64.0)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> BlendBook:
    folder = tmp_path_factory.mktemp("blends")
    write_demonstration(folder)
    return read_blend_book(folder / "blends" / "book.toml")


@pytest.fixture(scope="module")
def design(book: BlendBook) -> BlendDesign:
    return design_blend(book)


def with_aim(book: BlendBook, **changes: Any) -> BlendBook:
    return replace(book, aim=replace(book.aim, **changes))


def with_component(book: BlendBook, place: int, **changes: Any) -> BlendBook:
    some = list(book.components)
    some[place] = replace(some[place], **changes)
    return replace(book, components=tuple(some))


def test_the_planted_truth_keeps_the_whole_grade_at_least_as_often_as_promised(
    book: BlendBook, design: BlendDesign
) -> None:
    assert design.chosen is not None and (design.chosen.probability or 0.0) >= 0.95
    assert design.grade == "PG 64H-28" and "crowns/t" in design.answer
    share = {line.component: line.percent for line in design.chosen.batch}
    drawn = draw_batches(share, 5000, np.random.default_rng(5))
    kept = np.ones(5000, dtype=bool)
    for limit in design.limits:
        values = next(
            np.asarray(found)
            for response, found in drawn.items()
            if (response.quantity, response.condition) == (limit.response.quantity, limit.response.condition)
            and response.temperature_c == limit.response.temperature_c
        )
        size = np.abs(values) if limit.absolute else values
        kept &= size <= limit.value if limit.bound == "maximum" else size >= limit.value
    assert kept.mean() >= 0.95


def test_the_check_says_of_every_recipe_what_the_design_says(book: BlendBook, design: BlendDesign) -> None:
    assert design.chosen is not None and design.expected is not None
    for recipe in (design.chosen, design.expected, *design.alternatives):
        checked = predict_blend(book, recipe.percent)
        assert checked.probability == pytest.approx(recipe.probability, abs=1e-9)
        for line in checked.lines:
            size = abs(line.value or 0.0) if line.limit.absolute else line.value or 0.0
            assert meets(size, line.limit.value, line.limit.bound), line.limit.title
    for recipe in design.alternatives:
        assert (recipe.probability or 0.0) >= 0.95
        assert (recipe.cost_per_tonne or 0.0) <= (design.chosen.cost_per_tonne or 0.0) * 1.03 + 1e-9
    assert (design.expected.cost_per_tonne or 0.0) < (design.chosen.cost_per_tonne or 0.0)
    costs = [point.cost_per_tonne for point in design.pareto]
    assert np.all(np.diff(costs) > 0.0)


def test_the_batch_is_in_steps_of_the_plant_and_still_has_the_probability(
    book: BlendBook, design: BlendDesign
) -> None:
    assert design.chosen is not None and design.dosing is not None
    masses = np.array([line.mass_kg for line in design.chosen.batch])
    assert masses.sum() == book.aim.tank_kg
    assert masses / book.aim.increment_kg == pytest.approx(np.round(masses / book.aim.increment_kg))
    assert (design.chosen.batch_probability or 0.0) >= 0.95
    assert design.dosing.probability == pytest.approx(design.chosen.batch_probability)


def test_a_dose_window_ends_where_the_check_first_fails(book: BlendBook, design: BlendDesign) -> None:
    assert design.chosen is not None
    window = next(one for one in design.chosen.windows if one.component == "Quarnsk Concentrate")
    assert window.sure_lowest_percent is not None
    assert window.lowest_percent < window.sure_lowest_percent <= design.chosen.percent[window.component]
    curve = dose_curve(book, design.chosen.percent, window.component, points=81)
    for step in curve.steps:
        margin = min(step.margins_standards)
        if not step.extrapolated and step.dose_percent > window.lowest_percent + 0.01:
            assert margin >= 0.0
        if step.dose_percent < window.lowest_percent - 0.01:
            assert margin < 0.0 or step.extrapolated


def test_the_same_book_gives_the_same_design(book: BlendBook, design: BlendDesign) -> None:
    again = design_blend(book)
    assert (again.chosen, again.alternatives, again.pareto) == (
        design.chosen,
        design.alternatives,
        design.pareto,
    )


def test_a_whole_grade_is_taken_line_by_line_at_its_own_temperatures(book: BlendBook) -> None:
    limits = {limit.response.quantity: limit for limit in limits_of_aim(with_aim(book, limits=()))}
    assert len(limits) == 9
    assert (limits["jnr_3.2"].value, limits["jnr_3.2"].response.temperature_c) == (2.0, 64.0)
    assert limits["fatigue_parameter"].response.temperature_c == 22.0
    assert limits["m_value"].response.temperature_c == -18.0 and limits["m_value"].end == "low"
    assert limits["mass_change_percent"].absolute and limits["flash_point"].response.temperature_c is None
    assert "not counted on" in limits["creep_stiffness"].note


def test_a_waiver_of_the_class_takes_the_line_away_and_says_so(book: BlendBook) -> None:
    found = aim_limits(with_aim(book, specification="m332-2020", grade="PG 64E-22", limits=()))
    assert "jnr_difference_percent" not in {limit.response.quantity for limit in found.limits}
    assert "limit-not-of-class" in {finding.code for finding in found.findings}


def test_a_grade_without_its_low_end_says_so(book: BlendBook) -> None:
    found = aim_limits(with_aim(book, grade="64H", limits=()))
    assert {limit.end for limit in found.limits} == {"any", "high"}
    assert "grade-without-low-end" in {finding.code for finding in found.findings}


def test_a_road_in_place_of_a_grade_gives_the_grade_of_its_demand(book: BlendBook) -> None:
    road = DemandRequest(
        name="Coast road",
        latitude_deg=45.0,
        high_mean_c=34.0,
        high_sd_c=1.5,
        low_mean_c=-18.0,
        low_sd_c=2.0,
        n_years=20,
        million_axle_loads=15.0,
    )
    found = aim_limits(with_aim(book, grade="", demand=road))
    answer = site_demands([road]).reports[0].demand
    assert found.grade == answer.grade and found.grade.startswith("PG ")


def test_a_limit_that_no_trial_tells_of_is_named_and_never_counted(book: BlendBook) -> None:
    trials = tuple(
        replace(trial, determinations=tuple(d for d in trial.determinations if d.quantity != "m_value"))
        for trial in book.trials
    )
    recipe = predict_blend(
        replace(book, trials=trials), {"Quarnsk Soft": 50, "Quarnsk Hard": 28, "Quarnsk Concentrate": 22}
    )
    line = next(line for line in recipe.lines if line.limit.response.quantity == "m_value")
    assert (line.value, line.probability) == (None, None)
    assert recipe.untested == (line.limit.title,)
    assert "limits-not-tested" in {finding.code for finding in recipe.findings}


def test_an_acceptance_test_without_repeats_is_counted_already_and_says_so(book: BlendBook) -> None:
    asked = frame_book(with_aim(book, acceptance_test=True))
    (told,) = [one for one in asked.findings if one.code == "test-scatter-within-batches"]
    assert "any limit" in told.message
    twice = tuple(
        replace(
            one,
            determinations=(
                *one.determinations,
                *(replace(d, value=1.02 * d.value) for d in one.determinations),
            ),
        )
        for one in book.trials
    )
    repeated = frame_book(with_aim(replace(book, trials=twice), acceptance_test=True))
    assert all(surface.test_standard > 0.0 for surface in repeated.problem.surfaces)
    for frame in (repeated, frame_book(book)):
        assert "test-scatter-within-batches" not in [one.code for one in frame.findings]


def test_limits_that_exclude_one_another_are_named_with_the_nearest_miss(book: BlendBook) -> None:
    floor = BlendLimit(JNR, "minimum", 2.5, "own floor of compliance")
    found = design_blend(with_aim(book, limits=(floor,)))
    assert found.chosen is None and found.expected is None and found.nearest is not None
    assert "own floor of compliance" in found.answer and "stand against one another" in found.answer
    assert "at least 2.5 1/kPa" in found.answer


def test_a_probability_out_of_reach_gives_the_surest_recipe(book: BlendBook) -> None:
    found = design_blend(
        with_aim(with_component(book, 2, highest_percent=18.5), probability=0.999, limits=())
    )
    assert found.chosen is None and found.expected is not None and found.nearest is not None
    assert "the surest" in found.answer
    assert (found.nearest.probability or 0.0) > (found.expected.probability or 1.0)


def test_a_missing_price_gives_the_surest_recipe_and_says_so(book: BlendBook) -> None:
    found = design_blend(with_component(book, 0, price_per_tonne=None))
    assert found.chosen is not None and found.chosen.cost_per_tonne is None and found.pareto == ()
    assert "price-missing" in {finding.code for finding in found.findings}


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"banned": True, "lowest_percent": 5.0}, "banned"),
        ({"stock_t": 0.5, "lowest_percent": 10.0}, "in stock"),
        ({"lowest_percent": 39.0}, "lies within the trial blends"),
    ],
)
def test_bounds_that_leave_nothing_are_told(book: BlendBook, changed: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        design_blend(with_component(book, 2, **changed))


def test_the_next_trials_lie_within_the_bounds_and_repeat_none(book: BlendBook) -> None:
    found = next_trials(book)
    assert found and found[0].tests
    for trial in found:
        assert sum(trial.percent.values()) == pytest.approx(100.0)
        assert 0.0 <= trial.percent["Quarnsk Concentrate"] <= 40.0
        for made in book.trials:
            assert max(abs(trial.percent[name] - made.percent.get(name, 0.0)) for name in trial.percent) > 0.5


def test_without_trials_the_next_ones_fill_the_room(book: BlendBook) -> None:
    found = next_trials(replace(book, trials=()), count=4)
    recipes = np.array([list(trial.percent.values()) for trial in found])
    assert len(np.unique(recipes, axis=0)) == 4 and "farthest" in found[0].reason
    assert len(found[0].tests) == len({limit.title for limit in limits_of_aim(book)})


def test_the_least_addition_brings_a_tank_back_and_takes_nothing_out(book: BlendBook) -> None:
    tank = {"Quarnsk Soft": 60.0, "Quarnsk Hard": 25.0, "Quarnsk Concentrate": 15.0}
    found = rescue_tank(book, tank, tank_kg=16000.0, capacity_kg=24000.0)
    assert 0.0 < found.added_kg <= 8000.0
    assert all(line.mass_kg > 0.0 for line in found.additions)
    assert (predict_blend(book, found.recipe.percent).probability or 0.0) >= 0.95
    with pytest.raises(InputError, match="no addition up to"):
        rescue_tank(book, tank, tank_kg=16000.0, capacity_kg=16300.0)


def test_a_tank_known_by_its_results_is_taken_as_the_blend_they_fit(book: BlendBook) -> None:
    trial = book.trials[7]
    found = content_by_results(book, trial.determinations)
    assert all(abs(found.percent[name] - share) < 4.0 for name, share in trial.percent.items())
    with pytest.raises(InputError, match="needed are 2 at least"):
        content_by_results(book, trial.determinations[:1])


def test_a_stock_that_does_not_reach_is_named_with_what_is_needed(book: BlendBook) -> None:
    with pytest.raises(InputError, match=r"Quarnsk Concentrate: at least \d+ t needed, 260 t in stock"):
        plan_portfolio(book, [GradeDemand("PG 64H-28", 3000.0)])


def test_a_portfolio_lists_every_grade_a_tank_qualifies_for(book: BlendBook) -> None:
    demands = [GradeDemand("PG 64S-28", 400.0), GradeDemand("PG 64H-28", 300.0)]
    found = plan_portfolio(with_aim(book, limits=()), demands, tanks=1, change_cost=1e7)
    assert [len(found.tanks), found.tank_changes, found.unserved] == [1, 0, ()]
    assert [label.qualifies for label in found.tanks[0].labels] == [True, True]
    free = plan_portfolio(with_aim(book, limits=()), demands)
    assert len(free.tanks) == 2 and free.blend_cost < found.blend_cost


def test_cautions_show_both_limits_of_handling_and_what_acid_and_sulfur_do(book: BlendBook) -> None:
    more = (
        *book.components,
        Component("Acid", "acid", highest_percent=2.0),
        Component("Sulfur", "cross_linker", highest_percent=0.5),
    )
    percent = {
        "Quarnsk Soft": 77.7,
        "Quarnsk Hard": 0.0,
        "Quarnsk Concentrate": 20.0,
        "Acid": 2.0,
        "Sulfur": 0.3,
    }
    lines = predict_blend(book, {"Quarnsk Soft": 60, "Quarnsk Hard": 20, "Quarnsk Concentrate": 20}).lines
    found = {one.code: one for one in recipe_cautions(replace(book, components=more), percent, lines)}
    assert {
        "acid-handling",
        "acid-dose-high",
        "acid-banned-in-places",
        "sulfur-gives-hydrogen-sulfide",
    } <= set(found)
    both = found["handling-two-limits"].message
    assert "30 °C below" in both and "170 to 175 °C" in both
    assert "compatibility-must-be-tested" in found and "hot-binder" in found


def test_storage_longer_than_that_of_the_trials_leaves_less_recovery(book: BlendBook) -> None:
    percent = {"Quarnsk Soft": 50.0, "Quarnsk Hard": 28.0, "Quarnsk Concentrate": 22.0}
    found = {
        hours: predict_blend(with_aim(book, storage_h=hours, storage_c=celsius), percent)
        for hours, celsius in ((None, None), (24.0, 175.0), (400.0, 185.0))
    }
    lines = {
        hours: next(one for one in recipe.lines if one.limit.response.quantity == "percent_recovery_3.2")
        for hours, recipe in found.items()
    }
    assert (lines[24.0].value or 0.0) < (lines[None].value or 0.0)
    assert lines[24.0].limit.title.endswith("after hot storage")
    assert (found[24.0].probability or 0.0) < (found[None].probability or 0.0)
    assert lines[400.0].value is None and lines[400.0].limit.title in found[400.0].untested
    for hours in (24.0, 400.0):
        told = next(one for one in found[hours].findings if one.code == "storage-beyond-trials")
        assert "Taken as tested" in told.message and "flash point" in told.message


def test_a_polymer_without_published_ranges_starts_from_a_weak_guess_and_says_so(book: BlendBook) -> None:
    components = tuple(replace(one, polymer="EVA" if one.polymer_percent else "") for one in book.components)
    percent = {"Quarnsk Soft": 50.0, "Quarnsk Hard": 28.0, "Quarnsk Concentrate": 22.0}
    told = predict_blend(replace(book, components=components), percent).findings
    assert "EVA" in next(one for one in told if one.code == "polymer-without-published-ranges").message


def test_an_aim_that_asks_for_nothing_is_refused(book: BlendBook) -> None:
    with pytest.raises(InputError, match="names no grade, no site and no limit"):
        design_blend(replace(book, aim=BlendAim()))
    with pytest.raises(InputError, match="no component of the book"):
        predict_blend(book, {"Quarnsk Soft": 50.0, "Something": 50.0})
