"""Which polymer a book is about, and what is published of it."""

from __future__ import annotations

import re

from resile.errors import RecordNotFoundError
from resile.records.blending.book import BlendBook
from resile.records.blending.polymer import PolymerEffect
from resile.records.finding import Finding, Severity
from resile.specifications.blending import load_polymer_effect

DEFAULT_POLYMER = "sbs"
"""Taken where a book names no polymer."""
UNKNOWN_POLYMER = "other"
"""The weak ranges that are taken where nothing is published, or two polymers are mixed."""


def polymer_of_book(book: BlendBook) -> str:
    """Give the file of what is published of the polymer of a book.

    Parameters
    ----------
    book : BlendBook
        Its components name their polymer, or do not.

    Returns
    -------
    str
        Identifier: of the one polymer that is named, SBS where none is, the weak ranges where nothing is
        published of it.
    """
    named = _named(book)
    if not named:
        return DEFAULT_POLYMER
    only = named[0].casefold()
    # A name, never a path: a book is not to point at files of the machine that reads it.
    if len(named) > 1 or not re.fullmatch(r"[\w-]+", only):
        return UNKNOWN_POLYMER
    try:
        return load_polymer_effect(only).identifier
    except RecordNotFoundError:
        return UNKNOWN_POLYMER


def effect_of_book(book: BlendBook) -> PolymerEffect:
    """Give what is published of the polymer of a book; see `polymer_of_book`."""
    return load_polymer_effect(polymer_of_book(book))


def polymer_findings(book: BlendBook) -> tuple[Finding, ...]:
    """Say where nothing is published of the polymer of a book.

    Parameters
    ----------
    book : BlendBook
        Its components name their polymer, or do not.

    Returns
    -------
    tuple of Finding
        Empty for SBS, and for a polymer with a file of its own.
    """
    if polymer_of_book(book) != UNKNOWN_POLYMER:
        return ()
    names = " and ".join(_named(book))
    return (
        Finding(
            code="polymer-without-published-ranges",
            severity=Severity.CAUTION,
            message=f"Polymer {names}: no published ranges of recovery and hot storage are at hand; a "
            "recovery curve starts from a weak guess, and what hot storage leaves is not known.",
            rule="published ranges are of one polymer and are not carried over to another",
            source=effect_of_book(book).prior_source,
            advice="Make a ladder of trial blends over the polymer, one of them stored hot; or write a "
            "file of this polymer's ranges.",
        ),
    )


def _named(book: BlendBook) -> tuple[str, ...]:
    """Name the polymers of the components that may be used, each once."""
    found = {one.polymer.casefold(): one.polymer for one in book.components if one.polymer and not one.banned}
    return tuple(found.values())
