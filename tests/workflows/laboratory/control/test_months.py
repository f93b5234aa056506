"""A product under control as a whole, its sampling, and what a month brought."""

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import fmean

import pytest

from kept_production import AT, FIRST, HAPPENED, Season, keep_season
from production_series import SOFTENING, lots
from resile.errors import InputError
from resile.records.control.chart import ChangePoint
from resile.records.register import RoundResult, Sample, Verdict
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.control.watching import watch
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.control.exports import month_table
from resile.workflows.laboratory.control.month import month_report
from resile.workflows.laboratory.control.moved import leads_back
from resile.workflows.laboratory.control.pictures import numbered_signals
from resile.workflows.laboratory.control.products import chart_controlled, product_control
from resile.workflows.laboratory.control.proposals import propose_watches
from resile.workflows.laboratory.control.sampled import (
    TypedSampling,
    agree_to_change,
    due_samples,
    plan_choices,
    put_in_force,
)
from resile.workflows.laboratory.control.shown import see_chart
from resile.workflows.laboratory.control.watches import answer_signals, begin_watch

LAB = one_person()
LATE = "2026-05-04T10:00:00Z"


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def season(record: LaboratoryRecord) -> Season:
    kept = keep_season(record)
    for one in propose_watches(record, LAB, kept.product)[:2]:
        begin_watch(record, LAB, AT, one.typed)
    return kept


def test_a_planted_change_is_dated_and_its_cause_suggested_from_all_charts(
    record: LaboratoryRecord, season: Season
) -> None:
    found = chart_controlled(record, LAB, "J-000001", LATE)
    change = found.changes[-1]
    planted = FIRST.toordinal() + 2 * HAPPENED
    between = [one[:10] for one in (change.earliest, change.latest)]
    first, last = (FIRST.fromisoformat(one).toordinal() for one in between)
    assert first <= planted <= last
    # Jnr up and recovery down: the planted dose of polymer, by the pattern of the trade notes
    assert "polymer" in change.suggestions[0].kind
    assert len(change.suggestions[0].seen) == 2


def test_a_product_shows_margin_target_quick_tests_and_charts_together(
    record: LaboratoryRecord, season: Season
) -> None:
    found = product_control(record, LAB, season.product, LATE)
    jnr, recovery = found.margins
    assert jnr.capability is not None
    assert jnr.target is not None
    assert jnr.capability.watched.limit == 1.0
    assert jnr.target.target < 1.0
    assert (recovery.capability, recovery.refusal) == (None, "no limit is watched")
    assert found.joint is not None
    assert found.joint.signals
    assert found.quick is not None
    assert found.quick.slow.watched.quantity == "jnr_3.2"
    assert any("look into lot V-0" in one for one in found.to_do)
    assert any(one.startswith("Load N-") for one in found.to_do)


def test_a_plan_is_in_force_says_what_is_due_and_calls_for_an_extra_sample_after_a_failure(
    record: LaboratoryRecord, season: Season
) -> None:
    assert "modified-by-tank" in dict(plan_choices())
    typed = TypedSampling(product=season.product, plan="modified-by-tank", since="2026-01-05")
    for wrong in ({"plan": "none such"}, {"severity": "harsh"}, {"since": "soon"}):
        with pytest.raises(Exception, match=next(iter(wrong.values()))):
            put_in_force(record, LAB, AT, replace(typed, **wrong))
    key = put_in_force(record, LAB, AT, typed).key
    with pytest.raises(InputError, match="sampled by modified-by-tank already"):
        put_in_force(record, LAB, AT, typed)
    before = product_control(record, LAB, season.product, LATE).sampling
    assert before is not None
    assert before.state is not None
    assert before.state.severity == "normal"
    asked = [one.lot for one in before.state.due if one.kind == "consent"]
    agree_to_change(record, LAB, AT, key, asked[0], seen=1, reason="the client agreed")
    with record.writing(by="P-TEST", at=AT) as book:
        newest = book.find(Sample, lot=season.lots[-1])[0].key
        book.keep(Verdict(sample=newest, outcome="fail"))
    with record.reading() as reading:
        due = due_samples(reading, "2026-05-04")
    assert (due[0].due.kind, due[0].due.lot, due[0].due.at_once) == ("extra sample", season.lots[-1], True)
    with record.writing(by="P-TEST", at=AT) as book:
        extra = Sample(number="extra", product=season.product, lot=season.lots[-1], taken="2026-05-04")
        book.keep(extra)
    with record.reading() as reading:
        assert "extra sample" not in {one.due.kind for one in due_samples(reading, "2026-05-04")}
    put_in_force(record, LAB, AT, typed, key=key, seen=2, reason="another contract", ended=True)
    assert product_control(record, LAB, season.product, LATE).sampling is None


def test_a_month_tells_what_changed_and_what_to_do(
    record: LaboratoryRecord, season: Season, tmp_path: Path
) -> None:
    quiet = month_report(record, LAB, "2026-01", LATE).report.products[0]
    assert (quiet.lots, quiet.failed, quiet.signals) == (14, (), 0)
    with record.writing(by="P-TEST", at=AT) as book:
        book.keep(Verdict(sample=book.find(Sample, lot="V-050")[0].key, outcome="fail"))
        told = {"scheme": "North (invented)", "round": "7", "material": "A", "quantity": "jnr_3.2"}
        scored = {"value": 1.0, "assigned": 0.8, "deviation": 0.05}  # z = 4 by its definition
        book.keep(RoundResult(day="2026-04-10", **told, **scored))  # type: ignore[arg-type]
    answer = month_report(record, LAB, "2026-04", LATE)
    april = answer.report.products[0]
    assert april.lots == 15
    assert [one.lot for one in april.failed] == ["V-050"]
    assert april.to_do[0].startswith("Lot V-050 failed")
    assert april.signals
    asked = answer.report.laboratory_to_do
    assert any(one.startswith("North (invented), round 7, A: action (z = 4)") for one in asked), asked
    assert any(one.startswith("Verify Rheometer 1: no verification is known") for one in asked), asked
    assert {one.load for one in april.misfits} == {"N-1", "N-2"}
    signal = april.charts[0].signals[-1]
    answer_signals(record, LAB, AT, "J-000001", signal.lot, seen=1, found="the pump")
    again = month_report(record, LAB, "2026-04", LATE)
    assert again.report.products[0].charts[0].signals[-1].answer == "the pump"
    page = again.page(date="2026-05-04")
    assert page.answer.startswith("15 lots were sampled and 1 failed")
    to_do, changed, levels, *_ = page.sections
    assert any("look into lot" in one and "waiting since" in one for one in to_do.bullets)
    assert to_do.closing[0].startswith("To look into a signal: test the retained sample again")
    assert any("with a signal" in one for one in changed.bullets)
    assert [row[1] for row in levels.tables[0].rows] == [one.title for one in april.charts]
    lines = month_table(again.report)
    assert {row[lines.columns.index("what")] for row in lines.rows} >= {"to do", "signal", "failed", "load"}
    assert again.to_json()["products"][0]["lots"] == 15
    written = again.write([tmp_path / "m.pdf", tmp_path / "m.html"], date="2026-05-04")
    assert written[0].read_bytes().startswith(b"%PDF")
    with pytest.raises(InputError, match=r"ends in \.html or \.pdf"):
        again.write([tmp_path / "m.txt"], date="2026-05-04")


def test_a_month_stands_beside_the_one_before(record: LaboratoryRecord, season: Season) -> None:
    # By its definition: the geometric mean of the lots of a month, and three standard errors of a difference.
    first, second = (
        month_report(record, LAB, month, LATE).report.products[0].charts[0]
        for month in ("2026-02", "2026-04")
    )
    assert first.changed is not None
    assert second.changed is not None
    values: dict[str, list[float]] = {}
    for one in see_chart(record, LAB, "J-000001").results.results:
        values.setdefault(one.taken[5:7], []).append(math.log10(one.value))
    assert first.changed.level == pytest.approx(10 ** fmean(values["02"]))
    assert first.changed.before == pytest.approx(10 ** fmean(values["01"]))
    assert second.changed.before == pytest.approx(10 ** fmean(values["03"]))
    assert (first.changed.moved, second.changed.moved) == ("", "up")  # the dose fell on 26 March
    assert second.chart is not None
    assert second.chart.points[0].when >= "2026-02-01"
    assert [one.mark for one in second.signals] == [
        one.mark for one in reversed(numbered_signals(second.chart)) if one.point.when >= "2026-04-01"
    ]


def test_a_change_back_to_the_level_of_the_set_up_is_told_so() -> None:
    chart = watch(lots([50.0, 51.0, 49.0, 50.5, 49.5, 60.0]), SOFTENING)
    away, back = (
        ChangePoint(index=3, when="", earliest="", latest="", before=before, after=after, confidence=0.95)
        for before, after in ((chart.centre, chart.centre + 8.0), (chart.centre + 8.0, chart.centre + 0.1))
    )
    assert not leads_back(away, chart)
    assert leads_back(back, chart)


def test_an_empty_month_leads_to_the_newest_lots(record: LaboratoryRecord, season: Season) -> None:
    found = month_report(record, LAB, "2024-07", LATE)
    # the charts go on, but no lot is theirs: nothing is shown of the product
    assert found.report.products == ()
    assert found.report.newest_month == "2026-05"
    assert found.page(date="").answer_more == ("The newest lots are of May 2026.",)


@pytest.mark.parametrize("month", ["2026-13", "soon", "2026-3", "0000-01"])
def test_a_month_that_is_none_is_refused(month: str, tmp_path: Path) -> None:
    opened = LaboratoryRecord.open(tmp_path / "laboratory.db")
    with pytest.raises(InputError, match="is no month"):
        month_report(opened, LAB, month, LATE)
    assert month_report(opened, LAB, "2026-03", LATE).page(date="").answer.startswith("Nothing was sampled")
    opened.close()
