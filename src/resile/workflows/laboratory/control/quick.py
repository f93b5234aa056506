"""Quick tests of a product from the record: what the unaged binder says of the slow result on the residue."""

from __future__ import annotations

from collections.abc import Sequence

from resile.errors import ResileError
from resile.records.control.production import WatchedProperty
from resile.records.control.surrogate import QuickProperty, QuickSample, QuickTests
from resile.records.determination import Condition
from resile.records.register import ControlWatch, Kept
from resile.specifications.watching import usual_scale
from resile.storage.lists.production import ProducedValue
from resile.workflows.control.quick import fit_quick_tests
from resile.workflows.laboratory.control.produced import (
    INVALID,
    PropertyName,
    belongs,
    properties_in,
    unit_of,
    watched_property,
)
from resile.workflows.laboratory.control.settled import settled


def quick_tests_of(
    values: Sequence[ProducedValue], watches: Sequence[Kept[ControlWatch]], product: str
) -> tuple[QuickTests | None, str]:
    """Fit what the unaged binder says of the watched slow property of a product.

    Parameters
    ----------
    values : sequence of ProducedValue
        Of the product.
    watches : sequence of Kept of ControlWatch
        Its charts: the slow property is one of them.
    product : str
        Name of the product.

    Returns
    -------
    tuple of (QuickTests or None, str)
        None with the reason where nothing can be fitted.
    """
    slow = next((one.value for one in watches if one.value.quantity in settled()["slow"]), None)
    if slow is None:
        return None, "no chart watches a slow property; begin one of Jnr"
    watched = watched_property(slow, product)
    names = _quick_names(values)
    if not names:
        return None, "no quick property was tested on enough lots"
    found, refusal = None, ""
    for count in range(1, len(names) + 1):
        try:
            quick = tuple(QuickProperty(watched=_quick(one, product)) for one in names[:count])
            samples = _samples(values, slow, names[:count])
            asked = fit_quick_tests(samples, QuickProperty(watched=watched), quick)
        except ResileError as error:
            refusal = str(error)
            break
        # A further property is kept only where lots left out are met better: more always fit better.
        if found is None or asked.left_out_standard < found.left_out_standard:
            found = asked
    return found, refusal if found is None else ""


def _quick_names(values: Sequence[ProducedValue]) -> list[PropertyName]:
    counted = properties_in(values)
    found = []
    for quantity in settled()["quick"]:
        own = [
            (lots, name)
            for name, lots in counted.items()
            if name.quantity == quantity
            and name.condition is Condition.ORIGINAL
            and lots >= settled()["fewest_lots"]
        ]
        if own:
            found.append(max(own, key=lambda one: one[0])[1])
    return found


def _quick(name: PropertyName, product: str) -> WatchedProperty:
    log = usual_scale(name.quantity) == "log"
    return WatchedProperty(
        product=product,
        quantity=name.quantity,
        unit=unit_of(name.quantity),
        condition=name.condition,
        temperature_c=name.temperature_c,
        scale="log" if log else "linear",
    )


def _samples(
    values: Sequence[ProducedValue], slow: ControlWatch, names: Sequence[PropertyName]
) -> list[QuickSample]:
    """Give the newest lots that have every quick result, a row a sample."""
    wanted: list[PropertyName | ControlWatch] = [slow, *names]
    by_sample: dict[str, dict[int, ProducedValue]] = {}
    for one in values:
        if one.worst == INVALID:
            continue
        for place, each in enumerate(wanted):
            if belongs(one, each):
                by_sample.setdefault(one.sample, {}).setdefault(place, one)
    rows = []
    for held in by_sample.values():
        if all(place in held for place in range(1, len(names) + 1)):
            first = held[1]
            rows.append(
                QuickSample(
                    lot=first.lot,
                    taken=first.taken,
                    quick=tuple(held[place].value for place in range(1, len(names) + 1)),
                    slow=held[0].value if 0 in held else None,
                    place=f"sample {first.number}",
                )
            )
    return sorted(rows, key=lambda one: one.taken)[-settled()["quick_lots"] :]
