"""A year of production that never was: two products, 250 lots each, with events planted in it.

The story, the levels and the scatter stand in ``production.toml``; `produce` draws the year from a seed. The
same seed gives the same year, another one a year of the same kind: that is how the charts are held to what
theory promises (``docs/methods/planted_year.md``).
"""

from __future__ import annotations

import datetime
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np

from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES


@dataclass(frozen=True, slots=True, kw_only=True)
class InventedProperty:
    """A property of an invented product, with its scatter.

    Attributes
    ----------
    watched : WatchedProperty
        What it is, with scale, limit and the level that is aimed at.
    lots_sd, test_sd : float
        Standard deviations from lot to lot and of the test, on the watched scale.
    stiffness : float
        How far a stiffer lot shows it, -1 to 1.
    digits : int
        Digits after the point in which it is written.
    """

    watched: WatchedProperty
    lots_sd: float
    test_sd: float
    stiffness: float
    digits: int

    @property
    def standard_deviation(self) -> float:
        """Of a single result, on the watched scale."""
        return math.hypot(self.lots_sd, self.test_sd)


@dataclass(frozen=True, slots=True, kw_only=True)
class InventedProduct:
    """A product that does not exist.

    Attributes
    ----------
    name, short, grade, tank, plant : str
        What it is called, the letter of its lots, its grade, its usual tank, and where loads go.
    properties : tuple of InventedProperty
        What is tested of each lot.
    """

    name: str
    short: str
    grade: str
    tank: str
    plant: str
    properties: tuple[InventedProperty, ...]

    def property_named(self, quantity: str) -> InventedProperty:
        """Give a property by its name in the glossary."""
        return next(one for one in self.properties if one.watched.quantity == quantity)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantedEvent:
    """Something that goes wrong in the invented year.

    Attributes
    ----------
    name, product, story : str
        What it is, the letter of the product, and what happens, in a sentence.
    first, last : int
        Numbers of the first and last lot that it touches, from 1.
    moves : mapping of str to float
        By how many standard deviations of a single result each property moves; with `drift` at its end.
    watched, chart : str
        Property in which it is looked for first, and the kind of chart.
    drift : bool
        Whether it grows from lot to lot.
    operator, instrument : int
        Number of the operator or rheometer whose results alone it touches; 0 for all.
    tank : str
        Tank that is loaded from while it lasts; empty for the usual one.
    suggested : str
        Kind of cause that the pattern table names; empty where comparing operators or instruments shows it.
    """

    name: str
    product: str
    story: str
    first: int
    last: int
    moves: Mapping[str, float]
    watched: str
    chart: str
    drift: bool = False
    operator: int = 0
    instrument: int = 0
    tank: str = ""
    suggested: str = ""

    def touches(self, lot: InventedLot) -> bool:
        """Tell whether a lot is one of those that it may touch."""
        who = self.operator in (0, lot.operator) and self.instrument in (0, lot.instrument)
        return lot.product == self.product and who

    def share(self, number: int) -> float:
        """Give how much of the moves a lot has: 0 before and after, 1 at the end of a drift."""
        if not self.first <= number <= self.last:
            return 0.0
        return (number - self.first + 1) / (self.last - self.first + 1) if self.drift else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class InventedYear:
    """What is made in a year, and what goes wrong in it.

    Attributes
    ----------
    title : str
        What it is.
    seed, lots, set_up_lots : int
        Seed of its scatter, lots of each product, and how many of them the charts are set up from.
    first_day : datetime.date
        Day of the first lot; one lot a working day.
    operators, instruments : tuple of str
        Who tests in turn, and on what.
    products : tuple of InventedProduct
        What is made.
    events : tuple of PlantedEvent
        What was planted.
    """

    title: str
    seed: int
    lots: int
    set_up_lots: int
    first_day: datetime.date
    operators: tuple[str, ...]
    instruments: tuple[str, ...]
    products: tuple[InventedProduct, ...]
    events: tuple[PlantedEvent, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InventedLot:
    """A lot with what the laboratory found.

    Attributes
    ----------
    product, lot, taken, tank : str
        Letter of the product, name of the lot, day of sampling and tank.
    number, operator, instrument : int
        Number of the lot, of who tested and of the rheometer, each from 1.
    values : mapping of str to float
        Results by name of the glossary, as written.
    """

    product: str
    lot: str
    taken: str
    tank: str
    number: int
    operator: int
    instrument: int
    values: Mapping[str, float]


@cache
def read_year() -> InventedYear:
    """Read the invented year.

    Returns
    -------
    InventedYear
        As it stands in ``production.toml``.
    """
    told = tomllib.loads((resources.files(__package__) / "production.toml").read_text(encoding="utf-8"))
    return InventedYear(
        title=told["title"],
        seed=told["seed"],
        lots=told["lots"],
        set_up_lots=told["set_up_lots"],
        first_day=datetime.date.fromisoformat(told["first_day"]),
        operators=tuple(told["operators"]),
        instruments=tuple(told["instruments"]),
        products=tuple(_product(one) for one in told["product"]),
        events=tuple(PlantedEvent(**one) for one in told["event"]),
    )


def _product(told: dict[str, Any]) -> InventedProduct:
    properties = tuple(_property(told["name"], one) for one in told["property"])
    return InventedProduct(**{**{k: v for k, v in told.items() if k != "property"}, "properties": properties})


def _property(product: str, told: dict[str, Any]) -> InventedProperty:
    return InventedProperty(
        watched=WatchedProperty(
            product=product,
            quantity=told["quantity"],
            unit=QUANTITIES[told["quantity"]].unit,
            condition=Condition(told["condition"]),
            temperature_c=told.get("temperature_c"),
            scale=told.get("scale", "linear"),
            limit=told.get("limit"),
            limit_is=told.get("limit_is", ""),
            target=told["level"],
        ),
        **{name: told[name] for name in ("lots_sd", "test_sd", "stiffness", "digits")},
    )


def produce(
    *, seed: int | None = None, planted: bool = True, lots: int | None = None, written: bool = True
) -> tuple[InventedLot, ...]:
    """Draw a year of production.

    Parameters
    ----------
    seed : int, optional
        Of the scatter; that of the invented year where not given.
    planted : bool
        Whether the events happen.
    lots : int, optional
        How many lots of each product, where not those of a year.
    written : bool
        Whether results are rounded as the laboratory writes them.

    Returns
    -------
    tuple of InventedLot
        Product by product, in order of time.
    """
    year = read_year()
    draws = np.random.default_rng(year.seed if seed is None else seed)
    days = _working_days(year.first_day, lots or year.lots)
    events = year.events if planted else ()
    return tuple(
        lot for product in year.products for lot in _lots_of(product, year, events, days, draws, written)
    )


def _lots_of(
    product: InventedProduct,
    year: InventedYear,
    events: tuple[PlantedEvent, ...],
    days: list[str],
    draws: np.random.Generator,
    written: bool,
) -> list[InventedLot]:
    count = len(days)
    stiffness = draws.standard_normal(count)
    scatter = {
        one.watched.quantity: one.lots_sd
        * (one.stiffness * stiffness + math.sqrt(1.0 - one.stiffness**2) * draws.standard_normal(count))
        + one.test_sd * draws.standard_normal(count)
        for one in product.properties
    }
    made = []
    for index, day in enumerate(days):
        number = index + 1
        bare = InventedLot(
            product=product.short,
            lot=f"{product.short}-{number:03d}",
            taken=day,
            tank=product.tank,
            number=number,
            operator=index % len(year.operators) + 1,
            instrument=index % len(year.instruments) + 1,
            values={},
        )
        own = [event for event in events if event.touches(bare) and event.share(number) > 0.0]
        made.append(
            _with_values(bare, product, own, {q: float(v[index]) for q, v in scatter.items()}, written)
        )
    return made


def _with_values(
    bare: InventedLot,
    product: InventedProduct,
    events: list[PlantedEvent],
    scatter: Mapping[str, float],
    written: bool,
) -> InventedLot:
    values = {}
    for one in product.properties:
        name = one.watched.quantity
        moved = sum(event.share(bare.number) * event.moves.get(name, 0.0) for event in events)
        off = scatter[name] + moved * one.standard_deviation
        level = one.watched.target or 0.0
        value = level * 10.0**off if one.watched.scale == "log" else level + off
        values[name] = round(value, one.digits) if written else value
    return InventedLot(
        product=bare.product,
        lot=bare.lot,
        taken=bare.taken,
        tank=next((event.tank for event in events if event.tank), bare.tank),
        number=bare.number,
        operator=bare.operator,
        instrument=bare.instrument,
        values=values,
    )


def _working_days(first: datetime.date, count: int) -> list[str]:
    days = (first + datetime.timedelta(days=offset) for offset in range(2 * count + 7))
    working = [day.isoformat() for day in days if day.weekday() < 5]
    return working[:count]


def results_of_year(lots: tuple[InventedLot, ...], product: str, quantity: str) -> list[ProductionResult]:
    """Give one property of one product as a chart takes it.

    Parameters
    ----------
    lots : tuple of InventedLot
        A year.
    product, quantity : str
        Letter of the product, and name from the glossary.
    """
    year = read_year()
    return [
        ProductionResult(
            key=f"{lot.lot} {quantity}",
            lot=lot.lot,
            taken=lot.taken,
            value=lot.values[quantity],
            tank=lot.tank,
            operator=year.operators[lot.operator - 1],
            instrument=year.instruments[lot.instrument - 1],
            place=f"{year.title}, lot {lot.lot}",
        )
        for lot in lots
        if lot.product == product
    ]
