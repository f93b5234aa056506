"""What is in a tank that is known by its results alone: the blend of the book that they fit best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.region import recipe_region, spread_recipes
from resile.compute.blending.surfaces.predicted_surface import predict_surface
from resile.errors import InputError
from resile.judge.grades.selection import near
from resile.judge.wording import number_words, property_words
from resile.records.blending.book import BlendBook
from resile.records.blending.surface import Surface
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.workflows.blending.designing.answers import recipe_words
from resile.workflows.blending.designing.limits import aim_limits
from resile.workflows.blending.designing.surfaces import surfaces_of_book

Floats = NDArray[np.float64]

SPREAD = 4000
"""Blends that are looked at; as many again close to the best of them, twice."""
FEWEST_RESULTS = 2
FAR = 3.0
"""A result so many standard deviations away does not fit (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class TankContent:
    """The blend that a tank is taken as.

    Attributes
    ----------
    percent : dict of str to float
        Its shares [%].
    findings : tuple of Finding
        How well the results fit it.
    """

    percent: dict[str, float]
    findings: tuple[Finding, ...]


def content_by_results(book: BlendBook, results: Sequence[Determination]) -> TankContent:
    """Give the blend of the book that the results of a tank fit best.

    Parameters
    ----------
    book : BlendBook
        With its trials.
    results : sequence of Determination
        Of one sample of the tank.

    Returns
    -------
    TankContent
        Within dosage bounds and trials, and how well it fits.

    Raises
    ------
    InputError
        Where too few results are of properties that the trials tell of.
    """
    pairs = _told(book, results)
    if len(pairs) < FEWEST_RESULTS:
        raise InputError(
            f"tank: {len(pairs)} of {len(results)} results are of properties that the trials tell of; needed "
            f"are {FEWEST_RESULTS} at least, such as the creep-recovery test and the viscosity"
        )
    points = [surface.points for _, surface in pairs if surface.points]
    whole = [100.0] * len(book.components)
    region = recipe_region(np.zeros(len(whole)), np.array(whole) / 100.0, trials=points)
    if region is None:
        raise InputError(f"{book.title}: its trials have no blend in common for these properties")
    rng = np.random.default_rng(0)
    some = spread_recipes(region, rng=rng, count=SPREAD)
    best, apart = _best(some, pairs)
    for width in (0.1, 0.01):
        some = best + width * (spread_recipes(region, rng=rng, count=SPREAD) - best)
        best, apart = _best(some, pairs)
    names = [one.name for one in book.components]
    percent = {name: 100.0 * float(share) for name, share in zip(names, best, strict=True)}
    return TankContent(percent, (_fit(percent, pairs, apart),))


def _told(book: BlendBook, results: Sequence[Determination]) -> list[tuple[Determination, Surface]]:
    """Give the results with the surface of their property."""
    tolerance = aim_limits(book).temperature_tolerance_c
    return [
        (one, surface)
        for surface in surfaces_of_book(book, tolerance_c=tolerance).surfaces
        for one in results
        if one.value is not None
        and one.quantity == surface.response.quantity
        and one.condition is surface.response.condition
        and near(one.temperature_c, surface.response.temperature_c, tolerance)
    ]


def _best(recipes: Floats, pairs: Sequence[tuple[Determination, Surface]]) -> tuple[Floats, Floats]:
    """Give the recipe with the smallest sum of squares, and how far each result lies from it."""
    rows = []
    for one, surface in pairs:
        found = predict_surface(surface, recipes)
        value = float(one.value or 0.0)
        seen = np.log(value) if surface.scale == "logarithm" else value
        scatter = np.sqrt(found.standard**2 + surface.batch_standard**2 + surface.test_standard**2)
        rows.append((seen - found.mean) / np.maximum(scatter, 1e-12))
    apart = np.stack(rows)
    place = int(np.argmin((apart**2).sum(axis=0)))
    return recipes[place], apart[:, place]


def _fit(percent: dict[str, float], pairs: Sequence[tuple[Determination, Surface]], apart: Floats) -> Finding:
    farthest = int(np.argmax(np.abs(apart)))
    worst = property_words(pairs[farthest][0].quantity)
    fits = abs(float(apart[farthest])) <= FAR
    words = (
        f"the farthest, {worst}, lies {number_words(abs(float(apart[farthest])), figures=2)} standard "
        "deviations away"
    )
    return Finding(
        code="tank-known-by-results",
        severity=Severity.NOTE if fits else Severity.CAUTION,
        message=f"By {len(pairs)} results the tank is taken as {recipe_words(percent)}; {words}."
        + ("" if fits else " It is not like any blend of the book: the addition is a guess."),
        rule="the content of a tank is known from its batch sheet; from results it is a fit",
        source="own choice: least squares in standard deviations of batch and test",
        advice="Look for the batch sheet; make the addition on a kilogram of the tank first, and test it.",
    )
