"""Results of a product from the record, as charts and capability take them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.records.register import ControlWatch
from resile.storage.lists.production import ProducedValue
from resile.workflows.laboratory.control.settled import settled

_STAMPS = {
    "overdue": "the verification of the instrument was overdue on the day of the test",
    "failed": "the instrument had failed its verification before the test",
    "unknown": "no verification of the instrument is known for the day of the test",
}
INVALID = "invalid"
_SHORT_TITLE = 18
"""A quantity whose words are longer is called by its symbol."""


@dataclass(frozen=True, slots=True)
class PropertyName:
    """A property as results name it.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue that was tested.
    temperature_c : float or None
        Test temperature, to the nearest half degree [°C].
    """

    quantity: str
    condition: Condition
    temperature_c: float | None

    @property
    def title(self) -> str:
        """Give the property in words."""
        return property_title(self.quantity, self.condition, self.temperature_c)


@dataclass(frozen=True, slots=True)
class WatchedResults:
    """Results that belong to a chart.

    Attributes
    ----------
    results : tuple of ProductionResult
        In order of sampling; several with one lot are its replicates.
    invalid : tuple of ProducedValue
        Left off the chart because a finding keeps them out of every verdict.
    """

    results: tuple[ProductionResult, ...]
    invalid: tuple[ProducedValue, ...]


def property_title(quantity: str, condition: Condition, temperature_c: float | None) -> str:
    """Give a property in words: quantity, temperature, residue.

    Parameters
    ----------
    quantity, condition, temperature_c
        As in `PropertyName`.
    """
    known = QUANTITIES.get(quantity)
    plain = known.title.partition(",")[0] if known else quantity.replace("_", " ")
    words = known.symbol if known and known.symbol and len(plain) > _SHORT_TITLE else plain
    at = "" if temperature_c is None else f" at {temperature_c:g} °C"
    residue = {
        Condition.ORIGINAL: ", unaged",
        Condition.SHORT_TERM_AGED: ", short-term aged",
        Condition.LONG_TERM_AGED: ", long-term aged",
        Condition.RECOVERED: ", recovered",
        Condition.UNKNOWN: "",
    }[condition]
    return f"{words}{at}{residue}"


def unit_of(quantity: str) -> str:
    """Give the unit in which a quantity is kept."""
    known = QUANTITIES.get(quantity)
    return known.unit if known else ""


def watched_property(watch: ControlWatch, product: str) -> WatchedProperty:
    """Give what a kept chart watches.

    Parameters
    ----------
    watch : ControlWatch
        As kept.
    product : str
        Name of the product.
    """
    return WatchedProperty(
        product=product,
        quantity=watch.quantity,
        unit=unit_of(watch.quantity),
        condition=watch.condition,
        temperature_c=watch.temperature_c,
        scale=watch.scale,
        limit=watch.limit,
        limit_is=watch.limit_is,
        target=watch.target,
    )


def results_of(values: Iterable[ProducedValue], watched: PropertyName | ControlWatch) -> WatchedResults:
    """Give the results that belong to a property.

    Parameters
    ----------
    values : iterable of ProducedValue
        Of one product.
    watched : PropertyName or ControlWatch
        Quantity, residue and temperature.

    Returns
    -------
    WatchedResults
        Of the newest lots, as many as a page looks at.
    """
    own = [one for one in values if belongs(one, watched)]
    valid = [one for one in own if one.worst != INVALID]
    newest = list(dict.fromkeys(one.lot for one in reversed(valid)))[: settled()["most_lots"]]
    looked_at = set(newest)
    return WatchedResults(
        tuple(_result(one) for one in valid if one.lot in looked_at),
        tuple(one for one in own if one.worst == INVALID),
    )


def belongs(value: ProducedValue, watched: PropertyName | ControlWatch) -> bool:
    """Tell whether a value is one of a property."""
    if value.quantity != watched.quantity or value.condition is not watched.condition:
        return False
    if watched.temperature_c is None or value.temperature_c is None:
        return watched.temperature_c is None
    tolerance: float = settled()["temperature_tolerance_c"]
    return abs(value.temperature_c - watched.temperature_c) <= tolerance


def properties_in(values: Sequence[ProducedValue]) -> Mapping[PropertyName, int]:
    """Count the lots of each property that was measured.

    Parameters
    ----------
    values : sequence of ProducedValue
        Of one product.
    """
    lots: dict[PropertyName, set[str]] = {}
    for one in values:
        if one.worst != INVALID:
            at = None if one.temperature_c is None else round(2.0 * one.temperature_c) / 2.0
            lots.setdefault(PropertyName(one.quantity, one.condition, at), set()).add(one.lot)
    return {name: len(found) for name, found in lots.items()}


def _result(value: ProducedValue) -> ProductionResult:
    return ProductionResult(
        key=value.result,
        lot=value.lot,
        taken=value.taken,
        value=value.value,
        sample=value.sample,
        tank=value.tank,
        operator=value.operator,
        instrument=value.instrument,
        stamp=_STAMPS.get(value.verification, ""),
        place=f"sample {value.number}, run {value.run}",
    )
