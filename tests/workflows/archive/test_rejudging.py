"""What would change under another edition or rule: answers that follow from the published limits."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from invented_archive import Line, awkward_samples, write_archive
from resile.errors import RecordNotFoundError
from resile.records.archive_answers import ResultsWanted
from resile.records.rejudging import Rejudging, SampleChange
from resile.workflows.archive.rejudging import rejudge_archive
from resile.workflows.judging.agreement import agree

BEFORE, AFTER = agree("m332-2014"), agree("m332-2020")
STRICT = agree("m332-2020", decision_rule="four-state")


def sample(
    name: str, jnr: float, difference: float, *, tested: str = "2019-03-04", lot: str = "L1"
) -> list[Line]:
    about = {"sample": name, "lot": lot, "product": "Quarnsk Plain", "tested": tested}
    return [
        Line(quantity="jnr_3.2", value=jnr, **about),
        Line(quantity="jnr_difference_percent", value=difference, **about),
    ]


def archive_of(tmp_path: Path, *samples: list[Line]) -> Path:
    return write_archive(tmp_path / "archive", [line for own in samples for line in own])


def standings(found: Rejudging) -> dict[tuple[str, str], int]:
    return {(one.before, one.after): one.count for one in found.standings}


def test_a_class_e_with_a_large_difference_has_its_letter_in_the_later_edition_alone(tmp_path: Path) -> None:
    # M 332-14 asks for Jnr,diff <= 75 % of every class; editions of about 2020 waive it for E.
    archive = archive_of(
        tmp_path,
        sample("A", 0.30, 120.0, tested="2018-05-06", lot="L1"),
        sample("B", 0.30, 60.0, lot="L2"),
        sample("C", 0.80, 120.0, lot="L3"),
    )
    found = rejudge_archive(archive, BEFORE, AFTER)
    assert standings(found) == {("no class", "64E"): 1, ("64E", "64E"): 1, ("no class", "no class"): 1}
    assert (found.changed, found.worse, found.better, found.lots, found.lots_better) == (1, 0, 1, 3, 1)
    (change,) = found.changes
    assert (change.sample, change.before, change.after, change.direction) == (
        "A",
        "no class",
        "64E",
        "better",
    )
    assert (change.requirement, change.value, change.reason) == (
        "jnr_difference_maximum",
        120.0,
        "m332-2020 waives it",
    )
    assert [(one.year, one.judged, one.better) for one in found.years] == [("2018", 1, 1), ("2019", 2, 0)]
    line = next(
        one for one in found.lines if (one.service_class, one.requirement) == ("E", "jnr_difference_maximum")
    )
    assert (line.compared, line.fails_to_passes, line.passes_to_fails) == (3, 2, 0)


def test_the_earlier_limit_of_class_s_takes_the_class_of_published_results(tmp_path: Path) -> None:
    # OK-2011: 4.18 has no grade under the limit of 4.0, S under 4.5; 4.72 has none, 3.86 has S in both.
    archive = archive_of(tmp_path, *(sample(f"{jnr}", jnr, 20.0) for jnr in (3.86, 4.18, 4.72)))
    found = rejudge_archive(archive, BEFORE, agree("mp19-2010"))
    assert standings(found) == {("64S", "64S"): 1, ("64S", "no class"): 1, ("no class", "no class"): 1}
    (change,) = found.changes
    assert (change.sample, change.direction, change.limit_before, change.limit_after) == (
        "4.18",
        "worse",
        4.5,
        4.0,
    )
    # Multilaboratory 7.9 % of 4.18 is 0.33: 0.18 beyond the limit is within twice that.
    assert change.within_uncertainty
    assert "at most 4.5" in change.reason
    assert change.probability_before is not None and change.probability_before > 0.5
    assert change.probability_after is not None and change.probability_after < 0.5


def test_another_decision_rule_alone_takes_classes_near_their_limit(tmp_path: Path) -> None:
    # 2.0105 and 0.460 lie 0.07 u and 0.63 u from 2.0 and 0.5 (trade notes, section 8); 0.2 lies far from 0.5.
    archive = archive_of(tmp_path, *(sample(f"{jnr}", jnr, 20.0) for jnr in (0.460, 2.0105, 0.2)))
    found = rejudge_archive(archive, BEFORE, agree("m332-2014", decision_rule="guard-band"))
    assert standings(found) == {("64E", "64V"): 1, ("64S", "64S"): 1, ("64E", "64E"): 1}
    (change,) = found.changes
    assert change.sample == "0.46"
    assert change.reason == "the limit is the same; the decision rule or the rounding differs"


def test_documents_that_name_classes_otherwise_are_compared_by_whether_any_is_satisfied(
    tmp_path: Path,
) -> None:
    about = {"sample": "A", "condition": "original", "lot": "L1"}
    lines = [*sample("A", 5.2, 20.0), Line(quantity="rutting_parameter", value=1.3, **about)]
    aged = Line(quantity="rutting_parameter", value=2.5, sample="A", lot="L1")
    found = rejudge_archive(write_archive(tmp_path / "a", [*lines, aged]), agree("m320"), AFTER)
    assert [(one.before, one.after) for one in found.standings] == [("PG 64", "no class")]
    (change,) = found.changes
    assert (change.direction, change.reason) == ("worse", "m320 has no such line")


def test_what_is_asked_for_bounds_what_is_judged(tmp_path: Path) -> None:
    archive = archive_of(
        tmp_path, sample("A", 0.3, 120.0, tested="2018-05-06"), sample("B", 0.3, 120.0, tested="2019-05-06")
    )
    found = rejudge_archive(
        archive, BEFORE, AFTER, wanted=ResultsWanted(since="2019-01-01", until="2019-05-06")
    )
    assert [one.sample for one in found.changes] == ["B"]
    nothing = rejudge_archive(
        archive, BEFORE, AFTER, wanted=ResultsWanted(product="'; DROP TABLE results; --")
    )
    assert (nothing.samples, nothing.judged) == (0, 0)


def test_blocks_of_any_length_give_the_same_answer_and_every_change_goes_to_who_wants_it(
    tmp_path: Path,
) -> None:
    archive = write_archive(tmp_path / "archive", awkward_samples(60, seed=5))
    told: list[SampleChange] = []
    steps: list[tuple[int, int]] = []

    def rejudged(rows: int) -> Rejudging:
        def sink(found: Sequence[SampleChange]) -> None:
            told.extend(found)

        return rejudge_archive(
            archive, BEFORE, STRICT, rows=rows, sink=sink, progress=lambda *step: steps.append(step), most=5
        )

    whole = rejudged(100_000)
    assert len(told) == whole.changed > 10
    assert len(whole.changes) <= 10
    pieces = rejudged(97)
    for name in ("standings", "whole_grades", "lines", "reasons", "years"):
        assert sorted(getattr(pieces, name), key=repr) == sorted(getattr(whole, name), key=repr)
    assert steps[-1] == (whole.determinations, whole.determinations)


def test_a_folder_without_an_archive_is_told(tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError, match=r"archive\.json is missing"):
        rejudge_archive(tmp_path, BEFORE, AFTER)
