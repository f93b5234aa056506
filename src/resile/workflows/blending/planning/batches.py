"""The batch sheet: masses in the steps of the plant, rounded so that the grade still holds."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.batch import batch_choices
from resile.records.blending.recipe import BatchLine
from resile.records.finding import Finding, Severity
from resile.workflows.blending.designing.desk import RecipeDesk

Floats = NDArray[np.float64]


def batch_of(
    desk: RecipeDesk, x: Floats, probability: float | None
) -> tuple[tuple[BatchLine, ...], float | None, list[Finding]]:
    """Round to the steps of the plant so that the grade still holds where it held; tell where that fails."""
    book, problem = desk.frame.book, desk.problem
    steps = [one.increment_kg or book.aim.increment_kg for one in book.components]
    choices = batch_choices(x, book.aim.tank_kg, steps)
    shares = choices / choices.sum(axis=1, keepdims=True)
    within = np.all(
        (shares >= np.array(problem.lower) - 1e-9) & (shares <= np.array(problem.upper) + 1e-9), axis=1
    )
    found = desk.found(shares)
    place = 0
    if probability is not None and probability >= problem.probability:
        sure = found.whole >= problem.probability
        for wanted in (sure & within, sure):
            if wanted.any():
                place = int(np.argmax(wanted))
                break
    elif within.any():
        place = int(np.argmax(within))
    rounded = float(found.whole[place]) if desk.windows else None
    lines = tuple(
        BatchLine(one.name, float(mass), 100.0 * float(share))
        for one, mass, share in zip(book.components, choices[place], shares[place], strict=True)
    )
    return lines, rounded, _batch_told(desk, choices[place], probability, rounded)


def _batch_told(
    desk: RecipeDesk, masses: Floats, probability: float | None, rounded: float | None
) -> list[Finding]:
    aim, wanted = desk.frame.book.aim, desk.problem.probability
    found = []
    off = float(masses.sum()) - aim.tank_kg
    if abs(off) > 1e-6:
        found.append(
            Finding(
                code="batch-total-off",
                severity=Severity.NOTE,
                message=f"In the steps of the plant the batch comes to {masses.sum():g} kg, "
                f"not {aim.tank_kg:g} kg.",
                rule="the masses of a batch add up to the tank",
                value=off,
                limit=0.0,
                unit="kg",
                source="own rule",
                advice="Choose a tank that is a multiple of the largest step.",
            )
        )
    if probability is not None and rounded is not None and rounded < wanted <= probability:
        found.append(
            Finding(
                code="batch-rounding-costs-probability",
                severity=Severity.CAUTION,
                message=f"Rounded to the steps of the plant the whole grade has {100.0 * rounded:.1f} %; "
                f"{100.0 * wanted:g} % were asked for.",
                rule="the rounded batch keeps the probability asked for",
                value=100.0 * rounded,
                limit=100.0 * wanted,
                unit="%",
                source="own rule",
                advice="Dose in smaller steps, make a larger batch, or ask for a little more when designing.",
            )
        )
    return found
