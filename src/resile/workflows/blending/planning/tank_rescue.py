"""Bring back a tank that is off its grade: the least addition, and what to test again."""

from __future__ import annotations

import numpy as np

from resile.compute.blending.planning.rescue import least_addition
from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.design import Rescue
from resile.records.blending.recipe import BatchLine
from resile.records.finding import Finding, Severity
from resile.report.numbers import shown_probability
from resile.workflows.blending.designing.answers import no_room_words
from resile.workflows.blending.designing.design import SEED
from resile.workflows.blending.designing.desk import recipe_desk
from resile.workflows.blending.designing.framing import frame_book, shares_of
from resile.workflows.blending.designing.recipes import recipe_of


def rescue_tank(
    book: BlendBook,
    percent: dict[str, float],
    *,
    tank_kg: float,
    capacity_kg: float,
    seed: int = SEED,
) -> Rescue:
    """Say what to add to a tank so that it keeps its limits with the probability asked for.

    Parameters
    ----------
    book : BlendBook
        Components to add, trials, aim.
    percent : dict of str to float
        What is in the tank [%].
    tank_kg : float
        How much is in it [kg].
    capacity_kg : float
        How much it holds [kg].
    seed : int
        Of every draw.

    Returns
    -------
    Rescue
        Additions in the steps of the plant, rounded up, and what the tank is then.

    Raises
    ------
    InputError
        Where no addition up to the capacity serves: says how near it comes.

    Notes
    -----
    The tank is known by its recipe; where it is known by its results alone, `content_by_results` gives the
    blend they fit best.
    """
    if not 0.0 < tank_kg < capacity_kg:
        raise InputError(
            f"tank: {tank_kg:g} kg in a tank of {capacity_kg:g} kg; needed is something in it, and room"
        )
    frame = frame_book(book, with_stock=False)
    if not frame.problem.limits:
        raise InputError(f"{book.title}: no trial tells of any limit, so no addition can be worked out")
    old = shares_of(book, percent)
    found = least_addition(
        frame.problem,
        tuple(old),
        fullest=capacity_kg / tank_kg,
        seed=seed,
        probability=frame.problem.probability,
    )
    if found is None:
        raise InputError(no_room_words(frame))
    desk = recipe_desk(frame)
    if not found.found.feasible:
        raise InputError(
            f"{book.title}: no addition up to {capacity_kg:g} kg brings the tank to "
            f"{100.0 * frame.problem.probability:g} %; the surest reaches "
            f"{shown_probability(found.found.probability)}. Needed is a larger tank, part of the content "
            "taken out, or another corrector"
        )
    total = tank_kg / found.kept_share
    steps = np.array([one.increment_kg or book.aim.increment_kg for one in book.components])
    exact = np.maximum(np.array(found.found.shares) * total - old * tank_kg, 0.0)
    added = np.ceil(exact / steps - 1e-6) * steps
    shares = (old * tank_kg + added) / (tank_kg + added.sum())
    recipe = recipe_of(desk, shares, name="tank after the addition")
    prices = frame.problem.prices
    lines = tuple(
        BatchLine(one.name, float(mass), float(100.0 * mass / added.sum()) if added.sum() else 0.0)
        for one, mass in zip(book.components, added, strict=True)
        if mass > 0.0
    )
    return Rescue(
        additions=lines,
        added_kg=float(added.sum()),
        total_kg=float(tank_kg + added.sum()),
        added_cost=None if prices is None else float(added @ np.array(prices) / 1000.0),
        recipe=recipe,
        findings=(*frame.findings, *recipe.findings, _retest(recipe.limiting)),
    )


def _retest(limiting: tuple[str, ...]) -> Finding:
    return Finding(
        code="tank-to-be-tested-again",
        severity=Severity.CAUTION,
        message=f"After circulation the tank is tested again, first for {'; '.join(limiting[:3])}.",
        rule="a tank that was changed is a new lot",
        source="practice of quality control of tanks [read: Queensland TMR/AAPA 2012]",
        advice="Sample top, middle and bottom once it is mixed.",
    )
