"""Samples come in: received with a number, product, customer and custody, and corrected with a reason."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Any

from resile.errors import InputError
from resile.records.register import Actor, Asked, Can, Custody, Customer, Kept, Product, Sample, Tank
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.samples.named import customer_key, name_of, product_key, tank_key
from resile.workflows.laboratory.samples.retention import RECEIVED, plan_after
from resile.workflows.laboratory.samples.sample_numbers import next_number

LONGEST = 200
"""Most signs of a number, a name or a lot: what the lists hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """A sample as it is handed in, or as it should stand: product, tank and customer by name.

    Attributes
    ----------
    number : str
        Number of the sample; empty to number it by the laboratory's scheme.
    product, tank, customer : str
        Names; one that the record does not hold is kept as new.
    lot, claimed_grade, label, taken, taken_by, taken_at, received, container, state, note
        As in `Sample`.
    quantity_g, represents_t : float or None
        As in `Sample`.
    asked : Asked
        What is asked of it, fixed before the test.
    cans : tuple of str
        What is written on the cans it came in.
    modified : bool
        True for polymer-modified binder: other heating limits apply to its cans.
    handed_by, place, seal : str
        Who handed it in, where it stands, which seal it bore.
    invented : bool
        True for a sample of the demonstration.
    """

    number: str = ""
    product: str = ""
    tank: str = ""
    customer: str = ""
    lot: str = ""
    claimed_grade: str = ""
    label: str = ""
    taken: str = ""
    taken_by: str = ""
    taken_at: str = ""
    received: str = ""
    container: str = ""
    state: str = ""
    quantity_g: float | None = None
    represents_t: float | None = None
    asked: Asked = field(default_factory=Asked)
    cans: tuple[str, ...] = ()
    modified: bool = False
    handed_by: str = ""
    place: str = ""
    seal: str = ""
    note: str = ""
    invented: bool = False


_OWN = tuple(
    one.name
    for one in fields(Arrival)
    if one.name in {f.name for f in fields(Sample)} - {"product", "tank", "customer", "invented"}
)


def receive_sample(record: LaboratoryRecord, actor: Actor, at: str, arrival: Arrival) -> Kept[Sample]:
    """Receive a sample.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who receives it.
    at : str
        When, ISO 8601 in UTC.
    arrival : Arrival
        What is handed in.

    Returns
    -------
    Kept of Sample
        With product, tank, customer, cans and the first event of its custody kept beside it.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError
        Where it may not be received, a day or number is none, or its number is taken.
    """
    require(actor, "samples.write")
    arrival = _checked(replace(arrival, received=arrival.received.strip() or at[:10]))
    with record.writing(by=actor.key, at=at) as book:
        number = arrival.number or next_number(book, arrival.received)
        kept = book.keep(_sample(book, replace(arrival, number=number)))
        book.keep(
            Custody(
                sample=kept.key,
                happened=at,
                event="received",
                from_whom=arrival.handed_by,
                to_whom=actor.name,
                place=arrival.place,
                seal=arrival.seal,
            )
        )
        names = [name.strip() for name in arrival.cans if name.strip()]
        book.keep_many(
            [
                Can(sample=kept.key, name=name, modified=arrival.modified, place=arrival.place)
                for name in names
            ]
        )
        plan_after(book, kept.key, RECEIVED, arrival.received)
    return kept


def correct_sample(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, arrival: Arrival, *, reason: str, seen: int
) -> Kept[Sample]:
    """Correct a sample: a new revision of it, with the reason.

    Parameters
    ----------
    record, actor, at
        As in `receive_sample`.
    key : str
        Key of the sample.
    arrival : Arrival
        As it should stand; cans and custody are corrected on their own.
    reason : str
        Why.
    seen : int
        Revision that was looked at.

    Returns
    -------
    Kept of Sample
        The new revision; the one that stands where nothing differs.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordNotFoundError
        Where it may not be corrected, has no reason, was corrected by somebody else, or is not there.
    """
    require(actor, "samples.write")
    arrival = _checked(arrival)
    if not arrival.number:
        raise InputError("number: a sample keeps a number; it was left empty")
    with record.writing(by=actor.key, at=at) as book:
        old = book.get(Sample, key)
        require_sight(actor, old.value.customer)
        made = _sample(book, replace(arrival, invented=old.value.invented))
        new = replace(made, parent=old.value.parent, half=old.value.half)
        if new == old.value and seen == old.revision:
            return old
        return book.keep(new, key=key, seen=seen, reason=reason)


def arrival_of(record: LaboratoryRecord, actor: Actor, key: str) -> tuple[Kept[Sample], Arrival]:
    """Give a sample as it stands, ready to be corrected.

    Parameters
    ----------
    record, actor
        As in `receive_sample`.
    key : str
        Key of the sample.
    """
    require(actor, "samples.see")
    with record.reading() as reading:
        kept = reading.get(Sample, key)
        require_sight(actor, kept.value.customer)
        sample = kept.value
        named = {
            "product": name_of(reading, Product, sample.product),
            "tank": name_of(reading, Tank, sample.tank),
            "customer": name_of(reading, Customer, sample.customer),
        }
    own: dict[str, Any] = {name: getattr(sample, name) for name in _OWN}
    return kept, Arrival(**own | named, invented=sample.invented)


def _sample(book: Book, arrival: Arrival) -> Sample:
    product = product_key(book, arrival.product, invented=arrival.invented)
    return Sample(
        product=product,
        tank=tank_key(book, arrival.tank, product),
        customer=customer_key(book, arrival.customer, invented=arrival.invented),
        invented=arrival.invented,
        **{name: getattr(arrival, name) for name in _OWN},
    )


def _checked(arrival: Arrival) -> Arrival:
    """Take blanks off what was typed; refuse what cannot be kept."""
    texts: dict[str, Any] = {
        one.name: " ".join(value.split()) if one.name != "note" else value.strip()
        for one in fields(arrival)
        if isinstance(value := getattr(arrival, one.name), str)
    }
    for name, value in texts.items():
        if name != "note" and len(value) > LONGEST:
            raise InputError(f"{name}: {len(value)} signs were found; at most {LONGEST} are kept")
    for name, words in (("received", "day of receipt"), ("taken", "day of sampling")):
        if texts[name]:
            _check_day(texts[name], words)
    for name, words in (("quantity_g", "mass received"), ("represents_t", "mass it stands for")):
        value = getattr(arrival, name)
        if value is not None and not 0 < value < 1e9:
            raise InputError(f"{words}: {value:g} was found; a mass above zero is needed")
    return replace(arrival, **texts)


def _check_day(text: str, words: str) -> None:
    try:
        date.fromisoformat(text[:10])
    except ValueError:
        raise InputError(f"{words}: '{text}' is no day; needed: year-month-day, such as 2026-03-02") from None
