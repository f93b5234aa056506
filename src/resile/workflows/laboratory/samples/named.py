"""Products, tanks and customers by the names people type: found, or made on the way."""

from __future__ import annotations

from resile.errors import RecordNotFoundError
from resile.records.register import Customer, Person, Product, Sample, Tank
from resile.storage.book import Book
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import ONE_PERSON


def product_key(book: Book, name: str, *, invented: bool = False) -> str:
    """Give the key of a product, made where the record holds none of this name; empty for no name."""
    wanted = name.strip()
    if not wanted:
        return ""
    found = book.find(Product, name=wanted, limit=1)
    return found[0].key if found else book.keep(Product(name=wanted, invented=invented)).key


def customer_key(book: Book, name: str, *, invented: bool = False) -> str:
    """Give the key of a customer, made where the record holds none of this name; empty for no name."""
    wanted = name.strip()
    if not wanted:
        return ""
    found = book.find(Customer, name=wanted, limit=1)
    return found[0].key if found else book.keep(Customer(name=wanted, invented=invented)).key


def tank_key(book: Book, name: str, product: str) -> str:
    """Give the key of a tank, made where the record holds none of this name; empty for no name."""
    wanted = name.strip()
    if not wanted:
        return ""
    found = book.find(Tank, name=wanted, limit=1)
    return found[0].key if found else book.keep(Tank(name=wanted, product=product)).key


def name_of(reading: Reading, kind: type[Product] | type[Tank] | type[Customer], key: str) -> str:
    """Give the name behind a key; empty for no key."""
    return reading.get(kind, key).value.name if key else ""


def person_name(reading: Reading, key: str) -> str:
    """Give the name of a person; the one of a laboratory without accounts is the laboratory."""
    if key == ONE_PERSON:
        return "the laboratory"
    found = reading.find(Person, key=key, limit=1)
    return found[0].value.name if found else key


def sample_key(reading: Reading, typed: str) -> str:
    """Give the key of a sample that is named by its number or its key.

    Raises
    ------
    RecordNotFoundError
        The record holds neither.
    """
    wanted = typed.strip()
    found = reading.find(Sample, number=wanted, limit=1) or reading.find(Sample, key=wanted, limit=1)
    if not found:
        raise RecordNotFoundError(
            f"sample '{wanted}': the record holds no sample of this number; receive it first, or correct "
            "the number"
        )
    return found[0].key
