"""Blend books in the record, on both databases: as files, as typed, with trials drawn from samples."""

import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from invented_blends import blend_book
from resile.errors import ConflictError, InputError, PermissionRefusedError, RecordNotFoundError
from resile.readers.blends.book import read_blend_book
from resile.records.reading import HeldFile
from resile.records.register import Actor, BlendBookRecord, Kept, SiteRecord
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.blends.blend_choices import blend_choices
from resile.workflows.laboratory.blends.blend_files import book_file
from resile.workflows.laboratory.blends.kept_blends import (
    blend_of,
    file_of_blend,
    keep_blend_book,
    list_blends,
    raw_book,
    revisions_of_blend,
)
from resile.workflows.laboratory.blends.shown_book import shown_book
from resile.workflows.laboratory.blends.trials import (
    TypedResult,
    TypedTrial,
    keep_trial,
    results_of_sample,
    samples_of_trials,
)
from resile.workflows.laboratory.blends.typed_blends import (
    TypedBlend,
    TypedComponent,
    TypedLimit,
    has_remarks,
    typed_of,
)
from resile.workflows.laboratory.record.auditing import rebuild_tables
from resile.workflows.orders.ordering import report_order
from resile.workflows.toml_text import toml_text
from stored_samples import keep_order, order_file

AT = "2026-06-30T08:00:00.000Z"
ACTOR = one_person()
SOFT = TypedComponent("Soft base", price_per_tonne="430", today_percent="60")
HARD = TypedComponent("Hard base", price_per_tonne="455,5", highest_percent="60", today_percent="40")
PASTED = """blend	Soft base	Hard base	condition	temperature_c	Jnr3.2, 1/kPa
T1	60	40	RTFO	64	1.9
T2	40	60	RTFO	64	1.1
"""
TYPED = TypedBlend(title="Typed", currency="EUR", grade="PG 64S-22", components=(SOFT, HARD))


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def plain_record(tmp_path: Path) -> Iterator[LaboratoryRecord]:
    """Give a record in a file, for what is the same on every database: words and forms."""
    opened = LaboratoryRecord.open(tmp_path / "record.db")
    yield opened
    opened.close()


@pytest.fixture
def kept(record: LaboratoryRecord) -> Kept[BlendBookRecord]:
    return keep_blend_book(record, ACTOR, AT, blend_book())


def typed_book(record: LaboratoryRecord, typed: TypedBlend, **kept: Any) -> Kept[BlendBookRecord]:
    file = book_file(record, ACTOR, typed, kept.pop("before", None))
    return keep_blend_book(record, ACTOR, AT, file, site=typed.site, **kept)


def test_a_book_is_kept_with_its_tables_and_read_back_as_it_came(
    record: LaboratoryRecord, kept: Kept[BlendBookRecord]
) -> None:
    found = blend_of(record, ACTOR, kept.key)
    assert found.book == read_blend_book(blend_book())
    assert (kept.value.grade, kept.value.trials, kept.value.invented) == ("PG 64H-22", 2, True)
    assert list_blends(record, ACTOR) == [kept]
    for file in (blend_book(), *blend_book().beside):
        assert file_of_blend(record, ACTOR, kept.key, file.name).content == file.content
    with pytest.raises(RecordNotFoundError, match="there is no file 'other"):
        file_of_blend(record, ACTOR, kept.key, "other.csv")
    rebuild_tables(record, ACTOR, AT)
    assert list_blends(record, ACTOR) == [kept]


def test_a_book_without_a_table_it_names_is_refused(plain_record: LaboratoryRecord) -> None:
    with pytest.raises(RecordNotFoundError, match=r"'shares\.csv', which was not given with it"):
        keep_blend_book(plain_record, ACTOR, AT, blend_book(tables=False))


def test_a_typed_book_reads_as_what_was_typed(plain_record: LaboratoryRecord) -> None:
    limit = TypedLimit("rotational_viscosity", "original", "135", "maximum", "2,0")
    typed = replace(TYPED, trials=PASTED, limits=(limit,), probability_percent="90", tank_kg="12000")
    book = blend_of(plain_record, ACTOR, typed_book(plain_record, typed).key).book
    soft, hard = book.components
    assert (soft.price_per_tonne, hard.price_per_tonne, hard.highest_percent) == (430.0, 455.5, 60.0)
    assert book.aim.today_percent == {"Soft base": 60.0, "Hard base": 40.0}
    assert [(one.name, one.percent) for one in book.trials] == [
        ("T1", {"Soft base": 60.0, "Hard base": 40.0}),
        ("T2", {"Soft base": 40.0, "Hard base": 60.0}),
    ]
    assert [one.determinations[0].value for one in book.trials] == [1.9, 1.1]
    assert (book.aim.limits[0].value, book.aim.probability, book.aim.tank_kg) == (2.0, 0.9, 12000.0)


def test_a_form_shows_what_is_kept_and_keeps_what_it_does_not_ask_for(
    record: LaboratoryRecord, kept: Kept[BlendBookRecord]
) -> None:
    before = blend_of(record, ACTOR, kept.key)
    typed = typed_of(before)
    same = typed_book(record, typed, before=before, key=kept.key, reason="seen again", seen=1)
    again = blend_of(record, ACTOR, same.key)
    assert replace(again.book, sources=before.book.sources) == replace(
        before.book,
        components=again.book.components,  # results name the file they stand in, which is another revision
        trials=again.book.trials,
    )
    assert again.book.components[1].determinations[0].value == 291.0
    assert [one.reason for one in revisions_of_blend(record, ACTOR, kept.key)] == ["seen again", ""]
    with pytest.raises(ConflictError):
        typed_book(record, typed, before=before, key=kept.key, reason="late", seen=1)


def test_every_key_of_a_book_outlives_a_revision_by_the_form(plain_record: LaboratoryRecord) -> None:
    """Keys of the manual of blend books, none at its usual value; remarks alone are lost, and told of."""
    more = """
sample = "S-7"
[[limit]]
quantity = "softening_point"
minimum = 55
absolute = true
title = "own"
[[limit]]
quantity = "jnr_3.2"
condition = "RTFO"
temperature_c = 64
maximum = 1.5
[rules]
rotational_viscosity = "log viscosity by mass"
[aim]
specification = "m332-2014"
grade = "PG 64H-22"
site = "Coast road"
objective = "margin"
probability = 0.9
most_components = 2
reclaimed_at_most_percent = 30
today_percent = { "Soft base" = 60.0, "Hard base" = 40.0 }
beyond_trials = true
acceptance_test = true
[plant]
tank_kg = 24000
increment_kg = 20
dosing_standard_kg = 7.5
storage_h = 48
storage_c = 163
"""
    text = blend_book().content.decode()
    head, _, rest = text.partition("[aim]")
    own = rest[rest.index("[[limit]]") : rest.index("[plant]")]
    told = head + "# a remark" + more.replace("[[limit]]", own + "\n[[limit]]", 1)
    file = replace(blend_book(), content=told.encode())
    first = keep_blend_book(plain_record, ACTOR, AT, file)
    before = blend_of(plain_record, ACTOR, first.key)
    assert has_remarks(before.file)
    typed = typed_of(before)
    assert [one.kind for one in typed.components] == ["base", "base", "polymer_concentrate"]
    assert typed.limits[2].condition == "short_term_aged"
    typed_book(plain_record, typed, before=before, key=first.key, reason="seen again", seen=1)
    again = blend_of(plain_record, ACTOR, first.key)
    assert not has_remarks(again.file)
    assert again.book.aim == before.book.aim
    assert again.book.rules == before.book.rules
    was, now = raw_book(before.file), raw_book(again.file)
    for one, other in zip(was["component"], now["component"], strict=True):
        assert other == one | {"kind": other["kind"]}


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("a = 1 # why", True),
        ("# why", True),
        ('a = "no # of it"', False),
        ("a = 'b' # why", True),
        ("a = 1", False),
    ],
)
def test_a_remark_is_told_from_a_sign_within_a_text(line: str, told: bool) -> None:
    assert has_remarks(HeldFile("book.toml", f"x = 2\n{line}\n".encode())) is told


def test_a_component_that_is_renamed_keeps_its_results_and_trials(plain_record: LaboratoryRecord) -> None:
    first = typed_book(plain_record, TYPED)
    shares = {"Soft base": "60", "Hard base": "40"}
    keep_trial(plain_record, ACTOR, AT, first.key, TypedTrial("T1", shares), seen=1)
    before = blend_of(plain_record, ACTOR, first.key)
    soft, hard = typed_of(before).components
    typed = replace(typed_of(before), components=(replace(soft, name="Softer base"), hard))
    typed_book(plain_record, typed, before=before, key=first.key, reason="renamed", seen=2)
    trial = blend_of(plain_record, ACTOR, first.key).book.trials[0]
    assert trial.percent == {"Softer base": 60.0, "Hard base": 40.0}


def test_all_that_is_wrong_on_a_form_is_told_at_once(plain_record: LaboratoryRecord) -> None:
    wrong = replace(
        TYPED,
        components=(replace(SOFT, price_per_tonne="dear"), TypedComponent(lowest_percent="5")),
        limits=(TypedLimit("", value="3"),),
    )
    with pytest.raises(InputError) as told:
        book_file(plain_record, ACTOR, wrong)
    for part in (
        "component Soft base, price: 'dear' is no number",
        "component 2: give it a name",
        "limit 1: choose the property",
    ):
        assert part in str(told.value)


def test_the_grade_of_a_road_is_taken_over_and_told_when_it_has_changed(
    plain_record: LaboratoryRecord,
) -> None:
    road = SiteRecord(name="Harbour road", grade="PG 64H-22", specification="m332-2014")
    with plain_record.writing(by=ACTOR.key, at=AT) as book:
        site = book.keep(road).key
    assert ("W-000001", "Harbour road, PG 64H-22") in blend_choices(plain_record, ACTOR).roads
    with pytest.raises(InputError, match="Harbour road needs PG 64H-22, and PG 64S-22 was typed"):
        book_file(plain_record, ACTOR, replace(TYPED, site=site))
    kept = typed_book(plain_record, replace(TYPED, site=site, grade=""))
    found = blend_of(plain_record, ACTOR, kept.key)
    assert (found.book.aim.grade, found.book.aim.site) == ("PG 64H-22", "Harbour road")
    assert not found.road_changed
    with plain_record.writing(by=ACTOR.key, at=AT) as book:
        book.keep(replace(road, grade="PG 70H-22"), key=site, seen=1, reason="more trucks")
    assert blend_of(plain_record, ACTOR, kept.key).road_changed


def test_a_trial_is_a_revision_whose_reason_names_it(
    record: LaboratoryRecord, kept: Kept[BlendBookRecord]
) -> None:
    shares = {"Soft base": "55,5", "Hard base": "24.5", "Concentrate": "20"}
    result = TypedResult("jnr_3.2", "short_term_aged", "64", "1,4")
    again = keep_trial(record, ACTOR, AT, kept.key, TypedTrial("B3", shares, results=(result,)), seen=1)
    assert again.reason == "trial blend B3 added with 1 result"
    found = blend_of(record, ACTOR, kept.key)
    assert found.book.trials[2].percent == {"Soft base": 55.5, "Hard base": 24.5, "Concentrate": 20.0}
    assert found.book.trials[2].determinations[0].value == 1.4
    further = TypedResult("rotational_viscosity", "original", "135", "1.1")
    assert (
        keep_trial(record, ACTOR, AT, kept.key, TypedTrial("B1", results=(further,)), seen=2).reason
        == "1 result added to trial blend B1"
    )
    table = shown_book(blend_of(record, ACTOR, kept.key))
    values = iter(table.trials[0].values)
    told = {one.residue: {title: next(values) for title in one.titles} for one in table.groups}
    assert told == {
        "original binder": {"η, 135 °C [Pa·s]": "1.100", "flash point [°C]": ""},
        "short-term aged binder": {"Jnr3.2, 64 °C [1/kPa]": "3.10"},
    }
    for wrong, said in (
        (TypedTrial("B9"), "B9: type the share of each component"),
        (TypedTrial("B1", {"Soft base": "100"}), "B1 is in the book already"),
        (TypedTrial("B9", {"Soft base": "50"}), "add up to 50 %"),
        (TypedTrial(""), "give the trial blend a name"),
        (TypedTrial("B2"), "B2: type a result"),
    ):
        with pytest.raises(InputError, match=said):
            keep_trial(record, ACTOR, AT, kept.key, wrong)


def test_results_of_a_sample_come_into_a_trial_as_its_report_states_them(
    plain_record: LaboratoryRecord,
) -> None:
    kept = keep_blend_book(plain_record, ACTOR, AT, blend_book())
    sample = keep_order(plain_record, "102-spring")
    keep_trial(plain_record, ACTOR, AT, kept.key, TypedTrial("B2", sample="102"))
    found = blend_of(plain_record, ACTOR, kept.key)
    trial = next(one for one in found.book.trials if one.name == "B2")
    report = report_order(order_file("102-spring"), date=AT[:10])
    stated = {
        (d.quantity, d.condition, d.temperature_c and round(d.temperature_c, 1), d.value)
        for one in report.statement.results
        for d, counted in zip(one.determinations, one.counted, strict=True)
        if counted and d.value is not None
    }
    drawn = {(one.quantity, one.condition, one.temperature_c, one.value) for one in trial.determinations}
    assert drawn - {("jnr_3.2", "short_term_aged", 64.0, 0.9)} == stated
    assert samples_of_trials(plain_record, ACTOR, found)["B2"].key == sample
    count = len(trial.determinations)
    keep_trial(plain_record, ACTOR, AT, kept.key, TypedTrial("B2", sample="102"))
    again = next(one for one in blend_of(plain_record, ACTOR, kept.key).book.trials if one.name == "B2")
    assert len(again.determinations) == count, "drawn anew, not doubled"
    with pytest.raises(RecordNotFoundError, match="sample '999'"):
        keep_trial(plain_record, ACTOR, AT, kept.key, TypedTrial("B2", sample="999"))


def test_who_may_not_see_what_is_on_offer_sees_no_blend(
    record: LaboratoryRecord, kept: Kept[BlendBookRecord]
) -> None:
    may = roles()
    reader = Actor("P-000009", "A reader", may["customer-reader"].may, "C-000001")
    technician = Actor("P-000008", "A technician", may["technician"].may)
    assert blend_of(record, technician, kept.key).kept == kept
    refused = [
        (reader, lambda who: blend_of(record, who, kept.key)),
        (reader, lambda who: list_blends(record, who)),
        (reader, lambda who: file_of_blend(record, who, kept.key, "northern.toml")),
        (reader, lambda who: results_of_sample(record, who, AT, "101")),
        (technician, lambda who: keep_blend_book(record, who, AT, blend_book())),
        (technician, lambda who: keep_trial(record, who, AT, kept.key, TypedTrial("B1"))),
        (technician, lambda who: book_file(record, who, TYPED)),
    ]
    for who, asked in refused:
        with pytest.raises(PermissionRefusedError):
            asked(who)


_PLAIN = st.text(max_size=8) | st.booleans() | st.integers(-(2**40), 2**40) | st.floats(allow_nan=False)
_TABLES = st.recursive(
    st.dictionaries(st.text(max_size=6), _PLAIN | st.lists(_PLAIN, max_size=3), max_size=3),
    lambda inner: st.dictionaries(
        st.text(max_size=6), _PLAIN | inner | st.lists(inner, min_size=1, max_size=2), max_size=3
    ),
    max_leaves=6,
)


@given(content=_TABLES)
@settings(max_examples=60)
def test_what_is_written_as_toml_reads_as_it_was(content: dict[str, Any]) -> None:
    assert tomllib.loads(toml_text(content)) == content
