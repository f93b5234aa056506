"""Laws of a blend through the whole chain, from results of trials to a recipe that is checked."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from planted_blends import sure_recipe
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendAim, BlendBook, Component, TrialBlend
from resile.records.blending.limit import BlendLimit, Response
from resile.records.determination import Condition, Determination
from resile.records.quantity import QUANTITIES
from resile.workflows.blending.designing.framing import frame_book
from resile.workflows.blending.designing.recipes import predict_blend
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.blends import CONCENTRATE, HARD, SOFT

JNR = Response("jnr_3.2", Condition.SHORT_TERM_AGED, 64.0)
VISCOSITY = Response("rotational_viscosity", Condition.ORIGINAL, 135.0)
ENDS = {JNR: (4.5, 1.6, 0.05), VISCOSITY: (0.25, 0.5, 3.0)}
TWIN = "Soft again"
SPLIT = (0.2, 0.8, 0.5, 0.3, 0.7, 0.6, 0.4, 0.9)
SHARES = ((90, 10, 0), (60, 40, 0), (30, 70, 0), (70, 15, 15), (45, 40, 15), (60, 10, 30), (40, 30, 30))


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> BlendBook:
    """The invented book with its three limits of one's own: few surfaces, so that a law is quickly asked."""
    folder = tmp_path_factory.mktemp("blends")
    write_demonstration(folder)
    whole = read_blend_book(folder / "blends" / "book.toml")
    return replace(whole, aim=replace(whole.aim, grade="", specification=""))


def log_linear(*, twin: bool, scatter: float = 0.01) -> BlendBook:
    """A soft base, the same again where asked for, a hard one, a concentrate; log-linear results."""
    names = ("Soft", TWIN, "Hard", "Polymer") if twin else ("Soft", "Hard", "Polymer")
    prices = {"Soft": 430.0, TWIN: 430.0, "Hard": 470.0, "Polymer": 1100.0}
    generator = np.random.default_rng(8)
    trials = []
    for number, (percent, split) in enumerate(zip(SHARES, SPLIT, strict=False)):
        soft, *rest = percent
        parts = (soft * split, soft * (1.0 - split), *rest) if twin else percent
        found = [
            Determination(
                f"T{number}",
                one.condition,
                one.temperature_c,
                one.quantity,
                math.exp(
                    sum(share / 100.0 * math.log(end) for share, end in zip(percent, ends, strict=True))
                    + scatter * generator.standard_normal()
                ),
                QUANTITIES[one.quantity].unit,
            )
            for one, ends in ENDS.items()
        ]
        trials.append(
            TrialBlend(f"T{number}", dict(zip(names, map(float, parts), strict=True)), tuple(found))
        )
    limits = (BlendLimit(JNR, "maximum", 2.0, "compliance"), BlendLimit(VISCOSITY, "maximum", 1.0, "pumps"))
    return BlendBook(
        title="Twins",
        currency="crowns",
        components=tuple(Component(name, "base", price_per_tonne=prices[name]) for name in names),
        trials=tuple(trials),
        aim=BlendAim(limits=limits, probability=0.95, beyond_trials=True),
    )


def asked(book: BlendBook, **changes: Any) -> tuple[dict[str, float], float]:
    """Recipe [%] and its cost."""
    frame = frame_book(replace(book, aim=replace(book.aim, **changes)))
    found = sure_recipe(frame)
    assert found is not None and frame.problem.prices is not None
    return frame.percent(found), float(found @ np.array(frame.problem.prices))


def test_of_a_base_that_comes_twice_only_the_sum_of_both_shares_matters() -> None:
    """Scatter of results aside, which the trials cannot part from a difference of the twins."""
    twice = log_linear(twin=True, scatter=1e-7)
    whole = predict_blend(twice, {"Soft": 60.0, TWIN: 0.0, "Hard": 20.0, "Polymer": 20.0})
    for part in (15.0, 30.0, 60.0):
        split = predict_blend(twice, {"Soft": 60.0 - part, TWIN: part, "Hard": 20.0, "Polymer": 20.0})
        for one, other in zip(whole.lines, split.lines, strict=True):
            assert one.value == pytest.approx(other.value, rel=1e-4)
    once = predict_blend(log_linear(twin=False, scatter=1e-7), {"Soft": 60.0, "Hard": 20.0, "Polymer": 20.0})
    for one, other in zip(whole.lines, once.lines, strict=True):
        assert one.value == pytest.approx(other.value, rel=1e-4)
    assert asked(twice)[1] == pytest.approx(asked(log_linear(twin=False, scatter=1e-7))[1], rel=1e-3)


def test_the_order_of_the_components_and_the_currency_leave_the_recipe() -> None:
    book = log_linear(twin=False)
    recipe, cost = asked(book)
    turned, same = asked(replace(book, components=tuple(reversed(book.components))))
    dear, scaled = asked(
        replace(
            book,
            components=tuple(
                replace(one, price_per_tonne=7.5 * (one.price_per_tonne or 0.0)) for one in book.components
            ),
        )
    )
    assert [same, scaled / 7.5] == pytest.approx([cost, cost], rel=1e-5)
    for name, percent in recipe.items():
        assert [turned[name], dear[name]] == pytest.approx([percent, percent], abs=0.05)


def test_a_higher_probability_is_never_cheaper_and_a_banned_component_never_in(book: BlendBook) -> None:
    costs = [asked(book, probability=wanted)[1] for wanted in (0.6, 0.8, 0.95, 0.99)]
    assert np.all(np.diff(costs) > -1e-6)
    components = tuple(replace(one, banned=one.name == HARD) for one in book.components)
    recipe, _ = asked(replace(book, components=components, aim=replace(book.aim, beyond_trials=True)))
    assert recipe[HARD] == 0.0 and recipe[SOFT] + recipe[CONCENTRATE] == pytest.approx(100.0)


def test_a_proposed_recipe_and_its_rounded_batch_are_checked_by_the_same_rule(book: BlendBook) -> None:
    recipe = predict_blend(book, asked(book)[0])
    assert (recipe.probability or 0.0) >= 0.95 - 1e-9
    assert sum(line.mass_kg for line in recipe.batch) == book.aim.tank_kg
    rounded = predict_blend(book, {line.component: line.percent for line in recipe.batch})
    assert rounded.probability == pytest.approx(recipe.batch_probability, abs=1e-9)
