"""Roads in the record: worked out, kept, revised, supposed otherwise, and shown to those who may see them."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from invented_roads import table_of_sites, weather
from resile.errors import (
    ConflictError,
    FileFormatError,
    InputError,
    PermissionRefusedError,
    RecordNotFoundError,
)
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.offer.site_texts import SiteQuestion
from resile.workflows.laboratory.offer.sites import keep_site, keep_sites, revise_site
from resile.workflows.laboratory.offer.sites_seen import list_sites, revisions_of_site, site_of
from resile.workflows.laboratory.offer.suppositions import RoadSupposition, suppose_site
from resile.workflows.sites.demand_request import demand_for
from resile.workflows.sites.site_demands import site_demands

AT = "2026-06-30T08:00:00.000Z"
LATER = "2026-07-01T08:00:00.000Z"
ACTOR = one_person()
TYPED = SiteQuestion(
    DemandRequest(
        name="Mill road",
        latitude_deg=45.0,
        high_mean_c=30.0,
        high_sd_c=1.5,
        low_mean_c=-12.0,
        low_sd_c=3.0,
        million_axle_loads=5.0,
        speed_kmh=80.0,
    )
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def of_weather(**given: object) -> SiteQuestion:
    whole = {"name": "Ring", "latitude_deg": 47.2, "weather": weather()["ambelund"], **given}
    return SiteQuestion(DemandRequest(**whole))  # type: ignore[arg-type]


def reader_of(customer: str) -> Actor:
    return Actor("P-000009", "A reader", roles()["customer-reader"].may, customer)


def test_a_road_of_an_uploaded_weather_file_is_kept_whole_with_the_bytes_of_the_file(
    record: LaboratoryRecord,
) -> None:
    asked = of_weather(million_axle_loads=34.0, speed_kmh=80.0)
    kept = keep_site(record, ACTOR, AT, asked)
    found = site_of(record, ACTOR, kept.key)
    assert found.report.to_json() == demand_for(asked.request, asked.settings).to_json()
    assert found.question.request == replace(asked.request, weather=None)
    with record.reading() as reading:
        assert reading.file(found.kept.value.file) == weather()["ambelund"].content


def test_more_traffic_on_a_kept_road_is_a_revision_that_reads_the_kept_weather_again(
    record: LaboratoryRecord,
) -> None:
    kept = keep_site(record, ACTOR, AT, of_weather(million_axle_loads=2.0, speed_kmh=80.0))
    before = site_of(record, ACTOR, kept.key)
    heavier = replace(before.question, request=replace(before.question.request, million_axle_loads=40.0))
    revise_site(record, ACTOR, LATER, kept.key, heavier, reason="new counts", seen=1)
    now = site_of(record, ACTOR, kept.key)
    assert (now.kept.revision, now.kept.reason) == (2, "new counts")
    assert now.demand.climate == before.demand.climate
    assert now.demand.grade != before.demand.grade
    assert site_of(record, ACTOR, kept.key, revision=1).demand == before.demand, "nothing is overwritten"
    assert [one.revision for one in revisions_of_site(record, ACTOR, kept.key)] == [2, 1]


def test_a_revision_of_an_older_state_or_without_a_reason_is_refused(record: LaboratoryRecord) -> None:
    kept = keep_site(record, ACTOR, AT, TYPED)
    revise_site(record, ACTOR, LATER, kept.key, TYPED, reason="again", seen=1)
    with pytest.raises(ConflictError, match="you saw revision 1"):
        revise_site(record, ACTOR, LATER, kept.key, TYPED, reason="late", seen=1)
    with pytest.raises(InputError, match="needs its reason"):
        revise_site(record, ACTOR, LATER, kept.key, TYPED, reason=" ", seen=2)


@pytest.mark.parametrize(
    ("content", "needed"),
    [
        (b"", "empty"),
        (b"time,stress,strain\n0,1,2\n1,1,3\n", "no row of headings of a daily weather record"),
        (b"\x00\x01\x02" * 50, "weather"),
    ],
)
def test_a_file_that_is_no_weather_record_is_refused_and_nothing_is_kept(
    record: LaboratoryRecord, content: bytes, needed: str
) -> None:
    with pytest.raises(FileFormatError, match=needed):
        keep_site(record, ACTOR, AT, of_weather(weather=HeldFile("weather.csv", content)))
    assert list_sites(record, ACTOR) == []


def test_a_customer_sees_their_own_road_and_no_other(record: LaboratoryRecord) -> None:
    own = keep_site(record, ACTOR, AT, replace(TYPED, customer="C-000001"))
    other = keep_site(record, ACTOR, AT, replace(TYPED, customer="C-000002"))
    reader = reader_of("C-000001")
    assert [row.key for row in list_sites(record, reader)] == [own.key]
    assert site_of(record, reader, own.key).kept.key == own.key
    for refused in (
        lambda: site_of(record, reader, other.key),
        lambda: revisions_of_site(record, reader, other.key),
        lambda: suppose_site(record, reader, other.key, RoadSupposition()),
        lambda: keep_site(record, reader, AT, TYPED),
    ):
        with pytest.raises(PermissionRefusedError):
            refused()
    assert list_sites(record, reader, [other.key]) == []


def test_warmer_air_moves_the_road_by_the_published_slopes_and_is_not_kept(record: LaboratoryRecord) -> None:
    kept = keep_site(record, ACTOR, AT, TYPED)
    same = suppose_site(record, ACTOR, kept.key, RoadSupposition())
    warmer = suppose_site(record, ACTOR, kept.key, RoadSupposition(warmer_c=10.0))
    assert same.then.grade == same.before.grade
    assert same.words[0] == f"The grade stays {same.before.grade}."
    # 0.78 and 0.72: slopes of pavement on air in the two equations of the LTPP programme (1998), from memory
    # (high) as docs/methods/pavement_temperature.md marks them; ten degrees of air are 7.8 °C and 7.2 °C of
    # road.
    assert warmer.then.high.design_c - same.before.high.design_c == pytest.approx(7.8, abs=1e-9)
    assert warmer.then.low.design_c - same.before.low.design_c == pytest.approx(7.2, abs=1e-9)
    assert warmer.words[0] == f"The grade changes from {same.before.grade} to {warmer.then.grade}."
    assert site_of(record, ACTOR, kept.key).kept.revision == 1


def test_slower_traffic_changes_the_class_in_words(record: LaboratoryRecord) -> None:
    kept = keep_site(record, ACTOR, AT, TYPED)
    slow = suppose_site(record, ACTOR, kept.key, RoadSupposition(speed_kmh=10.0))
    assert slow.differs
    assert any("traffic class" in words for words in slow.words)


@pytest.mark.parametrize(
    "supposed",
    [
        RoadSupposition(warmer_c=40.0),
        RoadSupposition(depth_mm=-1.0),
        RoadSupposition(speed_kmh=900.0),
        RoadSupposition(million_axle_loads=-3.0),
        RoadSupposition(reliability_percent=100.0),
    ],
)
def test_what_cannot_be_is_not_supposed(record: LaboratoryRecord, supposed: RoadSupposition) -> None:
    kept = keep_site(record, ACTOR, AT, TYPED)
    with pytest.raises(InputError):
        suppose_site(record, ACTOR, kept.key, supposed)


def test_a_table_of_roads_is_kept_as_the_command_line_answers_it(record: LaboratoryRecord) -> None:
    seen: list[tuple[int, int]] = []
    kept, errors = keep_sites(
        record, ACTOR, AT, table_of_sites(), told=lambda done, of: seen.append((done, of))
    )
    answers = site_demands(table_of_sites()).reports
    assert not errors
    assert [site_of(record, ACTOR, one.key).report.to_json() for one in kept] == [
        answer.to_json() for answer in answers
    ]
    assert seen[0] == (0, 20)
    assert len(seen) == 20


def test_work_that_is_stopped_keeps_nothing(record: LaboratoryRecord) -> None:
    class StoppedError(Exception):
        pass

    def stop(done: int, _: int) -> None:
        if done == 3:
            raise StoppedError

    with pytest.raises(StoppedError):
        keep_sites(record, ACTOR, AT, table_of_sites(), told=stop)
    assert list_sites(record, ACTOR) == []


def test_a_table_that_names_a_weather_file_which_was_not_given_says_which(record: LaboratoryRecord) -> None:
    alone = replace(table_of_sites(), beside=())
    with pytest.raises(RecordNotFoundError, match=r"weather/ambelund\.csv.*choose that file as well"):
        keep_sites(record, ACTOR, AT, alone)
