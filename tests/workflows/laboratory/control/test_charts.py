"""Charts on what the record holds of a product."""

import json
from collections.abc import Iterator
from dataclasses import replace

import pytest

from kept_production import AT, HAPPENED, Season, keep_season
from resile.errors import ConflictError, InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.determination import Condition
from resile.records.register import Actor, Result, ResultLine, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.production import produced_values
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.control.exports import (
    charts_table,
    points_table,
    signals_table,
    table_file,
)
from resile.workflows.laboratory.control.left_out import leave_out, left_out_by_reason, take_back
from resile.workflows.laboratory.control.pictures import (
    chart_pictures,
    numbered_signals,
    picture_file,
    single_values,
)
from resile.workflows.laboratory.control.proposals import products_in_use, propose_watches
from resile.workflows.laboratory.control.shown import lots_of_signals, see_chart, see_charts
from resile.workflows.laboratory.control.watches import (
    TypedWatch,
    answer_signals,
    begin_watch,
    change_watch,
    typed_of,
    watch_history,
)

LAB = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def season(record: LaboratoryRecord) -> Season:
    return keep_season(record)


def test_what_was_measured_of_a_product_is_listed_in_order_of_sampling(
    record: LaboratoryRecord, season: Season
) -> None:
    with record.reading() as reading:
        every = produced_values(reading, season.product)
        jnr = produced_values(
            reading, season.product, quantities=("jnr_3.2",), since="2026-01-09", until="2026-01-13"
        )
        assert produced_values(reading, "B-999999") == []
    assert len(every) == 5 * len(season.lots)
    assert [one.taken for one in every] == sorted(one.taken for one in every)
    assert [one.lot for one in jnr] == ["V-003", "V-004", "V-005"]
    assert {(one.tank, one.instrument, one.verification) for one in every} == {
        ("Tank 1", "Rheometer 1", "verified")
    }
    softening = [one for one in every if one.quantity == "softening_point"]
    assert {one.condition for one in softening} == {Condition.ORIGINAL}  # of the line, not of the run


def test_the_deciding_property_is_proposed_first_with_the_limit_of_its_grade(
    record: LaboratoryRecord, season: Season
) -> None:
    assert [(one.name, one.lots) for one in products_in_use(record, LAB)] == [("Plant V (invented)", 60)]
    first, second, *others = propose_watches(record, LAB, season.product)
    # AASHTO M 332, Table 1, row Jnr3.2, class V: at most 1.0 1/kPa at the high temperature of the grade
    assert (first.name.quantity, first.typed.limit, first.typed.limit_is) == ("jnr_3.2", "1", "at_most")
    assert (first.typed.scale, first.typed.chart) == ("log", "individuals")
    assert (first.typed.baseline_since, first.typed.baseline_until) == ("2026-01-05", "2026-02-22")
    assert (second.name.quantity, second.typed.limit) == ("percent_recovery_3.2", "")
    assert {one.name.quantity for one in others} == {"complex_modulus", "phase_angle", "softening_point"}


def begun(record: LaboratoryRecord, season: Season) -> str:
    proposal = propose_watches(record, LAB, season.product)[0]
    return begin_watch(record, LAB, AT, proposal.typed).key


def test_a_chart_is_begun_sees_the_event_and_keeps_what_was_found(
    record: LaboratoryRecord, season: Season
) -> None:
    key = begun(record, season)
    seen = see_chart(record, LAB, key)
    assert seen.chart is not None
    assert seen.state == "look"
    assert seen.open
    raised = lots_of_signals(seen.chart, seen.open)  # single values: none before the event
    assert {int(lot[2:]) for lot in raised} <= set(range(HAPPENED + 1, 61))
    assert propose_watches(record, LAB, season.product)[0].watched
    with pytest.raises(InputError, match="on a chart of this kind already"):
        begun(record, season)
    last = seen.open_lots[-1]
    with pytest.raises(InputError, match="say what was found"):
        answer_signals(record, LAB, AT, key, last, seen=1, found=" ")
    answer_signals(record, LAB, AT, key, last, seen=1, found="pump of the polymer set too low; set right")
    after = see_chart(record, LAB, key)
    assert (after.state, after.open_lots, after.answered) == ("calm", (), last)
    assert after.chart is not None
    assert after.chart.signals == seen.chart.signals  # answered, not gone
    assert [one.state for one in see_charts(record, LAB)] == ["calm"]


def test_a_result_is_left_out_with_a_cause_alone_and_may_come_back(
    record: LaboratoryRecord, season: Season
) -> None:
    key = begun(record, season)
    before = see_chart(record, LAB, key)
    assert before.chart is not None
    point = before.chart.points[3]
    with pytest.raises(InputError, match="Being far away is no cause"):
        leave_out(record, LAB, AT, key, point.keys, seen=1, reason="")
    with pytest.raises(InputError, match="no result was chosen"):
        leave_out(record, LAB, AT, key, (), seen=1, reason="wrong residue")
    leave_out(record, LAB, AT, key, point.keys, seen=1, reason="wrong residue")
    after = see_chart(record, LAB, key)
    assert after.chart is not None
    assert after.chart.points[3].excluded == "wrong residue"
    assert after.chart.centre != before.chart.centre
    with pytest.raises(ConflictError):
        take_back(record, LAB, AT, key, point.keys[0], seen=1, reason="it was right")
    take_back(record, LAB, AT, key, point.keys[0], seen=2, reason="it was right")
    again = see_chart(record, LAB, key)
    assert again.chart is not None
    assert again.chart.centre == before.chart.centre
    said = [one.reason for one in watch_history(record, LAB, key)]
    assert said == ["taken back: it was right", "left out: wrong residue", "begun"]


def test_replicates_of_a_lot_are_one_point_and_invalid_results_stay_off(
    record: LaboratoryRecord, season: Season
) -> None:
    key = begun(record, season)
    with record.writing(by="P-TEST", at=AT) as book:
        first = book.find(Sample, lot=season.lots[0])[0].key
        told = {"test": "creep_recovery", "file": book.keep_file(b"x"), "file_name": "x", "sample": first}
        for value, worst in ((0.7, ""), (9.0, "invalid")):
            run = book.keep(Run(condition=Condition.SHORT_TERM_AGED, **told)).key
            line = ResultLine("jnr_3.2", value, "1/kPa", 63.9, 3.2)
            book.keep(Result(run=run, sample=first, lines=(line,), worst=worst))
    seen = see_chart(record, LAB, key)
    assert seen.chart is not None
    assert len(seen.chart.points) == 60
    assert len(seen.chart.points[0].values) == 2
    assert [one.value for one in seen.results.invalid] == [9.0]


def test_how_it_is_watched_changes_with_a_reason_and_ends(record: LaboratoryRecord, season: Season) -> None:
    key = begun(record, season)
    typed = typed_of(see_chart(record, LAB, key).kept.value)
    with pytest.raises(InputError, match="a correction needs its reason"):
        change_watch(record, LAB, AT, key, typed, seen=1, reason="")
    for wrong, said in (
        ({"limit": "0"}, "on a log scale a number above zero"),
        ({"limit": ""}, "a limit needs its number"),
        ({"baseline_until": "2025-01-01"}, "before it begins"),
        ({"chart": "guess"}, "'guess' is not known"),
    ):
        with pytest.raises(InputError, match=said):
            change_watch(record, LAB, AT, key, replace(typed, **wrong), seen=1, reason="x")
    open_ = replace(typed, baseline_until="", target="0,6")
    change_watch(record, LAB, AT, key, open_, seen=1, reason="a new base")
    seen = see_chart(record, LAB, key)
    assert (seen.kept.value.target, seen.kept.value.baseline_until) == (0.6, "")
    change_watch(record, LAB, AT, key, open_, seen=2, reason="no longer made", ended=True)
    assert see_charts(record, LAB) == []
    assert see_chart(record, LAB, key).state == "ended"


def test_the_numbers_of_the_list_are_those_of_the_picture(record: LaboratoryRecord, season: Season) -> None:
    key = begun(record, season)
    seen = see_chart(record, LAB, key)
    assert seen.chart is not None
    listed = {one.mark: one.point for one in numbered_signals(seen.chart)}
    assert len(listed) == len(seen.chart.signals) + len(
        seen.chart.beside.signals if seen.chart.beside else ()
    )
    spec = chart_pictures(seen)[0].spec
    drawn = {}
    for panel in spec["vconcat"]:
        for layer in panel["layer"]:
            if layer["mark"].get("shape") == "diamond":
                drawn |= {
                    mark: row["place"]
                    for row in layer["data"]["values"]
                    for mark in row["number"].split(", ")
                }
    assert {mark: seen.chart.points[place - 1].label for mark, place in drawn.items()} == {
        mark: point.label for mark, point in listed.items()
    }
    headings, rows = chart_pictures(seen)[0].rows or ((), [])
    told = {row[0]: row[headings.index("signal")] for row in rows if row[headings.index("signal")]}
    assert {mark for marks in told.values() for mark in marks.split(", ")} == set(listed)


def test_sums_stand_beside_the_values_with_the_same_signals(record: LaboratoryRecord, season: Season) -> None:
    key = begun(record, season)
    assert single_values(see_chart(record, LAB, key)) is None
    typed = replace(typed_of(see_chart(record, LAB, key).kept.value), chart="cumulative-sum")
    change_watch(record, LAB, AT, key, typed, seen=1, reason="to see a small step")
    seen = see_chart(record, LAB, key)
    values = single_values(seen)
    assert seen.chart is not None
    assert values is not None
    assert [one.name for one in chart_pictures(seen)] == ["chart", "values"]
    assert lots_of_signals(values, values.signals) == lots_of_signals(seen.chart, seen.chart.signals)
    assert [10.0**one.plotted for one in values.points] == pytest.approx(
        [one.value for one in seen.results.results]
    )


def test_a_chart_is_taken_away_as_tables_and_pictures(record: LaboratoryRecord, season: Season) -> None:
    seen = see_chart(record, LAB, begun(record, season))
    assert seen.chart is not None
    table = points_table(seen.chart)
    lines = table_file(table, "csv", date="2026-05-04").decode("utf-8-sig").splitlines()
    assert lines[0].startswith("lot,taken,values,plotted")
    assert len(lines) == 61
    assert float(lines[1].split(",")[3]) == seen.chart.points[0].plotted
    rows = json.loads(table_file(table, "json", date="2026-05-04"))
    assert [one["plotted"] for one in rows] == [one.plotted for one in seen.chart.points]
    assert table_file(table, "xlsx", date="2026-05-04").startswith(b"PK")
    with pytest.raises(InputError, match="'doc' is no form of list"):
        table_file(table, "doc", date="2026-05-04")
    listed = signals_table(seen)
    assert {row[listed.columns.index("lot")] for row in listed.rows} >= set(seen.open_lots)
    assert charts_table([seen]).rows[0][:4] == (seen.kept.key, seen.product, seen.title, "individuals")
    pictures = chart_pictures(seen)
    for form, begins in (("svg", b"<svg"), ("png", b"\x89PNG"), ("pdf", b"%PDF")):
        assert picture_file(pictures, "chart", form).startswith(begins)
    with pytest.raises(RecordNotFoundError, match="no picture 'values'"):
        picture_file(pictures, "values", "svg")


def test_what_was_left_out_is_told_by_its_cause(record: LaboratoryRecord, season: Season) -> None:
    key = begun(record, season)
    chart = see_chart(record, LAB, key).chart
    assert chart is not None
    for seen, (places, reason) in enumerate(((range(5, 8), "light oil"), (range(2, 3), "wrong residue")), 1):
        keys = [one for place in places for one in chart.points[place].keys]
        leave_out(record, LAB, AT, key, keys, seen=seen, reason=reason)
    first, second = left_out_by_reason(see_chart(record, LAB, key))
    assert (first.reason, first.span, len(first.results)) == ("light oil", "V-006 to V-008", 3)
    assert (second.reason, second.span) == ("wrong residue", "V-003")


def test_a_chart_of_one_lot_says_what_it_waits_for(record: LaboratoryRecord) -> None:
    product = keep_season(record, lots=1, deliveries=False).product
    typed = TypedWatch(product=product, quantity="jnr_3.2", temperature_c="64", scale="log")
    seen = see_chart(record, LAB, begin_watch(record, LAB, AT, typed).key)
    assert (seen.chart, seen.state) == (None, "begun")
    assert seen.words == "being set up: 1 lot so far, two make a chart"
    assert chart_pictures(seen) == []
    assert charts_table([seen]).rows[0][-2:] == (0, "")


def test_nobody_without_the_right_sets_up_or_sees(record: LaboratoryRecord, season: Season) -> None:
    key = begun(record, season)
    reader = Actor("P-9", "reader", frozenset({"runs.see"}))
    assert see_chart(record, reader, key).chart
    with pytest.raises(PermissionRefusedError):
        leave_out(record, reader, AT, key, ("E-000001",), seen=1, reason="x")
    with pytest.raises(PermissionRefusedError):
        see_charts(record, Actor("P-8", "customer", frozenset({"samples.see"}), "K-000001"))
