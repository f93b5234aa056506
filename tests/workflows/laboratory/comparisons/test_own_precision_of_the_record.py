"""Own precision from duplicates, checks and rounds of the record; constructed so that the answer is known."""

import math
from collections.abc import Iterator
from dataclasses import replace

import pytest

from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.records.determination import Condition
from resile.records.register import (
    Actor,
    Instrument,
    Result,
    ResultLine,
    RoundResult,
    Run,
    Sample,
    Specimen,
)
from resile.specifications.own_precision import load_own_precision
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.comparisons.collecting import collect
from resile.workflows.laboratory.comparisons.exports import precision_csv, precision_toml, rounds_csv
from resile.workflows.laboratory.comparisons.precision_pages import proposal_page
from resile.workflows.laboratory.comparisons.proposing import (
    Question,
    end_precision,
    keep_precision,
    list_precisions,
    propose,
)
from resile.workflows.laboratory.comparisons.rounds_kept import keep_round_results, rounds_kept

AT = "2026-04-01T08:00:00Z"
SOMEBODY = one_person()
AGED = Condition.SHORT_TERM_AGED
PAIRS = ((0.48, 0.52), (0.95, 1.05), (1.99, 2.01))
ASKED = Question("jnr_3.2", AGED)
ROUND = RoundResult(
    scheme="ring", round="spring", material="A", day="2026-03-01", quantity="jnr_3.2", condition=AGED,
    temperature_c=64.0, value=1.04, assigned=1.0, assigned_standard=0.01, deviation=0.1,
)  # fmt: skip


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    """Three samples by two specimens each, one of them tested twice; one sample by one specimen alone."""
    opened = LaboratoryRecord.open(record_url)
    with opened.writing(by=SOMEBODY.key, at=AT) as book:
        bench = book.keep(Instrument(name="rheometer", tests=("creep_recovery",))).key
        file = book.keep_file(b"nothing")
        for place, pair in enumerate((*PAIRS, (0.7,))):
            sample = book.keep(Sample(number=f"S{place}")).key
            for number, value in enumerate((*pair, 9.0)):
                specimen = str(min(number, len(pair) - 1))  # the last is tested again: no duplicate
                held = book.find(Specimen, sample=sample)
                keys = {one.value.number: one.key for one in held}
                key = (
                    keys.get(specimen)
                    or book.keep(Specimen(sample=sample, number=specimen, condition=AGED)).key
                )
                run = Run(
                    test="oscillation", file=file, file_name="x", sample=sample, specimen=key, condition=AGED,
                    tested=f"2026-02-0{place + 1}", operator="A", instrument=bench,
                )  # fmt: skip
                kept = book.keep(run).key
                lines = (ResultLine("jnr_3.2", value, "1/kPa", temperature_c=64.0 + number / 100),)
                book.keep(Result(run=kept, sample=sample, lines=lines))
    yield opened
    opened.close()


def test_duplicates_are_two_specimens_of_one_sample_residue_and_temperature(record: LaboratoryRecord) -> None:
    with record.reading() as reading:
        found = collect(reading, "jnr_3.2", AGED)
        none = collect(reading, "jnr_3.2", Condition.ORIGINAL)
        late = collect(reading, "jnr_3.2", AGED, since="2026-02-02", until="2026-02-02")
    assert [one.values for one in found.duplicates] == list(PAIRS)
    assert {(one.operator, one.instrument) for one in found.duplicates} == {("A", "rheometer")}
    assert none.duplicates == ()
    assert [one.values for one in late.duplicates] == [PAIRS[1]]


def test_the_repeatability_is_pooled_over_the_pairs(record: LaboratoryRecord) -> None:
    found = propose(record, SOMEBODY, ASKED).found
    relative = [2 * (a - b) / (a + b) for a, b in PAIRS]  # the definition: s² of a pair is d²/2
    assert found.repeatability == pytest.approx(math.sqrt(sum(d * d / 2 for d in relative) / 3), rel=1e-3)
    assert (found.duplicates, found.until) == (3, "2026-02-03")
    page = proposal_page(record, SOMEBODY, ASKED)
    assert page.components is not None
    assert next(one.source for one in page.components.components) == "day"


def test_what_is_kept_has_its_reason_its_history_and_its_days(record: LaboratoryRecord) -> None:
    keep_round_results(record, SOMEBODY, AT, [ROUND])
    kept = keep_precision(
        record, SOMEBODY, AT, ASKED, reason="three pairs", valid_until="2027-01-01", highest=4.0
    )
    assert (kept.value.rounds, kept.value.until, kept.value.highest) == (1, "2026-03-01", 4.0)
    assert kept.value.standard == pytest.approx(
        math.sqrt(kept.value.intermediate**2 + kept.value.bias**2 + kept.value.bias_standard**2)
    )
    newer = keep_precision(record, SOMEBODY, AT, replace(ASKED, since="2026-02-02"), reason="newer")
    lines = {one.kept.key: one for one in list_precisions(record, SOMEBODY, AT)}
    assert sorted(one.standing for one in lines.values()) == ["in force", "replaced"]
    assert lines[kept.key].kept.reason == "three pairs"
    ended = end_precision(
        record, SOMEBODY, AT, newer.key, valid_until="2026-03-15", seen=1, reason="wrong plates"
    )
    assert (ended.revision, ended.value.valid_until) == (2, "2026-03-15")
    assert list_precisions(record, SOMEBODY, AT)[0].standing in ("in force", "ended")


def test_a_file_for_the_command_line_gives_the_same_precision_back(
    record: LaboratoryRecord, tmp_path_factory: pytest.TempPathFactory
) -> None:
    kept = keep_precision(record, SOMEBODY, AT, ASKED, reason="three pairs")
    file = tmp_path_factory.mktemp("own") / "own.toml"
    file.write_text(precision_toml(record, SOMEBODY), encoding="utf-8")
    assert [(one.key, one.value) for one in load_own_precision(file)] == [(kept.key, kept.value)]
    assert "three pairs" in precision_csv(record, SOMEBODY, AT)


def test_what_cannot_be_kept_is_refused_with_what_is_needed(record: LaboratoryRecord) -> None:
    for question, given, said in (
        (ASKED, {"reason": " "}, "say why it may stand"),
        (ASKED, {"reason": "x", "valid_until": "2026-01-01"}, "its data reach to"),
        (ASKED, {"reason": "x", "lowest": 3.0, "highest": 1.0}, "must be the smaller"),
        (replace(ASKED, since="2027-01-01"), {"reason": "x"}, "no duplicates"),
        (replace(ASKED, since="yesterday"), {"reason": "x"}, "is no day"),
    ):
        with pytest.raises(InputError, match=said):
            keep_precision(record, SOMEBODY, AT, question, **given)  # type: ignore[arg-type]
    reader = Actor("P-1", "somebody", frozenset({"runs.see"}))
    with pytest.raises(PermissionRefusedError):
        keep_precision(record, reader, AT, ASKED, reason="x")


def test_rounds_are_scored_and_kept_once(record: LaboratoryRecord) -> None:
    keep_round_results(record, SOMEBODY, AT, [ROUND, replace(ROUND, material="B", value=1.25)])
    seen = rounds_kept(record, SOMEBODY)
    assert [(one.z, one.judged) for one in seen.scores.scores] == [
        (pytest.approx(0.4), "satisfactory"),
        (pytest.approx(2.5), "questionable"),
    ]
    assert "questionable" in rounds_csv(record, SOMEBODY)
    with pytest.raises(ConflictError, match="kept already"):
        keep_round_results(record, SOMEBODY, AT, [replace(ROUND, round="autumn"), ROUND])
    assert rounds_kept(record, SOMEBODY).count == 2  # all of them or none
    with pytest.raises(InputError, match="which round is needed"):
        keep_round_results(record, SOMEBODY, AT, [replace(ROUND, round="")])
