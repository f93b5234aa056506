"""Few base stocks to many grades: which recipes to keep, who gets which, when an additive pays."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.planning.portfolio import least_stock, paying_price, plan_tanks
from resile.errors import InputError, MeasurementError
from resile.records.blending.book import BlendBook
from resile.records.blending.portfolio import (
    GradeDemand,
    LabelOfTank,
    PayingPrice,
    PlanCost,
    Portfolio,
    PortfolioTank,
    TankPlan,
)
from resile.records.finding import Finding
from resile.workflows.blending.designing.design import SEED
from resile.workflows.blending.designing.desk import RecipeDesk, recipe_desk
from resile.workflows.blending.designing.framing import Frame
from resile.workflows.blending.designing.recipes import recipe_lines, recipe_of
from resile.workflows.blending.planning.season_recipes import SeasonRecipes, frames_of_demands, season_recipes

Floats = NDArray[np.float64]

ROUNDS = 8
"""Rounds in which the price at which an additive pays is found."""


def plan_portfolio(
    book: BlendBook,
    demands: Sequence[GradeDemand],
    *,
    tanks: int | None = None,
    keeping_cost: float = 0.0,
    change_cost: float = 0.0,
    most_recipes: int | None = None,
    seed: int = SEED,
) -> Portfolio:
    """Plan which recipes to keep for a season.

    Parameters
    ----------
    book : BlendBook
        Components with prices and stock, trials; the grade of its aim does not matter, own limits do.
    demands : sequence of GradeDemand
        Grades of one specification with their tonnes.
    tanks : int, optional
        Tanks that there are; recipes beyond them cost a change.
    keeping_cost, change_cost : float
        Cost of keeping one recipe, and of one change of a tank, in the currency of the book.
    most_recipes : int, optional
        At most so many recipes.
    seed : int
        Of every draw.

    Returns
    -------
    Portfolio
        Tanks with all labels they qualify for, cost by number of recipes, prices at which additives pay.

    Raises
    ------
    ResileError
        Where prices are missing, a grade is not known, or no plan serves anything.

    Notes
    -----
    Candidates are the cheapest recipe of each grade, of each pair of grades at once, and of each without
    every additive. The plan is the cheapest of these candidates (a mixed-integer program), not of
    all recipes that could be.
    """
    if not demands:
        raise InputError("portfolio: no demand is given; needed are grades with their tonnes")
    frames = frames_of_demands(book, demands)
    if frames[0].problem.prices is None:
        missing = [one.name for one in book.components if one.price_per_tonne is None and not one.banned]
        raise InputError(f"portfolio: no price is given for {', '.join(missing)}; a plan needs all prices")
    desks = [recipe_desk(frame) for frame in frames]
    choice = season_recipes(desks, seed)
    prices = np.array(frames[0].problem.prices)
    amounts = np.array([one.amount_t for one in demands])
    stock = np.array([np.inf if one.stock_t is None else one.stock_t for one in book.components])
    _check_stock(book, demands, choice, stock)

    def plans(at: Floats, usable: NDArray[np.bool_] | None = None) -> tuple[TankPlan, ...]:
        """Give the plans at some prices, with some of the recipes."""
        serves = choice.serves if usable is None else choice.serves & usable[:, None]
        return plan_tanks(
            serves,
            choice.recipes @ at,
            amounts,
            tanks=tanks,
            keeping_cost=keeping_cost,
            change_cost=change_cost,
            most_recipes=most_recipes,
            uses=choice.recipes,
            stock_t=stock,
        )

    found = plans(prices)
    best = found[0]
    return Portfolio(
        title=book.title,
        currency=book.currency,
        probability=book.aim.probability,
        tanks=tuple(_tank(desks, choice, demands, best, place) for place in best.recipes),
        unserved=tuple(demands[place] for place in best.unserved),
        blend_cost=best.blend_cost,
        total_cost=best.total_cost,
        tank_changes=best.tank_changes,
        proven=best.proven,
        by_number=tuple(
            sorted(
                (
                    PlanCost(len(one.recipes), one.blend_cost, one.total_cost, one.tank_changes)
                    for one in found
                ),
                key=lambda one: one.recipes,
            )
        ),
        paying_prices=tuple(
            _paying(book, place, prices, amounts, choice, best, plans)
            for place, one in enumerate(book.components)
            if one.kind not in ("base", "reclaimed") and not one.banned
        ),
        findings=_findings(frames),
        seed=seed,
    )


def _check_stock(
    book: BlendBook, demands: Sequence[GradeDemand], choice: SeasonRecipes, stock: Floats
) -> None:
    """Refuse a demand that the stock does not reach: name the components, what is needed, what is there."""
    amounts = np.array([one.amount_t for one in demands])
    least = least_stock(choice.serves, amounts, choice.recipes)
    short = [
        f"{one.name}: at least {need:.0f} t needed, {there:g} t in stock"
        for one, need, there in zip(book.components, least, stock, strict=True)
        if need > there * (1.0 + 1e-9)
    ]
    asked = float(amounts[choice.serves.any(axis=0)].sum())
    if not short and asked > stock.sum():
        short = [f"all components together: {asked:.0f} t needed, {stock.sum():g} t in stock"]
    if short:
        raise InputError(
            f"portfolio: the stock does not reach for {asked:g} t. {'; '.join(short)}. Needed is more stock, "
            "or less demand"
        )


def _tank(
    desks: Sequence[RecipeDesk],
    choice: SeasonRecipes,
    demands: Sequence[GradeDemand],
    plan: TankPlan,
    place: int,
) -> PortfolioTank:
    served = [d for d, recipe in enumerate(plan.recipe_of) if recipe == place]
    shares = choice.recipes[place]
    labels = [
        _label(desk, shares, float(choice.probability[place, d]), bool(choice.serves[place, d]))
        for d, desk in enumerate(desks)
    ]
    hardest = min(served, key=lambda d: choice.probability[place, d])
    labels.sort(key=lambda label: (not label.qualifies, -label.probability))
    return PortfolioTank(
        recipe=recipe_of(desks[hardest], shares, name=f"tank {plan.recipes.index(place) + 1}"),
        labels=tuple({label.grade: label for label in labels}.values()),
        serves=tuple(demands[d] for d in served),
        amount_t=float(sum(demands[d].amount_t for d in served)),
    )


def _label(desk: RecipeDesk, shares: Floats, probability: float, qualifies: bool) -> LabelOfTank:
    known = [line for line in recipe_lines(desk, shares) if line.margin_standards is not None]
    worst = min(known, key=lambda line: line.margin_standards or 0.0, default=None)
    return LabelOfTank(
        grade=desk.frame.aim.grade,
        probability=probability,
        margin_standards=0.0 if worst is None or worst.margin_standards is None else worst.margin_standards,
        limiting="" if worst is None else worst.limit.title,
        untested=tuple(limit.title for limit in desk.frame.untested),
        qualifies=qualifies and bool(known),
    )


def _paying(
    book: BlendBook,
    place: int,
    prices: Floats,
    amounts: Floats,
    choice: SeasonRecipes,
    best: TankPlan,
    plans: object,
) -> PayingPrice:
    """Find the price up to which the best plan uses a component: the plan at a price gives the next price."""
    assert callable(plans)
    name = book.components[place].name
    free = choice.recipes[:, place] <= 1e-9
    try:
        without = plans(prices, free)[0]
    except MeasurementError:
        without = None
    if without is None or len(without.unserved) > len(best.unserved):
        return PayingPrice(name, float(prices[place]), None, "without it not every demand is served")
    price, reached = 0.0, None
    for _ in range(ROUNDS):
        at = prices.copy()
        at[place] = price
        plan = plans(at)[0]
        taken = sum(
            float(choice.recipes[recipe, place] * amounts[d])
            for d, recipe in enumerate(plan.recipe_of)
            if recipe >= 0
        )
        reached = paying_price(without.total_cost, [plan.total_cost - price * taken], [taken])
        if reached is None or reached <= price + 1e-6:
            break
        price = reached
    if reached is None and price == 0.0:
        return PayingPrice(name, float(prices[place]), None, "no plan uses it, even for nothing")
    pays = price >= prices[place]
    words = "it pays at today's price" if pays else "it does not pay at today's price"
    return PayingPrice(name, float(prices[place]), price, words)


def _findings(frames: Sequence[Frame]) -> tuple[Finding, ...]:
    return tuple({(one.code, one.message): one for frame in frames for one in frame.findings}.values())
