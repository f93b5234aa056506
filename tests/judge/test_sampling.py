"""Sampling by a plan: severity with its reasons, what is due, lots from loads."""

import pytest

from resile.errors import InputError
from resile.judge.sampling.lots import lots_of_loads
from resile.judge.sampling.state import judge_sampling
from resile.records.control.sampling import Load, LotOutcome, SamplingLevel, SamplingPlan, SwitchingRule

PLAN = SamplingPlan(
    identifier="own",
    title="Own plan",
    document="invented for this test",
    lot_is="tank",
    lot_days=3.0,
    test_every=2,
    tests=("softening point",),
    levels=(
        SamplingLevel(severity="tightened", every=1),
        SamplingLevel(severity="normal", every=2),
        SamplingLevel(severity="relaxed", every=5),
    ),
    switching=(
        SwitchingRule(severity="normal", to="tightened", failures=2, among=5, source="a"),
        SwitchingRule(severity="tightened", to="normal", accepted_in_a_row=5, source="b"),
        SwitchingRule(severity="tightened", to="stop", failures=5, source="c"),
        SwitchingRule(severity="normal", to="relaxed", accepted_in_a_row=10, needs_consent=True, source="d"),
        SwitchingRule(severity="relaxed", to="normal", failures=1, among=1, source="e"),
    ),
)
WORDS = {"+": "accepted", "-": "not accepted", "?": "open", ".": ""}


def lots(marks: str) -> list[LotOutcome]:
    """Give lots from marks: + accepted, - not, ? open, . not sampled."""
    return [LotOutcome(lot=f"L{at}", outcome=WORDS[mark]) for at, mark in enumerate(marks, start=1)]


def severities(marks: str, **asked: object) -> list[str]:
    state = judge_sampling(PLAN, lots(marks), **asked)  # type: ignore[arg-type]
    return [one.severity for one in state.history]


def kinds(marks: str) -> list[str]:
    return [one.kind for one in judge_sampling(PLAN, lots(marks)).due]


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ("+++++", ["normal"]),
        ("-+++-", ["normal", "tightened"]),  # 2 of 5
        ("-++++-", ["normal"]),  # the first failure is six lots back
        ("-.+.-", ["normal", "tightened"]),  # lots that were not sampled do not count
        ("--+++++", ["normal", "tightened", "normal"]),
        ("--++++-+++++", ["normal", "tightened", "normal"]),  # five in a row begin anew after a failure
        ("--" + "-" * 5, ["normal", "tightened", "stop"]),
        ("--+-+-+-+-+-", ["normal", "tightened", "stop"]),
        ("-?-", ["normal", "tightened"]),  # an open lot does not count yet
    ],
)
def test_severity_follows_the_switching_rules(marks: str, expected: list[str]) -> None:
    assert severities(marks) == expected


def test_a_milder_severity_waits_for_consent() -> None:
    assert severities("+" * 12) == ["normal"]
    state = judge_sampling(PLAN, lots("+" * 12))
    assert [one.kind for one in state.due] == ["consent", "next lot"]
    assert severities("+" * 12, consented=["L11"]) == ["normal", "relaxed"]
    assert severities("+" * 12 + "-", consented=["L11"]) == ["normal", "relaxed", "normal"]


def test_consent_to_a_change_that_no_rule_proposes_changes_nothing() -> None:
    assert severities("+" * 9, consented=["L9"]) == ["normal"]


def test_each_change_names_its_lots_and_its_rule() -> None:
    change = judge_sampling(PLAN, lots("-+-")).history[-1]
    assert change.after_lot == "L3"
    assert change.reason == "2 of the last 3 sampled lots were not accepted: L1, L3."
    assert change.source == "a"


def test_extra_samples_do_not_count_for_the_severity() -> None:
    given = [*lots("-"), LotOutcome(lot="L1", outcome="not accepted", extra=True), *lots("-+")[1:]]
    assert judge_sampling(PLAN, given).severity == "normal"


def test_a_failure_asks_for_an_extra_sample_at_once_and_for_no_stop() -> None:
    first = judge_sampling(PLAN, lots("+-")).due[0]
    assert (first.kind, first.lot, first.at_once) == ("extra sample", "L2", True)
    assert "Production goes on" in first.sentence
    taken = [*lots("+-"), LotOutcome(lot="L2", outcome="open", extra=True)]
    assert "extra sample" not in [one.kind for one in judge_sampling(PLAN, taken).due]


def test_old_failures_without_an_extra_sample_are_asked_for_together() -> None:
    due = [one for one in judge_sampling(PLAN, lots("-+++++-+")).due if one.kind == "extra sample"]
    assert len(due) == 1
    assert "L1, L7" in due[0].sentence
    assert not due[0].at_once


@pytest.mark.parametrize(
    ("marks", "to_next"),
    [("", 1), ("+", 2), ("+.", 1), ("+.+", 2), ("--", 1), ("--+", 1)],
)
def test_the_next_lot_to_sample_is_counted_from_the_newest_sample(marks: str, to_next: int) -> None:
    assert judge_sampling(PLAN, lots(marks)).to_next == to_next


def test_a_lot_that_was_passed_over_is_named() -> None:
    state = judge_sampling(PLAN, lots("+..."))
    assert state.to_next == 0
    assert [(one.kind, one.lot) for one in state.due] == [("sample", "L3")]


def test_relaxed_sampling_takes_every_fifth_lot() -> None:
    state = judge_sampling(PLAN, lots("+...."), begins_at="relaxed")
    assert state.to_next == 1


def test_samples_that_lie_untested_are_told() -> None:
    assert kinds("+.?") == ["next lot"]
    assert kinds("?.?") == ["test", "next lot"]


def test_a_stopped_plan_asks_for_the_cause_and_for_no_next_lot() -> None:
    due = judge_sampling(PLAN, lots("-" * 7)).due
    assert [one.kind for one in due] == ["extra sample", "stopped", "extra sample"]
    assert "cause" in due[1].sentence


def test_a_lot_ends_after_its_days() -> None:
    lot = [LotOutcome(lot="L1", outcome="accepted", opened="2026-05-01")]
    asked = [one.kind for one in judge_sampling(PLAN, lot, today="2026-05-04").due]
    assert "new lot" not in asked
    assert "new lot" in [one.kind for one in judge_sampling(PLAN, lot, today="2026-05-05").due]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: judge_sampling(PLAN, lots("+"), begins_at="strict"), "tightened, normal, relaxed"),
        (lambda: judge_sampling(PLAN, [LotOutcome(lot="L1", outcome="good")]), "outcome 'good' found"),
        (lambda: judge_sampling(PLAN, [LotOutcome(lot="L1", opened="May")], today="2026-05-01"), "is no day"),
        (
            lambda: lots_of_loads(
                PLAN, [Load(number="1", sent="May", quantity_t=1.0)] * 2, severity="normal"
            ),
            "is no day",
        ),
        (
            lambda: lots_of_loads(
                PLAN, [Load(number="1", sent="2026-05-01", quantity_t=0.0)], severity="normal"
            ),
            "above 0",
        ),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(call: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        call()  # type: ignore[operator]


def load(number: int, day: int, *, tank: str = "", tonnes: float = 20.0, added: bool = False) -> Load:
    return Load(number=str(number), sent=f"2026-05-{day:02d}", quantity_t=tonnes, tank=tank, added=added)


def test_tank_lots_end_with_added_product_and_with_their_days_and_each_tank_has_its_own() -> None:
    plan = SamplingPlan(
        identifier="t",
        title="t",
        document="d",
        lot_is="tank",
        lot_days=3.0,
        ends_when_added=True,
        levels=PLAN.levels,
    )
    loads = [
        load(1, 1, tank="T1"),
        load(2, 1, tank="T2"),
        load(3, 2, tank="T1"),
        load(4, 3, tank="T1", added=True),
    ]
    loads += [load(5, 5, tank="T2"), load(6, 6, tank="T1")]
    found = lots_of_loads(plan, loads, severity="normal")
    assert [one.loads for one in found] == [("1", "3"), ("2",), ("4", "6"), ("5",)]
    assert [one.ended_by for one in found] == ["added", "days", "", ""]


def test_lots_by_tonnage_are_filled_up_to_their_size_and_no_load_is_parted() -> None:
    levels = (
        SamplingLevel(severity="tightened", every=1, lot_t=24.0),
        SamplingLevel(severity="normal", every=1, lot_t=60.0),
    )
    plan = SamplingPlan(identifier="t", title="t", document="d", lot_is="tonnage", levels=levels)
    loads = [load(at, at, tonnes=25.0) for at in range(1, 6)]
    normal = lots_of_loads(plan, loads, severity="normal")
    assert [one.quantity_t for one in normal] == [50.0, 50.0, 25.0]
    assert [one.ended_by for one in normal] == ["size", "size", ""]
    tightened = lots_of_loads(plan, loads, severity="tightened")
    assert [one.quantity_t for one in tightened] == [25.0] * 5  # a load larger than a lot is a lot of its own
    assert sum(one.quantity_t for one in normal) == sum(one.quantity_t for one in loads)
