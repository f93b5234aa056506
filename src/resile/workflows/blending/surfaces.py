"""Surfaces of a blend book: one for each property that trials and components were tested for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from resile.compute.blending.surfaces.recovery_surface import fit_recovery_surface
from resile.compute.blending.surfaces.surface_choice import choose_surface
from resile.errors import MeasurementError
from resile.judge.selection import near
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.quantity import QUANTITIES, Quantity
from resile.specifications.blending import load_polymer_effect

LOGARITHMIC_UNITS = frozenset({"1/kPa", "kPa", "MPa", "Pa·s", "mm²/s", "0.1 mm"})
"""Properties in these units are above zero and change by factors: fitted on their logarithm."""

RECOVERIES = ("percent_recovery_0.1", "percent_recovery_3.2")
FEWEST_CONTENTS = 4
"""Different polymer contents that a recovery curve asks for: one more than it has parameters."""
POLYMER = "sbs"
"""Published ranges a recovery curve starts from: books state no kind of polymer, and trials outweigh them."""


@dataclass(frozen=True, slots=True)
class BookSurfaces:
    """What the trials of a book tell.

    Attributes
    ----------
    surfaces : tuple of Surface
        One for each response that the trials support.
    findings : tuple of Finding
        Responses with too few trials, and why.
    """

    surfaces: tuple[Surface, ...]
    findings: tuple[Finding, ...] = ()

    def of(self, response: Response, tolerance_c: float) -> Surface | None:
        """Give the surface that answers a response; None where there is none."""
        for surface in self.surfaces:
            if _answers(surface.response, response, tolerance_c):
                return surface
        return None


def surfaces_of_book(
    book: BlendBook, responses: Sequence[Response] = (), *, tolerance_c: float = 0.1
) -> BookSurfaces:
    """Fit a surface to every property that was tested.

    Parameters
    ----------
    book : BlendBook
        Trials and components with their results.
    responses : sequence of Response, optional
        Only these; every property of the book where left out.
    tolerance_c : float
        A test within this of a temperature is taken as that temperature [°C].

    Returns
    -------
    BookSurfaces
        In the order in which the book, or `responses`, first names them.

    Notes
    -----
    A result on a component alone is a trial blend of 100 % of it. The form is chosen by the errors of blends
    that were left out, and never has more terms than the trials support.
    """
    rows = list(_rows(book))
    wanted = list(responses) or [response for _, response, _ in rows]
    surfaces: list[Surface] = []
    findings: list[Finding] = []
    done: list[Response] = []
    for response in wanted:
        if any(_answers(one, response, tolerance_c) for one in done):
            continue
        done.append(response)
        some = [
            (shares, value, name)
            for (shares, name), found, value in rows
            if _answers(found, response, tolerance_c)
        ]
        if not some:
            continue
        try:
            surfaces.append(_fitted(book, response, some))
        except MeasurementError as error:
            findings.append(_too_few(response, str(error)))
    return BookSurfaces(tuple(surfaces), tuple(findings))


def is_logarithmic(quantity: str) -> bool:
    """Tell whether a property is fitted on its logarithm.

    Parameters
    ----------
    quantity : str
        Name from the glossary.

    Returns
    -------
    bool
        True for stiffness, compliance, viscosity and penetration.
    """
    return QUANTITIES[quantity].unit in LOGARITHMIC_UNITS if quantity in QUANTITIES else False


def _fitted(
    book: BlendBook, response: Response, rows: Sequence[tuple[tuple[float, ...], float, str]]
) -> Surface:
    values = [value for _, value, _ in rows]
    logarithmic = is_logarithmic(response.quantity) and min(values) > 0.0
    pure = {
        shares.index(1.0): value for shares, value, _ in rows if max(shares) == 1.0
    }  # a rule starts from the components alone
    rule = book.rules.get(response.quantity, "")
    if rule and len(pure) < len(book.components):
        rule = ""
    return choose_surface(
        response,
        [component.name for component in book.components],
        [shares for shares, _, _ in rows],
        values,
        scale="logarithm" if logarithmic else "value",
        rule=rule,
        component_values=[pure[place] for place in range(len(book.components))] if rule else None,
        batches=[name for _, _, name in rows],
        others=_recovery_curve(book, response, rows),
    )


def _recovery_curve(
    book: BlendBook, response: Response, rows: Sequence[tuple[tuple[float, ...], float, str]]
) -> list[Surface]:
    """A curve over the polymer content, to compare, where recovery was tested at enough contents."""
    polymer = [component.polymer_percent for component in book.components]
    contents = {round(sum(x * y for x, y in zip(shares, polymer, strict=True)), 6) for shares, _, _ in rows}
    if response.quantity not in RECOVERIES or len(contents) < FEWEST_CONTENTS:
        return []
    return [
        fit_recovery_surface(
            response,
            [component.name for component in book.components],
            [shares for shares, _, _ in rows],
            [value for _, value, _ in rows],
            polymer_percent=polymer,
            prior=load_polymer_effect(POLYMER).prior,
            batches=[name for _, _, name in rows],
        )
    ]


def _rows(book: BlendBook) -> Iterator[tuple[tuple[tuple[float, ...], str], Response, float]]:
    """Give every result with shares and name of its blend."""
    names = [component.name for component in book.components]
    for place, component in enumerate(book.components):
        alone = tuple(1.0 if other == place else 0.0 for other in range(len(names)))
        for found in component.determinations:
            if found.value is not None:
                yield (alone, component.name), _response(found), found.value
    for trial in book.trials:
        total = sum(trial.percent.values())
        shares = tuple(trial.percent.get(name, 0.0) / total for name in names)
        for found in trial.determinations:
            if found.value is not None:
                yield (shares, trial.name), _response(found), found.value


def _response(found: Determination) -> Response:
    return Response(found.quantity, found.condition, found.temperature_c)


def _answers(found: Response, asked: Response, tolerance_c: float) -> bool:
    return (
        found.quantity == asked.quantity
        and found.condition is asked.condition
        and near(found.temperature_c, asked.temperature_c, tolerance_c)
    )


def _too_few(response: Response, why: str) -> Finding:
    quantity = QUANTITIES.get(response.quantity, Quantity(response.quantity, "", "", response.quantity))
    return Finding(
        code="too-few-trials",
        severity=Severity.CAUTION,
        message=f"{quantity.title}: {why}.",
        rule="a surface needs more trial blends than it has terms",
        source="own rule",
        advice="Test this property on more of the trial blends.",
    )
