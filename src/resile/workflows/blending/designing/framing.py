"""From a blend book to a problem: limits with surfaces, bounds by dose, stock and ban, prices, wishes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import BlendLimit
from resile.records.blending.problem import BlendProblem, ShareGroup
from resile.records.finding import Finding, Severity
from resile.workflows.blending.designing.limits import AimLimits, aim_limits
from resile.workflows.blending.designing.polymers import polymer_findings
from resile.workflows.blending.designing.stored import after_storage
from resile.workflows.blending.designing.surfaces import BookSurfaces, surfaces_of_book

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """A book made ready to be worked on.

    Attributes
    ----------
    book : BlendBook
        The book.
    aim : AimLimits
        Grade and all limits.
    surfaces : BookSurfaces
        What the trials tell.
    problem : BlendProblem
        Limits that trials tell of, bounds, prices.
    places : tuple of int
        Place among all limits of each limit of the problem.
    untested : tuple of BlendLimit
        Limits that no trial tells of.
    findings : tuple of Finding
        Doubts of the book, the aim and the surfaces.
    """

    book: BlendBook
    aim: AimLimits
    surfaces: BookSurfaces
    problem: BlendProblem
    places: tuple[int, ...]
    untested: tuple[BlendLimit, ...]
    findings: tuple[Finding, ...] = ()

    def shares(self, percent: dict[str, float]) -> Floats:
        """Give a recipe in percent as ratios in the order of the components."""
        return shares_of(self.book, percent)

    def percent(self, shares: Sequence[float] | Floats) -> dict[str, float]:
        """Give ratios as percent by name."""
        names = self.problem.components
        return {name: 100.0 * float(share) for name, share in zip(names, shares, strict=True)}


def frame_book(book: BlendBook, *, surfaces: BookSurfaces | None = None, with_stock: bool = True) -> Frame:
    """Make a book ready: its limits, its surfaces, its bounds.

    Parameters
    ----------
    book : BlendBook
        As read.
    surfaces : BookSurfaces, optional
        Surfaces that were fitted already.
    with_stock : bool
        Count the stock against one batch.

    Returns
    -------
    Frame
        Ready to be worked on.

    Raises
    ------
    ResileError
        Where the aim cannot be used, or bounds leave nothing.
    """
    aim = aim_limits(book)
    responses = [limit.response for limit in aim.limits]
    found = surfaces or surfaces_of_book(book, responses, tolerance_c=aim.temperature_tolerance_c)
    told = [found.of(limit.response, aim.temperature_tolerance_c) for limit in aim.limits]
    stored = after_storage(book, aim.limits, told)
    aim = replace(aim, limits=stored.limits)
    known = [(place, surface) for place, surface in enumerate(stored.surfaces) if surface is not None]
    untested = tuple(
        limit for limit, surface in zip(aim.limits, stored.surfaces, strict=True) if surface is None
    )
    objective, doubts = _objective(book)
    lower, upper = share_bounds(book, with_stock=with_stock)
    today = shares_of(book, dict(book.aim.today_percent)) if book.aim.today_percent else None
    problem = BlendProblem(
        components=tuple(component.name for component in book.components),
        limits=tuple(aim.limits[place] for place, _ in known),
        surfaces=tuple(surface for _, surface in known),
        lower=tuple(lower),
        upper=tuple(upper),
        prices=_prices(book),
        objective=objective,
        probability=book.aim.probability,
        most_components=book.aim.most_components,
        groups=_groups(book),
        today=None if today is None else tuple(float(share) for share in today),
        within_trials=not book.aim.beyond_trials,
        acceptance_test=book.aim.acceptance_test,
    )
    findings = (
        *book.findings,
        *aim.findings,
        *found.findings,
        *_not_told(untested),
        *_tests_in_batches(problem),
        *doubts,
        *stored.findings,
        *polymer_findings(book),
    )
    return Frame(book, aim, found, problem, tuple(place for place, _ in known), untested, findings)


def share_bounds(book: BlendBook, *, with_stock: bool = True) -> tuple[list[float], list[float]]:
    """Give the bounds of every share: dose, stock for the tank, ban.

    Parameters
    ----------
    book : BlendBook
        Components and tank.
    with_stock : bool
        Count the stock against one batch.

    Returns
    -------
    lower, upper : list of float
        As ratios.

    Raises
    ------
    InputError
        Where a stock does not reach the lowest dose, or a banned component must be in.
    """
    lower, upper = [], []
    for component in book.components:
        low, high = component.lowest_percent / 100.0, component.highest_percent / 100.0
        if component.banned:
            if low > 0.0:
                raise InputError(
                    f"component {component.name} is banned, and at least {component.lowest_percent:g} % of "
                    "it is asked for; needed is one of both"
                )
            high = 0.0
        if with_stock and component.stock_t is not None:
            there = 1000.0 * component.stock_t / book.aim.tank_kg
            if there < low:
                raise InputError(
                    f"component {component.name}: {component.stock_t:g} t in stock is {100.0 * there:.3g} % "
                    f"of a tank of {book.aim.tank_kg:g} kg; its lowest dose is {component.lowest_percent:g} %"
                )
            high = min(high, there)
        lower.append(low)
        upper.append(high)
    if sum(lower) > 1.0 + 1e-9 or sum(upper) < 1.0 - 1e-9:
        raise InputError(
            f"{book.title}: the lowest doses add up to {100.0 * sum(lower):.4g} % and the highest, with "
            f"stock and bans, to {100.0 * sum(upper):.4g} %; needed are at most 100 and at least 100"
        )
    return lower, upper


def shares_of(book: BlendBook, percent: dict[str, float]) -> Floats:
    """Give a recipe in percent as ratios in the order of the components.

    Parameters
    ----------
    book : BlendBook
        Names the components.
    percent : dict of str to float
        Share of each component by mass [%]; those left out are 0.

    Returns
    -------
    ndarray of float, shape (q,)
        They add up to 1.

    Raises
    ------
    InputError
        Where a name is not known, a share is below zero, or they do not add up to 100.
    """
    names = [component.name for component in book.components]
    strange = [name for name in percent if name not in names]
    if strange:
        raise InputError(
            f"recipe: {', '.join(map(repr, strange))} is no component of the book; "
            f"known are {', '.join(names)}"
        )
    shares = np.array([float(percent.get(name, 0.0)) for name in names])
    total = float(shares.sum())
    if not np.isfinite(total) or np.any(shares < 0.0) or abs(total - 100.0) > 0.05:
        raise InputError(f"recipe: its shares add up to {total:.6g} %; needed is 100 %, none below 0")
    return np.asarray(shares / total)


def _prices(book: BlendBook) -> tuple[float, ...] | None:
    used = [0.0 if one.price_per_tonne is None else one.price_per_tonne for one in book.components]
    missing = [one for one in book.components if one.price_per_tonne is None and not one.banned]
    return None if missing else tuple(used)


def _objective(book: BlendBook) -> tuple[str, list[Finding]]:
    wanted = book.aim.objective
    missing = [one.name for one in book.components if one.price_per_tonne is None and not one.banned]
    if wanted != "cost" or not missing:
        return wanted, []
    return "margin", [
        Finding(
            code="price-missing",
            severity=Severity.CAUTION,
            message=f"No price is given for {', '.join(missing)}: the recipe with the largest margin is "
            "worked out in place of the cheapest.",
            rule="the cheapest recipe needs the price of every component",
            source="own rule",
            advice="Give the prices, or ban the component.",
        )
    ]


def _groups(book: BlendBook) -> tuple[ShareGroup, ...]:
    least, most = book.aim.reclaimed_at_least_percent, book.aim.reclaimed_at_most_percent
    if least is None and most is None:
        return ()
    members = tuple(place for place, one in enumerate(book.components) if one.kind == "reclaimed")
    if not members:
        raise InputError(
            f"{book.title}: a share of reclaimed binder is asked for, but no component is of "
            "the kind 'reclaimed'"
        )
    return (
        ShareGroup(
            "reclaimed binder",
            members,
            0.0 if least is None else least / 100.0,
            1.0 if most is None else most / 100.0,
        ),
    )


def _not_told(untested: Sequence[BlendLimit]) -> list[Finding]:
    if not untested:
        return []
    return [
        Finding(
            code="limits-not-tested",
            severity=Severity.CAUTION,
            message=f"No trial tells of {'; '.join(limit.title for limit in untested)}: not counted as kept.",
            rule="a limit that trials do not tell of is open, never kept",
            source="own rule",
            advice="Test it on the trial blends, and on the first batch.",
        )
    ]


def _tests_in_batches(problem: BlendProblem) -> list[Finding]:
    """Tell where the scatter of an acceptance test is asked for and cannot be told from that of batches."""
    alike = [
        limit.title
        for limit, surface in zip(problem.limits, problem.surfaces, strict=True)
        if not surface.test_standard
    ]
    if not problem.acceptance_test or not alike:
        return []
    which = "any limit" if len(alike) == len(problem.limits) else "; ".join(alike)
    return [
        Finding(
            code="test-scatter-within-batches",
            severity=Severity.NOTE,
            message="The scatter of the acceptance test is counted, as asked, but not once more for "
            f"{which}: no batch was tested twice, so what scatters between trials holds that of one test "
            "already.",
            rule="the scatter of a test is told from that of batches by repeats of one batch",
            source="analysis of variance",
            advice="Test some trials twice: batches alone then scatter less, and without the acceptance test "
            "more recipes serve.",
        )
    ]
