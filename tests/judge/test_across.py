"""Results of one binder side by side: each rule raised by a constructed case, and silent on published ones.

Published: FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, Data.xlsx, sheets HTPG and MSCR.
"""

import pytest

from resile.judge.across.blocks import findings_of_repeated_blocks
from resile.judge.across.findings import findings_across_tests
from resile.records.determination import Condition, Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.quantity import QUANTITIES
from resile.specifications.creep_recovery import load_finding_rules
from verdict_bench import determination

RULES = load_finding_rules("across_tests")
ORIGINAL, AGED, LONG = Condition.ORIGINAL, Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED
Row = tuple[str, Condition, float | None, float]


def typed(*rows: Row) -> list[Result]:
    return [
        Result(
            "tank",
            condition,
            temperature,
            quantity,
            QUANTITIES[quantity].unit,
            value,
            (determination(quantity, f"{value}", temperature_c=temperature, condition=condition),),
            (True,),
        )
        for quantity, condition, temperature, value in rows
    ]


def told(*rows: Row) -> tuple[Finding, ...]:
    return findings_across_tests(typed(*rows), RULES)


def codes(*rows: Row) -> list[str]:
    return [finding.code for finding in told(*rows)]


def test_published_ageing_raises_nothing() -> None:
    """Lane 3: 1.162 and 2.791 kPa, 87.4 and 84.3°; lane 4: 1.275 and 2.399 kPa [read]."""
    assert (
        codes(
            ("rutting_parameter", ORIGINAL, 64.0, 1.162),
            ("rutting_parameter", AGED, 64.01, 2.791),
            ("phase_angle", ORIGINAL, 64.0, 87.4),
            ("phase_angle", AGED, 64.0, 84.3),
        )
        == []
    )
    assert codes(("rutting_parameter", ORIGINAL, 76.0, 1.275), ("rutting_parameter", AGED, 76.0, 2.399)) == []


def test_exchanged_labels_are_told_with_the_ratio_that_would_fit() -> None:
    (finding,) = told(("rutting_parameter", ORIGINAL, 64.0, 2.791), ("rutting_parameter", AGED, 64.0, 1.162))
    assert finding.code == "residues-exchanged"
    assert "a ratio of 0.42" in finding.message
    assert "2.40, as ageing gives it" in finding.message
    assert "labels of the residues are exchanged" in finding.advice
    assert (finding.value, finding.limit) == (pytest.approx(1.162 / 2.791), 1.0)


@pytest.mark.parametrize(
    ("original", "aged", "code"),
    [
        (1.0, 4.1, "ageing-ratio-out-of-range"),
        (1.0, 2400.0, "ageing-ratio-out-of-range"),
        (1000.0, 2.4, "ageing-ratio-out-of-range"),
        (1.0, 0.99, "residues-exchanged"),
        (1.0, 1.0, "ageing-hardly-any"),
        (1.0, 1.08, "ageing-hardly-any"),
    ],
)
def test_a_ratio_beyond_the_ends_raises_one_finding(original: float, aged: float, code: str) -> None:
    rows = (("rutting_parameter", ORIGINAL, 40.0, original), ("rutting_parameter", AGED, 40.0, aged))
    assert codes(*rows) == [code]


@pytest.mark.parametrize("aged", [1.1, 2.4, 4.0])
def test_a_ratio_between_the_ends_raises_nothing(aged: float) -> None:
    assert codes(("rutting_parameter", ORIGINAL, 64.0, 1.0), ("rutting_parameter", AGED, 64.0, aged)) == []


@pytest.mark.parametrize(
    ("quantity", "temperature", "younger", "aged"),
    [
        ("complex_modulus", 25.0, 9000.0, 4000.0),
        ("rotational_viscosity", 135.0, 0.6, 0.4),
        ("creep_stiffness", -12.0, 240.0, 180.0),
        ("m_value", -12.0, 0.30, 0.36),
        ("jnr_3.2", 64.0, 1.0, 2.0),
        ("phase_angle", 64.0, 82.0, 86.0),
        ("penetration", None, 44.2, 70.2),
        ("softening_point", None, 54.0, 48.0),
    ],
)
def test_an_order_of_ageing_that_is_reversed_is_told_and_the_right_one_is_not(
    quantity: str, temperature: float | None, younger: float, aged: float
) -> None:
    wrong = codes((quantity, AGED, temperature, younger), (quantity, LONG, temperature, aged))
    right = codes((quantity, AGED, temperature, aged), (quantity, LONG, temperature, younger))
    assert wrong == ["ageing-order-reversed"]
    assert right == []


def test_long_term_ageing_is_compared_with_the_original_where_nothing_lies_between() -> None:
    rows = (("complex_modulus", ORIGINAL, 25.0, 900.0), ("complex_modulus", LONG, 25.0, 300.0))
    (finding,) = told(*rows)
    assert "long-term-aged against original binder" in finding.message


@pytest.mark.parametrize(
    ("quantity", "colder", "hotter", "step"),
    [
        ("rutting_parameter", 1.0, 2.0, 6.0),
        ("creep_stiffness", 150.0, 300.0, 6.0),
        ("m_value", 0.33, 0.27, 6.0),
        ("jnr_3.2", 2.0, 1.0, 6.0),
        ("rotational_viscosity", 0.1, 0.4, 30.0),
    ],
)
def test_what_stiffens_with_heat_is_told(quantity: str, colder: float, hotter: float, step: float) -> None:
    base = -18.0 if quantity in ("creep_stiffness", "m_value") else 64.0
    base = 135.0 if quantity == "rotational_viscosity" else base
    assert codes((quantity, AGED, base, colder), (quantity, AGED, base + step, hotter)) == [
        "wrong-way-with-temperature"
    ]
    assert codes((quantity, AGED, base, hotter), (quantity, AGED, base + step, colder)) == []


@pytest.mark.parametrize("hotter", [0.3, 0.9])
def test_a_step_of_temperature_that_changes_too_much_or_too_little_is_told(hotter: float) -> None:
    """Constructed around 1.0 kPa; FHWA-RUT lane 3, 1.162 to 0.550 kPa, is a factor of 2.11 [read]."""
    assert codes(
        ("rutting_parameter", ORIGINAL, 64.0, 1.0), ("rutting_parameter", ORIGINAL, 70.0, hotter)
    ) == ["temperature-step-odd"]
    assert (
        codes(("rutting_parameter", ORIGINAL, 64.0, 1.162), ("rutting_parameter", ORIGINAL, 70.0, 0.55)) == []
    )


def test_creep_and_oscillation_are_compared_whatever_record_they_came_from() -> None:
    """K. R. Hobson, 2011 [read]: 3.81 x 2.51 / 10 = 0.96, 4.60 x 2.22 / 10 = 1.02, near-Newtonian."""
    for jnr, rutting in ((3.81, 2.51), (4.60, 2.22)):
        assert codes(("jnr_0.1", AGED, 64.0, jnr), ("rutting_parameter", AGED, 64.0, rutting)) == []
    assert codes(("jnr_0.1", AGED, 64.0, 3.2), ("rutting_parameter", AGED, 64.0, 4.0)) == [
        "creep-and-oscillation-disagree"
    ]
    assert codes(("jnr_3.2", AGED, 64.0, 3.2), ("rutting_parameter", AGED, 64.0, 4.0)) == [
        "creep-and-oscillation-disagree"
    ]
    assert codes(("jnr_0.1", AGED, 64.0, 3.2), ("rutting_parameter", ORIGINAL, 64.0, 4.0)) == []


def test_oscillation_in_pascal_under_a_kilopascal_heading_is_suspected() -> None:
    findings = told(("jnr_0.1", AGED, 64.0, 3.81), ("rutting_parameter", AGED, 64.0, 2510.0))
    assert [f.code for f in findings] == ["creep-and-oscillation-disagree", "unit-suspected-by-size"]
    assert "A thousandth would be 0.956" in findings[0].message


def test_a_viscous_binder_that_creeps_too_little_is_told() -> None:
    """Lane 3: Jnr0.1 2.889, R3.2 0, 2.791 kPa give 0.81 [read]; half of that compliance is constructed."""
    rest: tuple[Row, ...] = (
        ("percent_recovery_3.2", AGED, 64.0, 0.0),
        ("rutting_parameter", AGED, 64.0, 2.791),
    )
    assert codes(("jnr_0.1", AGED, 64.0, 2.889), *rest) == []
    assert codes(("jnr_0.1", AGED, 64.0, 1.44), *rest) == ["creep-stiffer-than-oscillation"]


@pytest.mark.parametrize(
    ("quantity", "recovery", "angle", "found"),
    [
        ("percent_recovery_3.2", 0.0, 84.35, False),  # lane 3 [read]
        ("percent_recovery_3.2", 0.98, 83.28, False),  # lane 10 [read]
        ("percent_recovery_3.2", 74.0, 84.35, True),  # recovery of lane 4 beside the angle of lane 3
        ("percent_recovery_0.1", 81.5, 65.3, False),  # lane 4, angle at 76 °C [read]
        ("percent_recovery_0.1", 0.815, 65.3, True),  # the same as a ratio
    ],
)
def test_recovery_is_set_against_the_phase_angle(
    quantity: str, recovery: float, angle: float, found: bool
) -> None:
    rows = ((quantity, AGED, 64.0, recovery), ("phase_angle", AGED, 64.0, angle))
    assert codes(*rows) == (["recovery-against-phase-angle"] if found else [])


def test_compliances_of_the_two_stresses_are_set_side_by_side() -> None:
    """Lane 1: 0.6473 and 0.8606 [read]; a lost or an added digit is constructed."""
    assert codes(("jnr_0.1", AGED, 64.0, 0.6473), ("jnr_3.2", AGED, 64.0, 0.8606)) == []
    for high in (8.606, 0.08606):
        assert codes(("jnr_0.1", AGED, 64.0, 0.6473), ("jnr_3.2", AGED, 64.0, high)) == [
            "stress-levels-disagree"
        ]


def test_stiffness_and_slope_of_one_beam_belong_together() -> None:
    """Christensen-Anderson with R = 2: m = 1 - (S/3000)^(log 2/R), constructed; S 300 MPa gives m 0.2929."""
    assert codes(("creep_stiffness", LONG, -12.0, 300.0), ("m_value", LONG, -12.0, 0.2929)) == []
    for stiffness, slope in ((25.0, 0.2929), (990.0, 0.2929)):
        assert codes(("creep_stiffness", LONG, -12.0, stiffness), ("m_value", LONG, -12.0, slope)) == [
            "stiffness-and-slope-disagree"
        ]


@pytest.mark.parametrize(
    ("quantity", "temperature", "value", "code"),
    [
        ("rutting_parameter", 64.0, 2200.0, "unit-suspected-by-size"),
        ("rutting_parameter", 64.0, 0.0022, "unit-suspected-by-size"),
        ("complex_modulus", 64.0, 2200.0, "unit-suspected-by-size"),
        ("fatigue_parameter", 25.0, 4.2, "unit-suspected-by-size"),
        ("fatigue_parameter", 25.0, 4.2e6, "unit-suspected-by-size"),
        ("phase_angle", 64.0, 1.48, "phase-angle-in-radians"),
        ("creep_stiffness", -12.0, 0.21, "unit-suspected-by-size"),
        ("creep_stiffness", -12.0, 210000.0, "unit-suspected-by-size"),
        ("m_value", -12.0, 0.032, "m-value-out-of-range"),
        ("m_value", -12.0, 0.83, "m-value-out-of-range"),
        ("rotational_viscosity", 135.0, 420.0, "unit-suspected-by-size"),
        ("rotational_viscosity", 135.0, 0.0042, "unit-suspected-by-size"),
        ("jnr_3.2", 64.0, 860.0, "unit-suspected-by-size"),
        ("jnr_3.2", 64.0, 0.00086, "unit-suspected-by-size"),
        ("mass_change_percent", None, -34.6, "mass-change-out-of-range"),
        ("flash_point", None, 590.0, "flash-point-out-of-range"),
        ("flash_point", None, 23.0, "flash-point-out-of-range"),
        ("creep_stiffness", 12.0, 210.0, "temperature-outside-method"),
        ("creep_stiffness", -120.0, 210.0, "temperature-outside-method"),
        ("rutting_parameter", 147.2, 2.2, "temperature-outside-method"),
        ("rutting_parameter", -64.0, 2.2, "temperature-outside-method"),
        ("jnr_3.2", 147.2, 2.2, "temperature-outside-method"),
        ("jnr_3.2", 6.4, 2.2, "temperature-outside-method"),
        ("rotational_viscosity", 275.0, 0.42, "temperature-outside-method"),
    ],
)
def test_a_size_or_temperature_beyond_the_method_is_told(
    quantity: str, temperature: float | None, value: float, code: str
) -> None:
    assert codes((quantity, AGED, temperature, value)) == [code]


def replicated(quantity: str, condition: Condition, temperature: float, *values: float) -> Result:
    own = tuple(
        determination(quantity, f"{v}", temperature_c=temperature, condition=condition, replicate=f"{n}")
        for n, v in enumerate(values, start=1)
    )
    mean = sum(values) / len(values)
    unit = QUANTITIES[quantity].unit
    return Result("tank", condition, temperature, quantity, unit, mean, own, (True,) * len(own))


def test_replicates_without_a_published_precision_are_told_where_they_are_far_apart() -> None:
    """FHWA-RUT, lane 7 at 58 °C: 23.6, 44.4 and 43.2 kPa; tests at 82 °C: 2.132, 2.183, 2.453 [read]."""
    apart = replicated("rutting_parameter", Condition.RECOVERED, 58.0, 23.6, 44.4, 43.2)
    near = replicated("rutting_parameter", Condition.RECOVERED, 82.0, 2.132, 2.183, 2.453)
    (finding,) = findings_across_tests([apart], RULES)
    assert finding.code == "replicates-far-apart"
    assert "3 determinations from 23.6 to 44.4 range over 56 % of their mean" in finding.message
    assert findings_across_tests([near], RULES) == ()


BLOCK = (("creep_stiffness", "201", -12.0), ("m_value", "0.309", -12.0), ("creep_stiffness", "368", -18.0))


def beams(sample: str, replicate: str, *, last: str = "368") -> list[Determination]:
    return [
        determination(
            quantity,
            last if text == "368" else text,
            temperature_c=t,
            condition=LONG,
            replicate=replicate,
            sample=sample,
        )
        for quantity, text, t in BLOCK
    ]


def test_a_block_that_stands_twice_is_told_of_each_sample_it_stands_under() -> None:
    """FHWA-RA, 20RAP, beam 1 [read], copied."""
    found = findings_of_repeated_blocks([*beams("first", "1"), *beams("second", "1")], RULES)
    assert set(found) == {"first", "second"}
    (finding,) = found["first"]
    assert (finding.code, finding.severity, finding.value) == ("block-repeated", Severity.CAUTION, 3.0)
    assert "first, long-term-aged binder, replicate 1 and second" in finding.message


def test_two_numbers_alike_or_a_block_that_differs_by_a_digit_are_no_copy() -> None:
    assert findings_of_repeated_blocks([*beams("first", "1"), *beams("first", "2", last="369")], RULES) == {}
    assert findings_of_repeated_blocks([*beams("first", "1")[:2], *beams("second", "1")[:2]], RULES) == {}


def test_every_rule_names_a_source_with_its_evidence_and_what_settles_it() -> None:
    for rule in RULES:
        marks = ("[read]", "[derived]", "[recalled", "common practice, no source")
        assert any(mark in rule.source for mark in marks), rule.code
        assert rule.advice.startswith(("Likely", "A ")), rule.code
        assert rule.severity is not Severity.INVALID


def test_without_rules_nothing_is_raised() -> None:
    rows = typed(("rutting_parameter", ORIGINAL, 64.0, 2.791), ("rutting_parameter", AGED, 64.0, 1.162))
    assert findings_across_tests(rows, ()) == ()
