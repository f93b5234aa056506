"""Charts are computed once for a state of the record, and anew after every change that they follow from."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kept_production import AT, BY, Season, keep_season
from resile.records.register import ControlWatch, Instrument, Product, Result, Run, Sample, Tank
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.production import produced_values, state_of_values
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.control.left_out import leave_out
from resile.workflows.laboratory.control.products import chart_controlled
from resile.workflows.laboratory.control.proposals import propose_watches
from resile.workflows.laboratory.control.remembered import remembered
from resile.workflows.laboratory.control.shown import SeenChart, see_charts, seen_of
from resile.workflows.laboratory.control.watches import answer_signals, begin_watch

LAB = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def season(record: LaboratoryRecord) -> Season:
    kept = keep_season(record, lots=30)
    begin_watch(record, LAB, AT, propose_watches(record, LAB, kept.product)[0].typed)
    return kept


def computed_anew(record: LaboratoryRecord, product: str) -> list[SeenChart]:
    with record.reading() as reading:
        name = reading.get(Product, product).value.name
        values = produced_values(reading, product)
        return [seen_of(one, name, values) for one in reading.find(ControlWatch, product=product)]


def test_a_chart_is_not_computed_again_while_nothing_that_matters_changes(
    record: LaboratoryRecord, season: Season
) -> None:
    first = see_charts(record, LAB)[0]
    assert see_charts(record, LAB)[0] is first
    assert chart_controlled(record, LAB, first.kept.key, AT).seen is first
    with record.writing(by=BY, at=AT) as book:
        book.keep(Sample(number="of nothing watched"))
    assert see_charts(record, LAB)[0] is first


def changed(kind: type[Any], key: str, **what: Any) -> Callable[[Book], object]:
    def change(book: Book) -> object:
        kept = book.get(kind, key)
        return book.keep(replace(kept.value, **what), key=key, seen=kept.revision, reason="a correction")

    return change


def test_every_change_of_the_record_is_seen_at_once(record: LaboratoryRecord, season: Season) -> None:
    with record.reading() as reading:
        sample = reading.find(Sample, lot="V-012")[0]
        run = reading.find(Run, sample=sample.key, test="creep_recovery")[0]
        result = next(one for one in reading.find(Result, limit=90) if one.value.run == run.key)
        instrument, tank = reading.find(Instrument)[0].key, season.tank
    line = replace(result.value.lines[0], value=1.9)
    with record.writing(by=BY, at=AT) as book:
        other = book.keep(Product(name="Another (invented)")).key
    seen = see_charts(record, LAB)
    for change in (
        changed(Result, result.key, lines=(line, *result.value.lines[1:])),
        changed(Sample, sample.key, lot="V-012 corrected"),
        changed(Sample, sample.key, taken="2026-03-30"),
        changed(Sample, sample.key, product=other),  # one lot fewer, and nothing new among the others
        changed(Sample, sample.key, product=season.product),
        changed(Tank, tank, name="Tank 1, cleaned"),
        changed(Instrument, instrument, name="Rheometer 1, moved"),
        changed(Run, run.key, verification="overdue"),
        changed(Product, season.product, name="Plant V, new name (invented)"),
    ):
        with record.writing(by=BY, at=AT) as book:
            change(book)
        before, seen = seen, see_charts(record, LAB)
        assert seen == computed_anew(record, season.product)
        assert seen != before
    key, last = seen[0].kept.key, seen[0].results.results[-1]
    leave_out(record, LAB, AT, key, (last.key,), seen=1, reason="wrong residue")
    answer_signals(record, LAB, AT, key, last.lot, seen=2, found="the pump")
    assert see_charts(record, LAB) == computed_anew(record, season.product)


def test_two_records_of_the_same_places_are_never_taken_for_one_another(tmp_path: Path) -> None:
    states = []
    for number in ("1", "2"):
        record = LaboratoryRecord.open(tmp_path / f"{number}.db")
        with record.writing(by=BY, at=AT) as book:
            product = book.keep(Product(name="A (invented)")).key
            book.keep(Sample(number=number, product=product))
        with record.reading() as reading:
            states.append(state_of_values(reading, product))
            assert state_of_values(reading, "B-999999")[:6] == (0,) * 6
        record.close()
    assert states[0][:-1] == states[1][:-1]
    assert states[0] != states[1]


def test_the_oldest_answers_are_forgotten_first() -> None:
    asked: list[int] = []

    def answer(number: int) -> int:
        return remembered(("of this test", number), lambda: asked.append(number) or number)

    for number in range(200):
        assert answer(number) == number
    assert answer(199) == 199
    assert len(asked) == 200
    assert answer(0) == 0
    assert len(asked) == 201
