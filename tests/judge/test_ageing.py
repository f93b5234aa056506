from dataclasses import replace

import pytest

from resile.compute.ageing.short_term import reduce_short_term_ageing
from resile.judge.rules.ageing import findings_for_ageing
from resile.records.ageing import AgeingRecord, Bottle
from resile.records.finding import Measure, Severity
from resile.specifications.load import load_ageing_method

T240 = load_ageing_method("t240")
EN = load_ageing_method("en12607-1")
GOOD = AgeingRecord(
    "tank",
    "t240",
    temperature_c=163.2,
    duration_min=85.0,
    air_flow_ml_min=4000.0,
    rotation_r_min=15.0,
    recovery_min=8.0,
    bottles=(Bottle("1", 165.0, 200.0, 199.93), Bottle("2", 164.0, 199.1, 199.02)),
)


def findings(record: AgeingRecord, method: str = "t240") -> dict[str, Severity]:
    chosen = load_ageing_method(method)
    return {f.code: f.severity for f in findings_for_ageing(reduce_short_term_ageing(record), chosen)}


def test_a_record_within_the_method_raises_nothing() -> None:
    assert findings(GOOD) == {}


@pytest.mark.parametrize(
    ("change", "code", "severity"),
    [
        ({"temperature_c": 165.0}, "ageing-temperature-out-of-tolerance", Severity.CAUTION),
        ({"duration_min": 75.0}, "ageing-duration-out-of-tolerance", Severity.INVALID),
        ({"air_flow_ml_min": 3600.0}, "ageing-air-flow-out-of-tolerance", Severity.CAUTION),
        ({"rotation_r_min": 16.0}, "ageing-rotation-out-of-tolerance", Severity.CAUTION),
        ({"recovery_min": 12.0}, "ageing-recovery-out-of-tolerance", Severity.INVALID),
    ],
)
def test_what_lies_outside_is_told_with_its_weight(
    change: dict[str, float], code: str, severity: Severity
) -> None:
    assert findings(replace(GOOD, **change)) == {code: severity}  # type: ignore[arg-type]


def test_75_minutes_are_right_by_one_standard_and_wrong_by_the_other() -> None:
    """EN 12607-1, 75 min [recalled, high]; AASHTO T 240, 85 min [read]."""
    shorter = replace(GOOD, duration_min=75.0)
    assert findings(shorter, "en12607-1") == {}
    assert findings(GOOD, "en12607-1") == {"ageing-duration-out-of-tolerance": Severity.INVALID}
    assert findings(replace(GOOD, duration_min=60.0), "local") == {}


def test_bottles_that_disagree_or_hold_too_little_are_told() -> None:
    bottles = (Bottle("1", 165.0, 200.0, 199.93), Bottle("2", 165.0, 199.0, 198.5))
    found = findings_for_ageing(reduce_short_term_ageing(replace(GOOD, bottles=bottles)), T240)
    messages = " ".join(f.message for f in found)
    assert "binder in a bottle (bottle 2) is 34 g" in messages
    assert {f.code for f in found} == {
        "ageing-bottle-mass-out-of-tolerance",
        "ageing-bottle-difference-out-of-tolerance",
    }


def test_what_was_not_recorded_and_what_was_seen_on_a_bottle_are_told() -> None:
    bottles = (Bottle("1", 165.0, 200.0, 199.93, note="binder crept out"), GOOD.bottles[1])
    found = findings_for_ageing(
        reduce_short_term_ageing(replace(GOOD, bottles=bottles, air_flow_ml_min=None)), T240
    )
    assert [f.code for f in found] == ["ageing-bottle-note", "ageing-not-recorded"]
    assert "air flow" in found[1].message
    assert "binder crept out" in found[0].message


def test_every_tolerance_carries_its_source() -> None:
    assert all(t.source for method in (T240, EN) for t in method.tolerances)


def test_a_stated_mean_that_is_not_that_of_the_bottles_is_replaced_and_told() -> None:
    """Constructed: bottles of -0.200 and -0.228 % have a mean of -0.214 %."""
    assert findings(replace(GOOD, mass_change_percent=-0.21)) == {}
    record = replace(GOOD, mass_change_percent=0.21)
    assert findings(record) == {"ageing-mass-change-misfit-out-of-tolerance": Severity.CAUTION}
    assert reduce_short_term_ageing(record).mass_change_percent == pytest.approx(-0.214, abs=5e-4)


def test_one_bottle_is_told_once() -> None:
    assert findings(replace(GOOD, bottles=GOOD.bottles[:1])) == {
        "ageing-bottles-out-of-tolerance": Severity.NOTE
    }


@pytest.mark.parametrize("method", ["t240", "en12607-1", "local"])
@pytest.mark.parametrize(("change", "doubted"), [(-1.2, True), (0.7, True), (-0.4, False), (0.2, False)])
def test_a_loss_or_gain_beyond_what_ageing_brings_is_doubted(
    method: str, change: float, doubted: bool
) -> None:
    # 1.00 %: AASHTO M 320, Table 1; a gain of 0.5 %: common practice, no source.
    record = AgeingRecord(sample="tank", method=method, mass_change_percent=change)
    told = [f.code for f in findings_for_ageing(record, load_ageing_method(method))]
    assert ("ageing-mass-change-out-of-tolerance" in told) is doubted


def test_an_oven_in_fahrenheit_is_asked_about() -> None:
    # Constructed: 325 °F is (325 − 32)/1.8 = 162.8 °C.
    record = AgeingRecord(sample="tank", method="t240", measures=(Measure("temperature_c", 325.0, "°C"),))
    told = findings_for_ageing(record, load_ageing_method("t240"))[0].message
    assert told.endswith("325 °F would be 163 °C: is it in °F?")
