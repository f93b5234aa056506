"""Heat histories: what a rule refuses, what it flags, and what later results are told; on both databases.

Limits: EN 12594:2000, 7.1, as the file of the rule transcribes it.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from laboratory_bench import AT, can_in
from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.determination import Condition
from resile.records.register import Actor, Can, Heating, Kept, Run, Specimen
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.bench.heat_history import (
    can_sheet,
    cans_in_oven,
    heat_findings,
    heat_findings_of_run,
)
from resile.workflows.laboratory.bench.heating import (
    correct_heating,
    keep_heating,
    start_heating,
    stop_heating,
)

ACTOR = one_person()
TECHNICIAN = Actor("P-000002", "Ada Muster", frozenset({"samples.see", "bench.write"}))
NOW = "2026-06-30T08:00:00Z"


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def heated(
    record: LaboratoryRecord,
    can: str,
    started: str,
    minutes: float = 60.0,
    temperature_c: float = 150.0,
    *,
    actor: Actor = TECHNICIAN,
    permit: bool = False,
    **given: object,
) -> Kept[Heating]:
    heating = Heating(
        can=can, sample="", started=started, temperature_c=temperature_c, duration_min=minutes, **given
    )  # type: ignore[arg-type]
    return keep_heating(record, actor, NOW, heating, permit=permit)


def test_a_small_sample_is_heated_once(record: LaboratoryRecord) -> None:
    can = can_in(record, rule="en12594-2000")
    assert can_sheet(record, ACTOR, can).left == 1
    heated(record, can, "2026-03-02T08:00:00Z")
    assert can_sheet(record, ACTOR, can).left == 0
    with pytest.raises(InputError, match=r"heating 2 .*needed: at most 1.*EN 12594:2000, 7.1 \[read\]"):
        heated(record, can, "2026-03-03T08:00:00Z")


@pytest.mark.parametrize(("minutes", "kept"), [(120.0, True), (121.0, False)])
def test_an_oven_time_of_120_min_is_kept_and_one_of_121_min_is_not(
    record: LaboratoryRecord, minutes: float, kept: bool
) -> None:
    can = can_in(record, rule="en12594-2000")
    if kept:
        assert heated(record, can, AT, minutes).value.permitted_by == ""
        assert can_sheet(record, ACTOR, can).findings == ()
    else:
        with pytest.raises(InputError, match="121 min; needed: at most 120 min"):
            heated(record, can, AT, minutes)


@pytest.mark.parametrize(
    ("temperature_c", "modified", "flagged"),
    [
        (180.0, True, False),
        (200.0, True, False),
        (179.0, True, True),
        (201.0, True, True),
        (150.0, False, False),
    ],
)
def test_modified_binder_is_heated_at_180_to_200_c(
    record: LaboratoryRecord, temperature_c: float, modified: bool, flagged: bool
) -> None:
    can = can_in(record, rule="en12594-2000", modified=modified)
    heated(record, can, AT, 60.0, temperature_c)
    codes = [finding.code for finding in can_sheet(record, ACTOR, can).findings]
    assert codes == (["heated-beyond-limit-temperature"] if flagged else [])


def test_a_preparation_of_more_than_135_min_is_flagged(record: LaboratoryRecord) -> None:
    can = can_in(record, rule="en12594-2000")
    heated(record, can, AT, 110.0, preparation_min=136.0)
    findings = can_sheet(record, ACTOR, can).findings
    assert [(one.value, one.limit) for one in findings] == [(136.0, 135.0)]


def test_a_third_heating_is_blocked_where_no_other_rule_is_named(record: LaboratoryRecord) -> None:
    can = can_in(record)
    heated(record, can, "2026-03-02T08:00:00Z")
    heated(record, can, "2026-03-03T08:00:00Z")
    with pytest.raises(InputError, match="heating 3"):
        start_heating(record, TECHNICIAN, "2026-03-04T08:00:00Z", can, 150.0)


def test_one_who_may_lets_it_stand_and_every_later_result_is_told(record: LaboratoryRecord) -> None:
    can = can_in(record, rule="en12594-2000")
    heated(record, can, "2026-03-02T08:00:00Z")
    with pytest.raises(PermissionRefusedError, match="Ada Muster may not let it stand"):
        heated(record, can, "2026-03-03T08:00:00Z", permit=True)
    second = heated(record, can, "2026-03-03T08:00:00Z", actor=ACTOR, permit=True)
    assert second.value.permitted_by == ACTOR.key
    with record.reading() as reading:
        before = heat_findings(reading, sample="S-000001", until="2026-03-02")
        after = heat_findings(reading, sample="S-000001", can=can, until="2026-03-03T09:00:00Z")
    assert before == ()
    assert [one.code for one in after] == ["heated-beyond-limit-heating-count"]
    assert "let it stand" in after[0].message


def test_a_run_is_told_of_the_can_of_its_specimen_alone(record: LaboratoryRecord) -> None:
    can = can_in(record)
    with record.writing(by="P-000001", at=AT) as book:
        other = book.keep(Can(sample="S-000001", name="B1")).key
        specimens = [
            book.keep(Specimen(sample="S-000001", number=name, condition=Condition.ORIGINAL, can=of)).key
            for name, of in (("1", can), ("2", other), ("3", ""))
        ]
    heated(record, can, "2026-03-02T08:00:00Z", 130.0)
    with record.reading() as reading:
        told = [
            len(heat_findings_of_run(reading, Run(test="oscillation", file="", file_name="", **given)))
            for given in ({"sample": "S-000001", "specimen": key} for key in specimens)
        ]
    assert told == [1, 0, 1]


def test_the_oven_is_a_timer_and_what_it_counts_is_kept_even_beyond_the_limit(
    record: LaboratoryRecord,
) -> None:
    can = can_in(record, rule="en12594-2000")
    begun = start_heating(record, TECHNICIAN, "2026-03-02T08:00:00.000Z", can, 150.0, purpose="pour")
    with record.reading() as reading:
        assert [(one.can, one.name) for one in cans_in_oven(reading)] == [(can, "A1")]
    with pytest.raises(ConflictError, match="in the oven already"):
        start_heating(record, TECHNICIAN, "2026-03-02T08:05:00.000Z", can, 150.0)
    out = stop_heating(record, TECHNICIAN, "2026-03-02T10:10:30.000Z", begun.key, seen=1)
    assert out.value.duration_min == 130.5
    with pytest.raises(ConflictError, match="taken out of the oven already"):
        stop_heating(record, TECHNICIAN, "2026-03-02T11:00:00.000Z", begun.key)
    sheet = can_sheet(record, ACTOR, can)
    assert sheet.in_oven is None
    assert [one.code for one in sheet.findings] == ["heated-beyond-limit-duration"]
    with record.reading() as reading:
        assert cans_in_oven(reading) == []


def test_a_correction_keeps_can_and_permission(record: LaboratoryRecord) -> None:
    can = can_in(record)
    kept = heated(record, can, AT, 60.0)
    slip = Heating(can="C-000009", sample="", started=AT, temperature_c=140.0, duration_min=50.0)
    corrected = correct_heating(record, TECHNICIAN, NOW, kept.key, slip, reason="misread", seen=1)
    assert (corrected.value.can, corrected.value.duration_min, corrected.revision) == (can, 50.0, 2)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"started": "2027-01-01T08:00:00Z"}, "still to come"),
        ({"started": "yesterday"}, "is no time"),
        ({"temperature_c": 4000.0}, "at most 400 °C"),
        ({"minutes": -1.0}, "time in the oven of"),
        ({"preparation_min": 1e9}, "preparation of"),
    ],
)
def test_a_heating_that_cannot_be_is_refused(
    record: LaboratoryRecord, given: dict[str, object], said: str
) -> None:
    can = can_in(record)
    with pytest.raises(InputError, match=said):
        heated(record, can, **{"started": AT, **given})  # type: ignore[arg-type]


def test_a_customer_does_not_see_the_can_of_another(record: LaboratoryRecord) -> None:
    can = can_in(record, customer="K-000002")
    reader = Actor("P-000003", "Kim", frozenset({"samples.see", "runs.see"}), "K-000001")
    with pytest.raises(PermissionRefusedError, match="not one of yours"):
        can_sheet(record, reader, can)


def test_a_rule_of_the_laboratorys_own_is_found_on_the_search_path(
    record: LaboratoryRecord, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "own" / "heating_rules"
    own.mkdir(parents=True)
    (own / "ours.toml").write_text(
        'identifier = "ours"\ntitle = "three times"\ndocument = "our procedure 7"\ntranscribed = ""\n'
        'checked = ""\n[[limit]]\nmeasure = "total_min"\ntitle = "time in the oven in all"\nhighest = 90\n'
        'unit = "min"\nbeyond = "flag"\nseverity = "note"\nclause = "4"\nevidence = "own"\n',
        encoding="utf-8",
    )
    monkeypatch.setenv("RESILE_SPECIFICATIONS", str(own.parent))
    can = can_in(record, rule="ours")
    heated(record, can, "2026-03-02T08:00:00Z", 50.0)
    heated(record, can, "2026-03-03T08:00:00Z", 50.0)
    sheet = can_sheet(record, ACTOR, can)
    assert sheet.left is None
    assert [one.message for one in sheet.findings] == [
        "Can A1, heating 2 on 2026-03-03: time in the oven in all is 100 min; needed: at most 90 min."
    ]
