"""What the ageing records of an order do to its verdict."""

from pathlib import Path
from typing import Any

import pytest

from resile.errors import InputError, RecordNotFoundError
from resile.records.determination import Condition
from resile.records.finding import Severity
from resile.records.verdict import Outcome
from resile.workflows.orders.ordering import OrderReport, report_order

RESULTS = (
    "sample,condition,temperature_c,quantity,value,unit\n"
    "E,original,,flash_point,288,°C\nE,original,135,rotational_viscosity,0.62,Pa·s\n"
    "E,original,64,rutting_parameter,1.42,kPa\nE,RTFO,64,rutting_parameter,3.11,kPa\n"
    "E,PAV,25,fatigue_parameter,3900,kPa\nE,PAV,-12,creep_stiffness,212,MPa\nE,PAV,-12,m_value,0.318,\n"
)
SHORT = {"method": "t240", "aged_on": "2026-03-02", "temperature_c": 163, "duration_min": 85}
BOTTLES = "".join(
    f'[[bottle]]\nname = "{name}"\nempty_g = 165.0\nbefore_g = 200.0\nafter_g = 199.9\n' for name in "12"
)
LONG = {
    "method": "r28",
    "aged_on": "2026-03-03",
    "feed": "RTFO",
    "temperature_c": 100,
    "pressure_mpa": 2.1,
    "duration_h": 20,
}


def toml(content: dict[str, Any]) -> str:
    return "".join(f"{key} = {value!r}\n" for key, value in content.items())


def report(
    folder: Path,
    short: dict[str, Any] | None = SHORT,
    long: dict[str, Any] | None = LONG,
    claimed: str = "PG 64-22",
) -> OrderReport:
    named = ""
    if short is not None:
        (folder / "short.toml").write_text(toml(short) + BOTTLES, encoding="utf-8")
        named += 'ageing = "short.toml"\n'
    if long is not None:
        (folder / "long.toml").write_text(toml(long), encoding="utf-8")
        named += 'long_term_ageing = "long.toml"\n'
    (folder / "results.csv").write_text(RESULTS, encoding="utf-8")
    order = folder / "order.toml"
    order.write_text(
        f'specification = "m320"\ntables = ["results.csv"]\n{named}[sample]\nname = "E"\n'
        f'claimed_grade = "{claimed}"\n',
        encoding="utf-8",
    )
    return report_order(order, date="2026-05-12")


def told(found: OrderReport) -> dict[str, Severity]:
    return {finding.code: finding.severity for finding in found.statement.findings}


def aged_outcomes(found: OrderReport, label: str = "PG 64-22") -> dict[Condition, set[Outcome]]:
    (grade,) = [g for g in found.statement.full_grades if g.label == label]
    by: dict[Condition, set[Outcome]] = {}
    for verdict in grade.verdicts:
        by.setdefault(verdict.requirement.condition, set()).add(verdict.outcome)
    return by


def test_a_binder_aged_as_its_grade_asks_is_proven(tmp_path: Path) -> None:
    found = report(tmp_path)
    assert found.complies
    assert not [
        code for code in told(found) if "long-term" in code and code != "long-term-ageing-not-recorded"
    ]
    assert found.to_json()["long_term_ageing"]["temperature_c"] == 100.0


@pytest.mark.parametrize(
    ("temperature", "holds"), [(99.5, True), (100.5, True), (99.4, False), (100.6, False)]
)
def test_the_chamber_is_compared_with_the_temperature_of_the_grade(
    tmp_path: Path, temperature: float, holds: bool
) -> None:
    # 100 °C for PG 64: AASHTO MP1, Table 1, read; ±0.5 °C recalled (medium).
    found = report(tmp_path, long={**LONG, "temperature_c": temperature})
    assert found.complies is holds
    assert ("long-term-ageing-temperature-of-another-grade" in told(found)) is not holds


def test_a_grade_that_asks_for_another_temperature_stays_open_and_both_are_named(tmp_path: Path) -> None:
    found = report(tmp_path, long={**LONG, "temperature_c": 90.0})
    assert not found.complies
    assert aged_outcomes(found)[Condition.LONG_TERM_AGED] == {Outcome.NOT_TESTED}
    assert Outcome.PASS in aged_outcomes(found)[Condition.SHORT_TERM_AGED]
    (finding,) = [f for f in found.statement.findings if f.code.endswith("temperature-of-another-grade")]
    assert finding.severity is Severity.INVALID
    assert "90 °C" in finding.message
    assert "PG 64-22: 100 °C" in finding.message
    reasons = {v.reason for g in found.statement.full_grades for v in g.verdicts}
    assert "Not tested: it was aged at 90 °C; the grade asks for 100 °C." in reasons


@pytest.mark.parametrize(
    ("short", "long", "out"),
    [
        ({**SHORT, "duration_min": 75}, LONG, {Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED}),
        (SHORT, {**LONG, "pressure_mpa": 1.0}, {Condition.LONG_TERM_AGED}),
        (SHORT, {**LONG, "duration_h": 40}, {Condition.LONG_TERM_AGED}),
        (SHORT, {**LONG, "feed": "original"}, {Condition.LONG_TERM_AGED}),
    ],
)
def test_an_invalid_record_keeps_its_residue_out_of_the_verdict(
    tmp_path: Path, short: dict[str, Any], long: dict[str, Any], out: set[Condition]
) -> None:
    found = report(tmp_path, short, long)
    assert not found.complies
    open_residues = {
        condition for condition, outcomes in aged_outcomes(found).items() if outcomes == {Outcome.NOT_TESTED}
    }
    assert open_residues == out


def test_a_missing_record_is_told_for_each_residue_that_was_judged(tmp_path: Path) -> None:
    found = told(report(tmp_path, None, None))
    assert found["ageing-record-missing"] is Severity.CAUTION
    assert found["long-term-ageing-record-missing"] is Severity.CAUTION
    assert "long-term-ageing-record-missing" not in told(report(tmp_path))


@pytest.mark.parametrize(
    ("short", "long", "key"), [(LONG, None, "long_term_ageing"), (None, SHORT, "ageing")]
)
def test_a_record_under_the_wrong_key_is_refused_with_the_right_one(
    tmp_path: Path, short: dict[str, Any] | None, long: dict[str, Any] | None, key: str
) -> None:
    (tmp_path / "long.toml").write_text(toml(LONG), encoding="utf-8")
    (tmp_path / "short.toml").write_text(toml(SHORT) + BOTTLES, encoding="utf-8")
    named = 'ageing = "long.toml"' if long is None else 'long_term_ageing = "short.toml"'
    order = tmp_path / "order.toml"
    order.write_text(f'{named}\n[sample]\nname = "E"\n', encoding="utf-8")
    with pytest.raises(InputError, match=f"name it under '{key}'"):
        report_order(order, date="2026-05-12")


def test_the_short_term_record_that_a_long_term_one_names_is_followed(tmp_path: Path) -> None:
    (tmp_path / "other.toml").write_text(toml({**SHORT, "duration_min": 75}) + BOTTLES, encoding="utf-8")
    found = report(tmp_path, long={**LONG, "short_term_record": "other.toml"})
    assert told(found)["long-term-ageing-of-the-wrong-residue"] is Severity.INVALID
    assert "long-term-ageing-feed-differs" in told(found)
    with pytest.raises(RecordNotFoundError, match=r"does not exist: .*none\.toml"):
        report(tmp_path, long={**LONG, "short_term_record": "none.toml"})


def test_the_page_holds_the_record_and_says_where_there_is_none(tmp_path: Path) -> None:
    from resile.report.paper.assemble import page_of

    sections = {s.key: s for s in page_of(report(tmp_path).document).sections}
    assert ("Air pressure", "2.10 MPa") in sections["long-term-ageing"].facts
    without = {s.key: s for s in page_of(report(tmp_path, long=None).document).sections}
    assert "No ageing record was handed over" in without["long-term-ageing"].paragraphs[0]
