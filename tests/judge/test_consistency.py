"""Does a summary follow from itself? Published rows, rows with a known slip, and laws."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.judge.summaries.consistency import findings_for_summary
from resile.judge.summaries.intervals import number_in, printed
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding
from resile.specifications.load import load_specification, load_summary_checks
from verdict_bench import determination

SUMMARY = (
    Path(__file__).resolve().parents[2]
    / ".."
    / "shared"
    / "data"
    / "fhwa_ptf_rutting_mit"
    / "mscr_summary.csv"
)
CHECKS = load_summary_checks()
M332 = load_specification("m332-2014")
MP19 = load_specification("mp19-2010")
NAMES = {
    "r01": "percent_recovery_0.1",
    "r32": "percent_recovery_3.2",
    "rdiff": "recovery_difference_percent",
    "j01": "jnr_0.1",
    "j32": "jnr_3.2",
    "jdiff": "jnr_difference_percent",
    "slope": "jnr_slope_percent",
    "rutting": "rutting_parameter",
    "modulus": "complex_modulus",
    "angle": "phase_angle",
    "fatigue": "fatigue_parameter",
    "letter": "traffic_class",
}


def summary(**texts: str) -> list[Determination]:
    return [determination(NAMES[key], text) for key, text in texts.items()]


def found(
    peers: tuple[Determination, ...] = (), specification: object = None, **texts: str
) -> tuple[Finding, ...]:
    return findings_for_summary(summary(**texts), CHECKS, specification=specification, peers=peers)  # type: ignore[arg-type]


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [f.code for f in findings]


MISFITS = {"derived-value-does-not-follow", "wrong-unit-suspected", "reported-class-does-not-follow"}

# K. R. Hobson (Oklahoma DOT), MSCR results in Oklahoma, SEAUPG webinar, 25 August 2011 [read]:
# R0.1, R3.2, Rdiff, Jnr0.1, Jnr3.2, Jnr,diff, grade under S <= 4.0
OKLAHOMA = [
    ("8", "2", "80", "2.10", "2.39", "13.6", "S"),
    ("-2", "0", "108", "3.81", "3.86", "1.5", "S"),
    ("45", "27", "40", "0.83", "1.18", "41.8", "H"),
    ("-3", "0", "104", "4.60", "4.72", "2.6", "none"),
    ("5", "0", "100", "3.82", "4.18", "9.4", "none"),
    ("1", "1", "-16", "2.87", "3.03", "5.6", "S"),
    ("64", "50", "21", "0.54", "0.78", "45.0", "V"),
    ("74", "72", "3", "0.20", "0.21", "6.1", "E"),
    ("86", "88", "-2", "0.10", "0.09", "-12.0", "E"),
]


@pytest.mark.parametrize("row", OKLAHOMA, ids=lambda row: f"Jnr {row[4]}")
def test_published_rounded_rows_follow_from_themselves(row: tuple[str, ...]) -> None:
    """The printed differences lie inside the span that two decimals of Jnr allow [derived]."""
    r01, r32, rdiff, j01, j32, jdiff, letter = row
    findings = found(
        r01=r01, r32=r32, rdiff=rdiff, j01=j01, j32=j32, jdiff=jdiff, letter=letter, specification=MP19
    )
    assert not MISFITS & set(codes(findings))


def test_a_class_of_another_edition_is_told() -> None:
    """OK-2011 [read]: Jnr3.2 4.18 has no grade under S <= 4.0 and is S under 4.5."""
    (finding,) = found(j32="4.18", letter="none", specification=M332)
    assert finding.code == "reported-class-does-not-follow"
    assert "gives S under m332-2014" in finding.message
    assert found(j32="4.18", letter="none", specification=MP19) == ()


def test_the_real_open_rows_raise_only_what_is_in_them() -> None:
    """FHWA Turner-Fairbank, sheet MSCR [read]: the one slip known is R0.1 0.0018 of lane 7 tank [derived]."""
    if not SUMMARY.exists():
        pytest.skip("the shared data folder is absent")
    with SUMMARY.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    columns = {
        "percent_recovery_0.1": ("R_0p1_fraction", 100.0),
        "percent_recovery_3.2": ("R_3p2_fraction", 100.0),
        "recovery_difference_percent": ("R_diff_fraction", 100.0),
        "jnr_0.1": ("Jnr_0p1_perkPa", 1.0),
        "jnr_3.2": ("Jnr_3p2_perkPa", 1.0),
        "jnr_difference_percent": ("Jnr_diff_fraction", 100.0),
    }

    def of(row: dict[str, str]) -> list[Determination]:
        values = [determination(q, row[c], value=f * float(row[c])) for q, (c, f) in columns.items()]
        return [*values, determination("traffic_class", row["reported_traffic_letter"])]

    raised = []
    for row in rows:
        peers = [
            d
            for other in rows
            if other is not row and (other["sample_id"] == row["sample_id"])
            for d in of(other)
        ]
        findings = findings_for_summary(of(row), CHECKS, specification=M332, peers=peers)
        assert not MISFITS & set(codes(findings)), row
        raised += [(f.code, row["lane"], row["replicate"]) for f in findings if f.severity.value == "caution"]
    assert raised == [("digit-lost-in-replicate", "7", "2")]


def test_the_same_rows_under_a_percent_heading_are_suspected_of_being_ratios() -> None:
    """FHWA lane 1 tank r1 [read]: the source prints 0.4259, 0.277, 0.3295 under per cent headings."""
    findings = found(r01="0.4259", r32="0.277", rdiff="0.3496", j01="0.6473", j32="0.8606", jdiff="0.3295")
    assert codes(findings).count("wrong-unit-suspected") == 3
    assert "times 100 would fit: a ratio under a percent heading" in findings[0].message


def test_one_compliance_in_another_unit_is_named() -> None:
    findings = found(j01="647.3", j32="0.8606", jdiff="32.95")
    assert codes(findings)[0] == "wrong-unit-suspected"
    assert "a factor of 1000 between Jnr0.1 and Jnr3.2 would fit" in findings[0].message


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"jdiff": "23.95"}, "One exchanged digit would explain it: Jnr,diff 32.95 for 23.95"),
        ({"j32": "0.8066"}, "One exchanged digit would explain it: Jnr3.2 0.8606 for 0.8066"),
        ({"jdiff": "3.295"}, "One lost digit would explain it"),
        ({"jdiff": "132.95"}, "One digit too many would explain it: Jnr,diff 32.95 for 132.95"),
        ({"jdiff": "2.95"}, "One lost digit would explain it: Jnr,diff 32.95 for 2.95"),
        ({"jdiff": "37.95"}, "One changed digit would explain it: Jnr,diff 32.95 for 37.95"),
    ],
)
def test_a_slip_of_the_pen_is_found_again(changed: dict[str, str], words: str) -> None:
    """FHWA lane 1 tank replicate 1 [read]: 0.6473, 0.8606, 32.95 %, with one constructed slip."""
    findings = found(**{"j01": "0.6473", "j32": "0.8606", "jdiff": "32.95", **changed})
    assert codes(findings) == ["derived-value-does-not-follow"]
    assert words in findings[0].message


def test_a_slope_is_checked_as_well() -> None:
    """FHWA lane 1 tank r1: slope 6.88 [derived]."""
    assert found(j01="0.6473", j32="0.8606", slope="6.88") == ()
    assert codes(found(j01="0.6473", j32="0.8606", slope="9.99")) == ["derived-value-does-not-follow"]


def test_the_rutting_parameter_follows_from_modulus_and_phase_angle() -> None:
    """Constructed: 2.00 kPa at 30° is 4.00 kPa, since the sine of 30° is one half."""
    assert found(modulus="2.00", angle="30.0", rutting="4.00") == ()
    (slip,) = found(modulus="2.00", angle="30.0", rutting="40.0")
    assert "One lost digit would explain it" in slip.message
    (unit,) = found(modulus="2000", angle="30.0", rutting="4.00")
    assert "a factor of 1000 between |G*| and |G*|/sin δ would fit" in unit.message


def test_the_fatigue_parameter_follows_from_modulus_and_phase_angle() -> None:
    """Constructed: 8000 kPa at 30° is 4000 kPa, since the sine of 30° is one half."""
    assert found(modulus="8000", angle="30.0", fatigue="4000") == ()
    (unit,) = found(modulus="8.000", angle="30.0", fatigue="4000")
    assert "a factor of 1000 between |G*| and |G*|·sin δ would fit" in unit.message


def test_a_misfit_without_a_simple_slip_offers_none() -> None:
    (finding,) = found(j01="0.6473", j32="0.8606", jdiff="71.4")
    assert "would explain it" not in finding.message
    assert "32.9" in finding.message


@pytest.mark.parametrize(
    ("texts", "code"),
    [
        ({"r01": "-3"}, "recovery-out-of-range"),
        ({"r32": "104"}, "recovery-out-of-range"),
        ({"r01": "1.96", "rdiff": "100"}, "recovery-difference-not-meaningful"),
        ({"j01": "0.02"}, "difference-at-noise-floor"),
        ({"j01": "0.10"}, "difference-at-noise-floor"),
        ({"j32": "0.2", "jdiff": "120"}, "difference-of-highly-modified-binder"),
        ({"r01": "50", "r32": "60"}, "recovery-rises-with-stress"),
        ({"j01": "0.90", "j32": "0.60"}, "compliance-falls-with-stress"),
    ],
)
def test_what_cannot_or_hardly_be_is_told(texts: dict[str, str], code: str) -> None:
    assert codes(found(**texts)) == [code]


@pytest.mark.parametrize(
    "texts",
    [
        {"r01": "0", "r32": "100"[:2]},
        {"r01": "42.6", "r32": "27.7", "rdiff": "35.0"},
        {"j01": "0.1193", "j32": "0.1719", "jdiff": "44.1"},
    ],
)
def test_what_is_as_it_should_be_raises_nothing(texts: dict[str, str]) -> None:
    allowed = {"recovery-rises-with-stress"} if texts.get("r01") == "0" else set()
    assert set(codes(found(**texts))) <= allowed


def test_a_replicate_that_is_a_tenth_of_its_peers_is_told() -> None:
    """FHWA lane 7 tank, R0.1 [read]: 1.96, 0.18, 1.99 %."""
    peers = tuple(determination("percent_recovery_0.1", t, replicate=t) for t in ("1.96", "1.99"))
    assert codes(found(peers, r01="0.18")) == ["digit-lost-in-replicate"]
    assert found(peers, r01="2.1") == ()
    assert found(peers[:1], r01="0.18") == ()


def test_class_words_of_a_label_are_understood() -> None:
    for word in ("V", "v", "64V", "PG 64V-22", "64 V"):
        assert found(j32="0.86", letter=word, specification=M332) == ()
    (finding,) = found(j32="0.86", letter="Q", specification=M332)
    assert "'Q' names no class of that specification" in finding.message


def test_a_class_at_a_limit_within_rounding_raises_nothing() -> None:
    """2.0 printed to one decimal may be 1.96 or 2.04: H and S both follow."""
    for letter in ("H", "S"):
        assert found(j32="2.0", letter=letter, specification=M332) == ()


def test_a_check_left_out_is_not_made() -> None:
    assert findings_for_summary(summary(r01="-3"), ()) == ()


def test_printed_numbers_are_read_with_their_last_place() -> None:
    assert number_in("0,86") == 0.86
    assert number_in("1.5e-3") == 0.0015
    assert number_in("V") is None
    half = printed(determination("jnr_3.2", "2.10"))
    assert half is not None
    assert half.half == pytest.approx(0.005)
    ratio = printed(determination("percent_recovery_3.2", "0.277", value=27.7))
    assert ratio is not None
    assert ratio.half == pytest.approx(0.05)


@given(st.floats(0.12, 5.0), st.floats(1.0, 1.7), st.integers(2, 4))
def test_numbers_rounded_from_one_test_never_contradict_one_another(
    low: float, ratio: float, decimals: int
) -> None:
    high = low * ratio
    texts = {
        "j01": f"{low:.{decimals}f}",
        "j32": f"{high:.{decimals}f}",
        "jdiff": f"{100 * (high - low) / low:.1f}",
        "slope": f"{100 * (high - low) / 3.1:.2f}",
    }
    assert not MISFITS & set(codes(found(**texts)))


def test_full_precision_values_without_text_are_taken_as_exact() -> None:
    exact = [
        Determination("tank", Condition.SHORT_TERM_AGED, 64.0, q, v, "")
        for q, v in (("jnr_0.1", 0.7), ("jnr_3.2", 0.91), ("jnr_difference_percent", 30.0))
    ]
    assert findings_for_summary(exact, CHECKS) == ()


ANY_NUMBER = st.one_of(
    st.floats(-1e6, 1e6).map(lambda x: f"{x:.4g}"), st.floats(0, 100).map(str), st.just("0"), st.just("-0.0")
)


@given(st.dictionaries(st.sampled_from([k for k in NAMES if k != "letter"]), ANY_NUMBER), st.text(max_size=6))
def test_no_summary_however_odd_stops_the_check(texts: dict[str, str], letter: str) -> None:
    for finding in found(**texts, letter=letter, specification=M332):
        assert finding.message
        assert finding.rule
        assert finding.source
