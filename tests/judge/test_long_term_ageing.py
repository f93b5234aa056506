"""Long-term ageing records against their method: both sides of every tolerance, slips of unit, the feed."""

from dataclasses import replace
from typing import Any

import pytest

from resile.compute.ageing.long_term import reduce_long_term_ageing
from resile.compute.ageing.short_term import reduce_short_term_ageing
from resile.judge.rules.ageing import findings_for_ageing, findings_for_feed
from resile.records.ageing import AgeingRecord, Bottle, LongTermAgeingRecord, Pan
from resile.records.determination import Condition
from resile.records.finding import Finding, Severity
from resile.specifications.load import load_ageing_method

GOOD = LongTermAgeingRecord(
    "tank",
    "r28",
    aged_on="2026-03-03",
    temperature_c=100.0,
    pressure_mpa=2.1,
    duration_h=20.0,
    pan_diameter_mm=140.0,
    pans=(Pan("1", 50.0), Pan("2", 50.2)),
    release_min=9.0,
    pan_heating_temperature_c=163.0,
    pan_heating_min=15.0,
    degassing_temperature_c=170.0,
    degassing_pressure_kpa=15.0,
    degassing_min=30.0,
    feed=Condition.SHORT_TERM_AGED,
)


def findings(record: LongTermAgeingRecord, feed_aged_on: str = "2026-03-02") -> list[Finding]:
    reduced = reduce_long_term_ageing(record, feed_aged_on=feed_aged_on)
    return list(findings_for_ageing(reduced, load_ageing_method(record.method)))


def weights(record: LongTermAgeingRecord) -> dict[str, Severity]:
    return {f.code: f.severity for f in findings(record)}


@pytest.mark.parametrize(
    "record", [GOOD, replace(GOOD, method="d6521"), replace(GOOD, method="r28-40h", duration_h=40.0)]
)
def test_a_record_within_its_method_raises_nothing(record: LongTermAgeingRecord) -> None:
    assert findings(record) == []


# Both sides of each end. Ends: R 28-12 (2016), 4.1 and D6521-19a, 6.1.1, read (temperature, time, pressure,
# pans, release, heating); R 28, recalled (mass, diameter, degassing); own rules say so in pav_r28.toml.
ENDS = [
    ("temperature_c", 89.5, 89.4, 110.5, 110.6, Severity.INVALID),
    ("pressure_mpa", 2.0, 1.99, 2.2, 2.21, Severity.INVALID),
    ("duration_h", 1190.0 / 60.0, 1189.0 / 60.0, 1210.0 / 60.0, 1211.0 / 60.0, Severity.INVALID),
    ("pan_diameter_mm", 139.0, 138.9, 141.0, 141.1, Severity.CAUTION),
    ("pan_count", 1.0, 0.0, 10.0, 11.0, Severity.NOTE),
    ("release_min", 8.0, 7.9, 10.0, 10.1, Severity.CAUTION),
    ("pan_heating_temperature_c", 158.0, 157.9, 168.0, 168.1, Severity.CAUTION),
    ("pan_heating_min", 14.0, 13.9, 16.0, 16.1, Severity.CAUTION),
    ("degassing_temperature_c", 165.0, 164.9, 175.0, 175.1, Severity.CAUTION),
    ("degassing_pressure_kpa", 12.5, 12.4, 17.5, 17.6, Severity.CAUTION),
    ("degassing_min", 29.0, 28.9, 31.0, 31.1, Severity.CAUTION),
]


@pytest.mark.parametrize("method", ["r28", "d6521"])
@pytest.mark.parametrize(("field", "low", "below", "high", "above", "severity"), ENDS)
def test_both_sides_of_every_tolerance(
    method: str, field: str, low: float, below: float, high: float, above: float, severity: Severity
) -> None:
    record = replace(GOOD, method=method)
    for value in (low, high):
        assert findings(replace(record, **{field: value})) == []  # type: ignore[arg-type]
    for value in (below, above):
        (told,) = findings(replace(record, **{field: value}))  # type: ignore[arg-type]
        assert told.severity is severity
        assert told.code.startswith("long-term-ageing-")
        assert told.code.endswith("-out-of-tolerance")


@pytest.mark.parametrize(("mass", "doubted"), [(49.5, False), (50.5, False), (49.4, True), (50.6, True)])
def test_the_binder_in_each_pan_is_looked_at(mass: float, doubted: bool) -> None:
    told = findings(replace(GOOD, pans=(Pan("1", 50.0), Pan("A2", mass))))
    assert [f.code for f in told] == ["long-term-ageing-pan-mass-out-of-tolerance"] * doubted
    assert all("(pan A2)" in f.message for f in told)


@pytest.mark.parametrize(
    ("feed_aged_on", "doubted"),
    [("2026-03-03", False), ("2026-02-28", False), ("2026-02-27", True), ("2026-03-04", True)],
)
def test_a_feed_that_stood_too_long_or_was_aged_later_is_told(feed_aged_on: str, doubted: bool) -> None:
    told = [f.code for f in findings(GOOD, feed_aged_on)]
    assert told == ["long-term-ageing-feed-age-out-of-tolerance"] * doubted


@pytest.mark.parametrize(("method", "hours"), [("r28", 40.0), ("r28-40h", 20.0), ("d6521", 40.0)])
def test_20_hours_and_40_hours_are_two_methods(method: str, hours: float) -> None:
    found = weights(replace(GOOD, method=method, duration_h=hours))
    assert found == {"long-term-ageing-duration-out-of-tolerance": Severity.INVALID}


@pytest.mark.parametrize(
    ("hours", "doubted"),
    [(2380 / 60, False), (2420 / 60, False), (2379 / 60, True), (2421 / 60, True)],
)
def test_double_ageing_has_a_tolerance_of_its_own(hours: float, doubted: bool) -> None:
    assert bool(findings(replace(GOOD, method="r28-40h", duration_h=hours))) is doubted


# Definitions: 1 bar is 0.1 MPa, 1 psi 6894.757 Pa, 1 mbar 0.1 kPa, 1 mmHg 133.322 Pa, °F = 1.8 °C + 32.
@pytest.mark.parametrize(
    ("field", "value", "unit"),
    [
        ("pressure_mpa", 21.0, "bar"),
        ("pressure_mpa", 305.0, "psi"),
        ("pressure_mpa", 2100.0, "kPa"),
        ("temperature_c", 212.0, "°F"),
        ("duration_h", 1200.0, "min"),
        ("degassing_pressure_kpa", 150.0, "mbar"),
        ("degassing_pressure_kpa", 112.5, "mmHg"),
        ("pan_heating_temperature_c", 325.0, "°F"),
        ("release_min", 540.0, "s"),
        ("pan_diameter_mm", 14.0, "cm"),
    ],
)
def test_a_number_in_another_unit_is_asked_about_not_converted(field: str, value: float, unit: str) -> None:
    (told,) = findings(replace(GOOD, **{field: value}))  # type: ignore[arg-type]
    assert told.message.endswith(f"is it in {unit}?")
    assert told.value == value


def test_a_number_that_no_unit_explains_is_not_explained() -> None:
    (told,) = findings(replace(GOOD, pressure_mpa=1.5))
    assert "is it in" not in told.message


@pytest.mark.parametrize("feed", [Condition.ORIGINAL, Condition.LONG_TERM_AGED, Condition.RECOVERED])
@pytest.mark.parametrize("method", ["r28", "d6521", "r28-40h", "local-pressure"])
def test_only_short_term_aged_binder_may_go_into_the_pans(feed: Condition, method: str) -> None:
    found = weights(replace(GOOD, method=method, feed=feed))
    assert found["long-term-ageing-of-the-wrong-residue"] is Severity.INVALID


def test_what_was_not_recorded_is_told_with_the_feed() -> None:
    (told,) = findings(replace(GOOD, feed=Condition.UNKNOWN, pressure_mpa=None))
    assert told.code == "long-term-ageing-not-recorded"
    assert "air pressure" in told.message
    assert "put into the pans" in told.message


def test_what_was_seen_and_what_was_done_otherwise_are_carried() -> None:
    record = replace(
        GOOD, pans=(Pan("1", 50.0, note="tilted"),), note="power cut", departure="film of 0.8 mm in two pans"
    )
    assert set(weights(record)) == {
        "long-term-ageing-pan-note",
        "long-term-ageing-note",
        "long-term-ageing-departure-declared",
    }


def test_every_tolerance_carries_its_source() -> None:
    for name in ("r28", "d6521", "r28-40h", "local-pressure"):
        assert all(tolerance.source for tolerance in load_ageing_method(name).tolerances)


def _short_term(**change: Any) -> AgeingRecord:
    bottles = (Bottle("1", 165.0, 200.0, 199.93), Bottle("2", 164.0, 199.1, 199.02))
    record = AgeingRecord("tank", "t240", temperature_c=163.0, duration_min=85.0, bottles=bottles)
    reduced = reduce_short_term_ageing(replace(record, **change))
    return replace(reduced, findings=findings_for_ageing(reduced, load_ageing_method("t240")))


def test_a_feed_whose_own_ageing_is_invalid_makes_the_record_invalid() -> None:
    assert findings_for_feed(GOOD, ordered=None, linked=_short_term()) == ()
    (told,) = findings_for_feed(GOOD, ordered=None, linked=_short_term(duration_min=75.0))
    assert told.severity is Severity.INVALID
    assert "ageing-duration-out-of-tolerance" in told.message


def test_two_records_of_different_samples_are_told() -> None:
    (told,) = findings_for_feed(GOOD, ordered=_short_term(sample="barrel"), linked=None)
    assert told.code == "long-term-ageing-feed-differs"
    assert "'tank'" in told.message
    assert "'barrel'" in told.message
