"""The laboratory's own precision in a verdict: which one, on which day, and how its doubt counts.

Expected numbers are constructed from the definition: u² = s² − sr²(1 − 1/n), ISO 5725-6.
"""

import math
from dataclasses import replace

import pytest

from resile.judge.results.own_precision import own_precision_in_force
from resile.judge.results.results import results_from_determinations
from resile.records.determination import Condition, Determination, Result
from resile.records.own_precision import KeyedPrecision
from resile.records.register import OwnPrecision
from resile.specifications.load import load_all_precision, load_retest_rule

AGED = Condition.SHORT_TERM_AGED
FIRST = OwnPrecision(
    quantity="jnr_3.2",
    condition=AGED,
    repeatability=0.03,
    intermediate=0.04,
    bias=-0.01,
    standard=0.05,
    degrees_of_freedom=20.0,
    lowest=0.1,
    highest=2.0,
    duplicates=21,
    checks=1,
    since="2025-01-01",
    until="2025-12-31",
    valid_until="2026-12-31",
)


def held(**changed: object) -> KeyedPrecision:
    key = str(changed.pop("key", "OP-1"))
    return KeyedPrecision(key, replace(FIRST, **changed))  # type: ignore[arg-type]


def of_day(value: float, tested: str = "2026-03-02", **other: str) -> Determination:
    return Determination("A", AGED, 64.0, "jnr_3.2", value, "1/kPa", tested=tested, **other)  # type: ignore[arg-type]


def judged(values: list[Determination], own: list[KeyedPrecision], basis: str = "own") -> Result:
    rule = load_retest_rule("mean-of-all")
    (result,) = results_from_determinations(values, load_all_precision(), rule, basis=basis, own=own)
    return result


def test_only_the_scatter_of_one_day_shrinks_with_replicates() -> None:
    found = judged([of_day(0.48), of_day(0.52)], [held()]).uncertainty
    assert found is not None
    assert found.standard == pytest.approx(0.5 * math.sqrt(0.05**2 - 0.03**2 / 2), rel=1e-12)
    assert found.common_standard == pytest.approx(0.5 * 0.04, rel=1e-12)
    assert (found.basis, found.degrees_of_freedom) == ("own", 20.0)


def test_amounts_in_the_unit_of_the_value_are_not_scaled_by_it() -> None:
    found = judged([of_day(0.5)], [held(relative=False)]).uncertainty
    assert found is not None
    assert found.standard == pytest.approx(0.05, rel=1e-12)


def test_the_note_names_key_day_what_it_rests_on_and_the_bias() -> None:
    found = judged([of_day(0.5)], [held()]).uncertainty
    assert found is not None
    assert found.note == (
        "own precision OP-1, data until 2025-12-31; 21 duplicates, 1 check; "
        "bias of −1 % counted as uncertainty, the value is not corrected"
    )


@pytest.mark.parametrize(
    ("day", "value", "other", "reason"),
    [
        ("2025-12-31", 0.5, {}, "none of Jnr3.2 was in force on 2025-12-31"),
        ("2027-01-01", 0.5, {}, "none of Jnr3.2 was in force on 2027-01-01"),
        ("2026-03-02", 2.5, {}, "none was found for values such as 2.5 1/kPa"),
        ("", 0.5, {}, "the day of the test is not known"),
        ("2026-03-02", 0.5, {"laboratory": "Elsewhere"}, "the test was made by Elsewhere"),
    ],
)
def test_where_none_is_in_force_a_finding_says_why_and_no_other_basis_steps_in(
    day: str, value: float, other: dict[str, str], reason: str
) -> None:
    result = judged([of_day(value, day, **other)], [held()])
    assert result.uncertainty is None
    (told,) = [one for one in result.findings if one.code == "own-precision-not-in-force"]
    assert reason in told.message


def test_another_basis_steps_in_only_where_it_was_agreed_and_the_finding_stays() -> None:
    result = judged([of_day(0.5)], [held(quantity="m_value")], "own,repeatability")
    assert result.uncertainty is not None
    assert result.uncertainty.basis == "repeatability"
    assert "own-precision-not-in-force" in [one.code for one in result.findings]


def test_the_very_residue_goes_before_every_residue_and_the_newest_before_older_ones() -> None:
    every = held(key="OP-2", condition=Condition.UNKNOWN, until="2026-02-01")
    newer = held(key="OP-3", until="2026-01-31")
    chosen = [
        own_precision_in_force(list(given), "jnr_3.2", AGED, 0.5, "2026-03-02").held
        for given in ((held(), every), (held(), newer, every), (every,))
    ]
    assert [one.key for one in chosen if one] == ["OP-1", "OP-3", "OP-2"]


def test_the_day_is_the_last_on_which_a_counted_determination_was_made() -> None:
    after = held(key="OP-2", until="2026-03-02")
    result = judged([of_day(0.5, "2026-03-02"), of_day(0.5, "2026-03-03T09:00")], [held(), after])
    assert result.uncertainty is not None
    assert "OP-2" in result.uncertainty.note
