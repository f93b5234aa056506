"""The parts of a bench sheet: residues, tests and blanks, as text ready to be set."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Station:
    """One test or preparation, ready to be set.

    Attributes
    ----------
    number, title, method : str
        Heading.
    facts : tuple of (str, str)
        Label and words.
    tolerances : tuple of (str, str)
        What, and what is asked; a box and a blank follow on paper.
    entries : tuple of str
        Headings of the blanks to write in.
    specimens : tuple of str
        Rows of the blanks.
    note, source : str
        What else matters; where it comes from.
    cautions : tuple of str
        Sentences.
    done : bool
        Ticked already.
    done_words : str
        What has a result already; empty where nothing has.
    """

    number: str
    title: str
    method: str
    facts: tuple[tuple[str, str], ...]
    tolerances: tuple[tuple[str, str], ...]
    entries: tuple[str, ...]
    specimens: tuple[str, ...]
    note: str
    source: str
    cautions: tuple[str, ...]
    done: bool = False
    done_words: str = ""


@dataclass(frozen=True, slots=True)
class Bench:
    """One residue with its preparation and its tests.

    Attributes
    ----------
    residue : str
        In words.
    preparation : Station or None
        How it is made; None where the book does not say.
    tests : tuple of Station
        In working order.
    """

    residue: str
    preparation: Station | None
    tests: tuple[Station, ...]


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """The whole sheet.

    Attributes
    ----------
    title, sample, date : str
        For the head; an empty sample is a blank to fill in.
    facts : tuple of (str, str)
        Specification, grade, ageing, binder needed.
    notice : str
        Said over everything where limits or book are unchecked.
    rows : tuple of tuple of str
        The overview: number, test, residue, temperature, limit, specimens, done.
    benches : tuple of Bench
        In working order.
    left_out : tuple of str
        What cannot be planned.
    cautions : tuple of str
        Every hazard of the plan, once.
    made_with : str
        Program and version.
    """

    title: str
    sample: str
    date: str
    facts: tuple[tuple[str, str], ...]
    notice: str
    rows: tuple[tuple[str, ...], ...]
    benches: tuple[Bench, ...]
    left_out: tuple[str, ...]
    cautions: tuple[str, ...]
    made_with: str
