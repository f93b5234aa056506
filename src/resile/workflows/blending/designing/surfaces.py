"""Surfaces of a blend book: one for each property that trials and components were tested for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from resile.compute.blending.surfaces.recovery_surface import fit_recovery_surface
from resile.compute.blending.surfaces.surface_choice import choose_surface
from resile.errors import MeasurementError
from resile.judge.grades.selection import near
from resile.judge.wording import temperature_words
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.quantity import QUANTITIES
from resile.specifications.blending import load_polymer_effect
from resile.workflows.blending.designing.polymers import polymer_of_book

LOGARITHMIC_UNITS = frozenset({"1/kPa", "kPa", "MPa", "Pa·s", "mm²/s", "0.1 mm"})
"""Properties in these units are above zero and change by factors: fitted on their logarithm."""
REMEMBERED = 256
"""Surfaces remembered at a time."""
_Row = tuple[tuple[float, ...], float, str]
RECOVERIES = ("percent_recovery_0.1", "percent_recovery_3.2")
"""Properties that rise with polymer from a threshold to a plateau."""
FEWEST_CONTENTS = 4
"""Different polymer contents that a recovery curve asks for: one more than it has parameters."""


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
    too_few: dict[str, list[str]] = {}
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
            too_few.setdefault(str(error), []).append(_title(response))
    findings = tuple(_too_few(titles, why) for why, titles in too_few.items())
    return BookSurfaces(tuple(surfaces), findings)


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


def _fitted(book: BlendBook, response: Response, rows: Sequence[_Row]) -> Surface:
    """Fit one property of a book."""
    components = tuple((component.name, component.polymer_percent) for component in book.components)
    rule = book.rules.get(response.quantity, "")
    return _fitted_once(response, components, rule, tuple(rows), polymer_of_book(book))


@lru_cache(maxsize=REMEMBERED)
def _fitted_once(
    response: Response,
    components: tuple[tuple[str, float], ...],
    rule: str,
    rows: tuple[_Row, ...],
    polymer_kind: str,
) -> Surface:
    """Fit one property; the same results give the same surface, so a moved recipe is answered at once."""
    names, polymer = [name for name, _ in components], [percent for _, percent in components]
    shares, values = [one for one, _, _ in rows], [value for _, value, _ in rows]
    batches = [name for _, _, name in rows]
    # A rule starts from the components alone, each of which must have been tested.
    pure = {one.index(1.0): value for one, value, _ in rows if max(one) == 1.0}
    ruled = rule if len(pure) == len(names) else ""
    return choose_surface(
        response,
        names,
        shares,
        values,
        scale="logarithm" if is_logarithmic(response.quantity) and min(values) > 0.0 else "value",
        rule=ruled,
        component_values=[pure[place] for place in range(len(names))] if ruled else None,
        batches=batches,
        others=_recovery_curve(response, names, polymer, shares, values, batches, polymer_kind),
    )


def _recovery_curve(
    response: Response,
    names: Sequence[str],
    polymer: Sequence[float],
    shares: Sequence[tuple[float, ...]],
    values: Sequence[float],
    batches: Sequence[str],
    polymer_kind: str,
) -> tuple[Surface, ...]:
    """Give the curve of recovery over polymer, to compete with polynomials; none where it has no ground."""
    contents = {round(sum(x * y for x, y in zip(one, polymer, strict=True)), 6) for one in shares}
    if response.quantity not in RECOVERIES or len(contents) < FEWEST_CONTENTS:
        return ()
    prior = load_polymer_effect(polymer_kind).prior
    try:
        curve = fit_recovery_surface(
            response, names, shares, values, polymer_percent=polymer, prior=prior, batches=batches
        )
    except MeasurementError:
        return ()  # too few batches to tell its scatter: the polynomials say what is needed
    return (curve,)


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


def _title(response: Response) -> str:
    quantity = QUANTITIES.get(response.quantity)
    title = response.quantity if quantity is None else quantity.title
    return (
        title if response.temperature_c is None else f"{title}, {temperature_words(response.temperature_c)}"
    )


def _too_few(titles: Sequence[str], why: str) -> Finding:
    return Finding(
        code="too-few-trials",
        severity=Severity.CAUTION,
        message=f"{'; '.join(titles)}: {why}.",
        rule="a surface needs more trial blends than it has terms",
        source="own rule",
        advice="Test these properties on more trial blends.",
    )
