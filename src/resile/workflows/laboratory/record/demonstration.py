"""The invented laboratory, loaded into an empty record: to look around in, and to show to others.

Everything in it is invented and says so; nothing was measured. It goes through the same workflows as a real
day, so that what is shown is what the program does.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from resile.errors import ConflictError
from resile.readers.blends.book import read_blend_book
from resile.readers.order import read_order
from resile.records.order import TestOrder
from resile.records.reading import HeldFile
from resile.records.register import (
    Actor,
    Kept,
    LaboratorySettings,
    Person,
    Retention,
    Sample,
    SiteRecord,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.demonstration import write_demonstration
from resile.workflows.demonstration.sweep_records import FOLDER as SWEEPS
from resile.workflows.laboratory.access.permissions import actor_of, require
from resile.workflows.laboratory.blends.kept_blends import keep_blend_book
from resile.workflows.laboratory.offer.ranges import keep_range
from resile.workflows.laboratory.offer.sites import keep_sites
from resile.workflows.laboratory.record.demonstration_bench import days_from, keep_bench, keep_heatings
from resile.workflows.laboratory.record.demonstration_comparisons import keep_comparisons
from resile.workflows.laboratory.record.demonstration_production import keep_production
from resile.workflows.laboratory.record.demonstration_samples import (
    keep_sweeps,
    keep_tests,
    receive_ordered,
)
from resile.workflows.laboratory.samples.custody import split_sample
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.samples.retention import keep_retention
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.laboratory.statements.issuing import draft_statement, release_statement

Told = Callable[[int, int, str], None]
"""Told how many steps are done, of how many, and what comes next; what it raises stops the work."""

ORDERS = (
    "101-plain",
    "102-spring",
    "103-spring-tank-2",
    "104-certificate",
    "105-receipt",
    "201-plain",
    "202-blend",
    "203-polymer",
)
GRADED = ("101", "102", "103", "104", "201", "202", "203")
ISSUED = ("101", "103", "201")
_STEPS = len(ORDERS) + len(GRADED) + len(ISSUED) + 7
_PEOPLE = (
    ("I. Ombrelace (invented)", "ombrelace", ("technician", "specialist")),
    ("P. Quillsedge (invented)", "quillsedge", ("releaser", "manager")),
    ("T. Marrow (invented)", "marrow", ("technician",)),
)


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was loaded.

    Attributes
    ----------
    samples : dict of str to str
        Number and key of each sample.
    sites : int
        How many roads.
    waiting : str
        Key of the statement that waits for its release.
    lots : int
        How many lots of the year of production.
    """

    samples: dict[str, str]
    sites: int
    waiting: str
    lots: int


def load_demonstration(
    record: LaboratoryRecord, actor: Actor, at: str, progress: Told | None = None
) -> Loaded:
    """Load the invented laboratory into a record that holds no sample yet.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who wants it; the work itself is done by invented persons, who have no passwords.
    at : str
        When, ISO 8601 in UTC.
    progress : callable or None
        Told of steps done, of how many, and what comes next.

    Raises
    ------
    PermissionRefusedError, ConflictError
        Where the person may not, or the record holds samples already.
    """
    refuse_filled(record, actor)
    steps = _Steps(progress)
    steps.next("people and instruments")
    author, releaser = _keep_house(record, actor, at)
    with tempfile.TemporaryDirectory(prefix="resile-demonstration-") as folder:
        write_demonstration(Path(folder))
        orders = [read_order(Path(folder) / name / "order.toml") for name in ORDERS]
        instruments = keep_bench(record, releaser, at, orders)
        samples = {}
        for order in orders:
            steps.next(f"sample {order.sample.name}")
            samples[order.sample.name] = _keep_order(record, author, at, order, instruments)
        waiting = _statements(record, author, releaser, at, samples, steps)
        steps.next("samples that wait")
        samples |= _keep_waiting(record, author, at, orders[0])
        steps.next("sweeps for models")
        samples |= keep_sweeps(record, author, at, orders[-1], Path(folder) / SWEEPS, instruments)
        steps.next("rounds, checks and own precision")
        keep_comparisons(record, author, at, instruments)
        _plan_retention(record, releaser, at, samples)
        steps.next("twenty roads")
        sites = _keep_offer(record, author, at, Path(folder) / "roads")
        steps.next("a year of production")
        lots = keep_production(record, author, at, instruments)
    steps.end()
    return Loaded(samples, sites, waiting, len(lots))


def refuse_filled(record: LaboratoryRecord, actor: Actor) -> None:
    """Refuse a person who may not load it, and a record that holds samples already.

    Raises
    ------
    PermissionRefusedError, ConflictError
        As in `load_demonstration`.
    """
    require(actor, "settings.write")
    require(actor, "people.write")
    with record.reading() as reading:
        if reading.count(Sample):
            raise ConflictError(
                "the record holds samples already; the invented laboratory is loaded into an empty record "
                "alone, so that invented and real work are never mixed. Name a new one with --record"
            )


class _Steps:
    def __init__(self, told: Told | None) -> None:
        self._told, self._done = told, 0

    def next(self, words: str) -> None:
        if self._told:
            self._told(min(self._done, _STEPS), _STEPS, words)
        self._done += 1

    def end(self) -> None:
        if self._told:
            self._told(_STEPS, _STEPS, "")


def _keep_house(record: LaboratoryRecord, actor: Actor, at: str) -> tuple[Actor, Actor]:
    with record.writing(by=actor.key, at=at) as book:
        people = [
            book.keep(Person(name=name, account=account, roles=roles)) for name, account, roles in _PEOPLE
        ]
        if not book.count(LaboratorySettings):
            book.keep(
                LaboratorySettings(
                    name="Road Laboratory of Ambelund (invented)",
                    address="Quay 3, Ambelund, Tussowey Isles (invented)",
                    four_eyes=True,
                    specification="m332-2014",
                    invented=True,
                )
            )
    return actor_of(people[0]), actor_of(people[1])


def _keep_order(
    record: LaboratoryRecord, author: Actor, at: str, order: TestOrder, instruments: dict[str, str]
) -> str:
    sample = receive_ordered(record, author, at, order)
    keep_heatings(record, author, at, sample)
    keep_tests(record, author, at, order, sample, instruments)
    return sample


def _statements(
    record: LaboratoryRecord,
    author: Actor,
    releaser: Actor,
    at: str,
    samples: dict[str, str],
    steps: _Steps,
) -> str:
    for number in GRADED:
        steps.next(f"grade of sample {number}")
        grade_stored_sample(record, author, at, samples[number])
    for number in ISSUED:
        steps.next(f"certificate of sample {number}")
        draft = draft_statement(record, author, at, samples[number])
        release_statement(record, releaser, at, draft.key)
    steps.next("a certificate that replaces another, and one that waits for its release")
    again = draft_statement(
        record, author, at, samples["103"], reason="The customer's order number was missing (invented)."
    )
    release_statement(record, releaser, at, again.key)
    return draft_statement(record, author, at, samples["102"]).key


def _keep_waiting(record: LaboratoryRecord, author: Actor, at: str, order: TestOrder) -> dict[str, str]:
    """Receive what nobody has tested yet: a sample, and one that was split."""
    arrival = Arrival(
        number="106",
        product=order.sample.product,
        customer=order.customer,
        claimed_grade="64S",
        lot="load 23",
        received=days_from(at, -1),
        container="1 L can, seal 0416",
        cans=("A",),
        note="Invented for demonstration.",
        invented=True,
    )
    whole = receive_sample(record, author, at, arrival)
    halves = split_sample(record, author, at, whole.key, place="cold room, shelf 3 (invented)")
    other = Arrival(
        number="107",
        product="Quarnsk Spring, elastomer-modified as declared (invented)",
        customer=order.customer,
        claimed_grade="64V",
        lot="load 24",
        received=days_from(at, 0),
        cans=("A", "B"),
        modified=True,
        note="Invented for demonstration; with the urgent load.",
        invented=True,
    )
    kept = [whole, *halves, receive_sample(record, author, at, other)]
    return {one.value.number: one.key for one in kept}


def _plan_retention(record: LaboratoryRecord, actor: Actor, at: str, samples: dict[str, str]) -> None:
    for number, due in (("101", -4), ("102", 6)):
        with record.reading() as reading:
            planned = reading.find(Retention, sample=samples[number], ended=False, limit=1)
        retention = Retention(
            sample=samples[number],
            rule="moved for demonstration (invented)",
            starts=days_from(at, due - 90),
            due=days_from(at, due),
            place="cold room, shelf 1 (invented)",
        )
        revised = (
            {"key": planned[0].key, "seen": planned[0].revision, "reason": "moved for demonstration"}
            if planned
            else {}
        )
        keep_retention(record, actor, at, retention, **revised)  # type: ignore[arg-type]


def _keep_offer(record: LaboratoryRecord, author: Actor, at: str, roads: Path) -> int:
    weather = tuple(_held(path) for path in sorted((roads / "weather").iterdir()))
    sites = HeldFile("sites.csv", (roads / "sites.csv").read_bytes(), weather)
    kept, _ = keep_sites(record, author, at, sites, invented=True)
    table = HeldFile("range.csv", (roads / "range.csv").read_bytes(), (_held(roads / "results.csv"),))
    keep_range(record, author, at, table, name="Range of Quarnsk (invented)", invented=True)
    _keep_blends(record, author, at, roads.parent / "blends", {one.value.name: one for one in kept})
    return len(kept)


def _keep_blends(
    record: LaboratoryRecord, author: Actor, at: str, folder: Path, roads: dict[str, Kept[SiteRecord]]
) -> None:
    """Keep the invented blend book, for its road where that needs the grade the book aims at."""
    tables = tuple(_held(path) for path in sorted(folder.glob("*.csv")))
    book = HeldFile("book.toml", (folder / "book.toml").read_bytes(), tables)
    aim = read_blend_book(book).aim
    road = roads.get(aim.site)
    site = road.key if road is not None and road.value.grade == aim.grade else ""
    keep_blend_book(record, author, at, book, site=site, note="Invented for demonstration.")


def _held(path: Path) -> HeldFile:
    return HeldFile(path.name, path.read_bytes())
