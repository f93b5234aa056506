"""Ranges in the record, matched with its roads: the same numbers as from files."""

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from invented_roads import table_of_binders, table_of_sites
from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Kept, Product, RangeRecord, Sample, Verdict
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.choosing.task import match_sites
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.offer.matching import MatchQuestion, match_kept, predict_on_road
from resile.workflows.laboratory.offer.ranges import (
    OfferedSample,
    keep_range,
    keep_range_of_samples,
    list_ranges,
    range_of,
)
from resile.workflows.laboratory.offer.sites import keep_sites
from resile.workflows.laboratory.offer.sites_seen import list_sites
from resile.workflows.predictions.predicting import predict_results

AT = "2026-06-30T08:00:00.000Z"
ACTOR = one_person()


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def offered(record: LaboratoryRecord) -> Kept[RangeRecord]:
    return keep_range(record, ACTOR, AT, table_of_binders(), name="Spring range")


def by_name(content: list[dict[str, Any]]) -> list[str]:
    return sorted(json.dumps(one, sort_keys=True) for one in content)


def test_a_range_is_kept_with_the_results_it_names(
    record: LaboratoryRecord, offered: Kept[RangeRecord]
) -> None:
    found = range_of(record, ACTOR, offered.key)
    assert [kept.value.name for kept in list_ranges(record, ACTOR)] == ["Spring range"]
    assert found.kept.value.binders[0] == "Quarnsk Soft"
    assert all(binder.determinations for binder in found.binders.binders)


def test_a_range_whose_results_were_not_given_is_refused_with_the_name_of_the_file(
    record: LaboratoryRecord,
) -> None:
    with pytest.raises(RecordNotFoundError, match=r"'results\.csv', which was not given with it"):
        keep_range(record, ACTOR, AT, replace(table_of_binders(), beside=()))


def test_a_new_table_of_a_range_is_a_revision(record: LaboratoryRecord, offered: Kept[RangeRecord]) -> None:
    again = keep_range(
        record,
        ACTOR,
        AT,
        table_of_binders(),
        name="Summer range",
        key=offered.key,
        reason="new prices",
        seen=1,
    )
    assert (again.key, again.revision) == (offered.key, 2)
    assert range_of(record, ACTOR, offered.key, revision=1).kept.value.name == "Spring range"


def test_kept_roads_and_binders_are_matched_as_from_files(
    record: LaboratoryRecord, offered: Kept[RangeRecord]
) -> None:
    keep_sites(record, ACTOR, AT, table_of_sites())
    kept = match_kept(record, ACTOR, MatchQuestion(offered.key)).match.to_json()
    files = match_sites(table_of_sites(), table_of_binders()).to_json()
    assert by_name(kept["sites"]) == by_name(files["sites"])
    for key in set(files) - {"sites", "sources", "findings"}:
        assert kept[key] == files[key], key
    assert {one["code"] for one in kept["findings"]} == {one["code"] for one in files["findings"]}


def test_without_a_binder_and_at_another_price_the_choice_is_that_of_the_files(
    record: LaboratoryRecord, offered: Kept[RangeRecord]
) -> None:
    keep_sites(record, ACTOR, AT, table_of_sites())
    what_if = {"without": ("Quarnsk Plain",), "prices": {"Quarnsk Spring": 300.0}}
    kept = match_kept(record, ACTOR, MatchQuestion(offered.key, **what_if)).match.choice  # type: ignore[arg-type]
    files = match_sites(table_of_sites(), table_of_binders(), **what_if).choice  # type: ignore[arg-type]
    named = {site.name: chosen for site, chosen in zip(kept.sites, kept.chosen, strict=True)}
    assert named == {site.name: chosen for site, chosen in zip(files.sites, files.chosen, strict=True)}


def test_roads_of_another_specification_are_asked_again_by_the_one_that_is_matched(
    record: LaboratoryRecord, offered: Kept[RangeRecord]
) -> None:
    keep_sites(record, ACTOR, AT, table_of_sites())
    keys = tuple(row.key for row in list_sites(record, ACTOR))[:3]
    found = match_kept(record, ACTOR, MatchQuestion(offered.key, keys, specification="m332-2020")).match
    assert {site.demand.specification for site in found.choice.sites if site.demand} == {"m332-2020"}


def test_a_binder_on_a_road_is_predicted_as_from_its_results(
    record: LaboratoryRecord, offered: Kept[RangeRecord]
) -> None:
    keep_sites(record, ACTOR, AT, table_of_sites())
    road = next(row for row in list_sites(record, ACTOR) if row.name == "Red Plain junction")
    found = predict_on_road(record, ACTOR, offered.key, "quarnsk coil", road.key)
    binder = range_of(record, ACTOR, offered.key).binder("Quarnsk Coil")
    same = predict_results(
        binder.determinations,
        tuple(one.temperature_c for one in found.prediction.samples[0].temperatures),
        specification=road.specification,
        kind=binder.kind,
    )
    assert found.prediction.to_json()["samples"] == same.to_json()["samples"]
    assert found.design_c == road.high_design_c


def test_a_match_needs_a_road_and_the_right_to_see_ranges(
    record: LaboratoryRecord, offered: Kept[RangeRecord]
) -> None:
    with pytest.raises(InputError, match="no road to match"):
        match_kept(record, ACTOR, MatchQuestion(offered.key))
    reader = Actor("P-000009", "A reader", roles()["customer-reader"].may, "C-000001")
    for refused in (
        lambda: range_of(record, reader, offered.key),
        lambda: list_ranges(record, reader),
        lambda: match_kept(record, reader, MatchQuestion(offered.key)),
        lambda: keep_range(record, reader, AT, table_of_binders()),
    ):
        with pytest.raises(PermissionRefusedError):
            refused()


def test_graded_samples_make_a_range_of_their_results(record: LaboratoryRecord) -> None:
    results = [
        {"quantity": "jnr_3.2", "value": 0.42, "condition": "short_term_aged", "temperature_c": 64.0},
        {"quantity": "flash_point", "value": 262.0, "condition": "original", "temperature_c": None},
        {"quantity": "creep_stiffness", "value": None, "condition": "long_term_aged", "temperature_c": -12.0},
    ]
    with record.writing(by=ACTOR.key, at=AT) as book:
        sample = book.keep(Sample(number="2026-9", invented=True))
        bare = book.keep(Sample(number="2026-10", invented=True))
        file = book.keep_file(json.dumps({"results": results}).encode())
        book.keep(Verdict(sample=sample.key, specification="m332-2014", file=file))
    offered = OfferedSample(sample.key, kind="sbs-modified", price_per_tonne=610.0)
    kept = keep_range_of_samples(record, ACTOR, AT, [offered], name="Own", currency="crowns")
    (binder,) = range_of(record, ACTOR, kept.key).binders.binders
    assert (binder.name, binder.kind, binder.price_per_tonne) == ("2026-9", "sbs-modified", 610.0)
    assert [(one.quantity, one.value) for one in binder.determinations] == [
        ("jnr_3.2", 0.42),
        ("flash_point", 262.0),
    ]
    with pytest.raises(InputError, match="2026-10 has not been graded"):
        keep_range_of_samples(record, ACTOR, AT, [OfferedSample(bare.key)], name="Own")


def test_two_samples_of_one_product_are_told_apart_by_their_numbers(record: LaboratoryRecord) -> None:
    results = [{"quantity": "jnr_3.2", "value": 0.42, "condition": "short_term_aged", "temperature_c": 64.0}]
    with record.writing(by=ACTOR.key, at=AT) as book:
        product = book.keep(Product(name="Quarnsk Coil")).key
        file = book.keep_file(json.dumps({"results": results}).encode())
        for number in ("2026-9", "2026-10", "2026-11"):
            of = product if number != "2026-11" else ""
            sample = book.keep(Sample(number=number, product=of, invented=True))
            book.keep(Verdict(sample=sample.key, specification="m332-2014", file=file))
    offered = [OfferedSample(number) for number in ("2026-9", "2026-10", "2026-11")]
    kept = keep_range_of_samples(record, ACTOR, AT, offered, name="Own")
    assert kept.value.binders == ("Quarnsk Coil, 2026-9", "Quarnsk Coil, 2026-10", "2026-11")
    named = [replace(offered[0], name="Coil in March"), offered[1]]
    again = keep_range_of_samples(record, ACTOR, AT, named, name="Own again")
    assert again.value.binders == ("Coil in March", "Quarnsk Coil")
