"""delta-Tc: the ageing it belongs to, published limits beside it, and as a requirement of one's own."""

from pathlib import Path
from typing import Any

import pytest

from resile.errors import SpecificationError
from resile.records.verdict import Outcome, Verdict
from resile.specifications.load import load_specification
from resile.specifications.search import PACKAGE_FOLDER
from resile.workflows.orders.ordering import OrderReport, report_order

# S and m of 20RAP, replicate 1; printed delta-Tc -2.799223 °C: FHWA pit C recycling data (2025), read.
RESULTS = (
    "sample,condition,temperature_c,quantity,value,unit\n"
    "E,original,,flash_point,288,°C\nE,original,135,rotational_viscosity,0.62,Pa·s\n"
    "E,original,64,rutting_parameter,1.42,kPa\nE,RTFO,64,rutting_parameter,3.11,kPa\n"
    "E,RTFO,,mass_change_percent,-0.3,%\nE,PAV,25,fatigue_parameter,3900,kPa\n"
    "E,PAV,-12,creep_stiffness,201,MPa\nE,PAV,-12,m_value,0.309,\n"
    "E,PAV,-18,creep_stiffness,368,MPa\nE,PAV,-18,m_value,0.263,\n"
)
PRINTED = -2.799223
RECORD = 'method = "{method}"\nfeed = "RTFO"\ntemperature_c = 100\npressure_mpa = 2.1\nduration_h = {hours}\n'
REQUIREMENT = """
[[requirement]]
name = "delta_tc_minimum"
title = "difference of critical temperatures"
condition = "{condition}"
quantity = "delta_tc"
bound = "minimum"
unit = "°C"
limits = {{ "*" = {limit} }}
{more}
"""


def specification(folder: Path, limit: float = -5.0, more: str = "ageing_h = 20", **change: str) -> Path:
    text = (PACKAGE_FOLDER / "limits" / "m320.toml").read_text(encoding="utf-8")
    condition = change.get("condition", "long_term_aged")
    path = folder / "own.toml"
    path.write_text(text + REQUIREMENT.format(limit=limit, more=more, condition=condition), encoding="utf-8")
    return path


def report(folder: Path, hours: float | None, limit: float | None = None) -> OrderReport:
    rules = "m320" if limit is None else str(specification(folder, limit))
    named = ""
    if hours is not None:
        method = "r28-40h" if hours > 30 else "r28"
        (folder / "pav.toml").write_text(RECORD.format(method=method, hours=hours), encoding="utf-8")
        named = 'long_term_ageing = "pav.toml"\n'
    (folder / "results.csv").write_text(RESULTS, encoding="utf-8")
    order = folder / "order.toml"
    order.write_text(
        f'specification = \'{rules}\'\ntables = ["results.csv"]\n{named}[sample]\nname = "E"\n'
        'claimed_grade = "PG 64-22"\n',
        encoding="utf-8",
    )
    return report_order(order, date="2026-05-12")


def line(found: OrderReport) -> Verdict:
    (grade,) = [g for g in found.statement.full_grades if g.label == "PG 64-22"]
    (verdict,) = [v for v in grade.verdicts if v.requirement.quantity == "delta_tc"]
    return verdict


@pytest.mark.parametrize(
    ("hours", "words", "told"),
    [
        (20, "20 h at 100 °C", 20.0),
        (40, "40 h at 100 °C", 40.0),
        (None, "the hours of ageing are not stated", None),
    ],
)
def test_it_carries_the_ageing_it_came_from(
    tmp_path: Path, hours: float | None, words: str, told: float | None
) -> None:
    found = report(tmp_path, hours)
    assert words in found.statement.delta_tc_note
    printed: dict[str, Any] = found.to_json()
    assert printed["delta_tc_ageing_h"] == told
    assert printed["delta_tc_c"] == pytest.approx(PRINTED, abs=5e-7)


def compared(found: OrderReport) -> set[float | None]:
    return {one.published.ageing_h for one in found.statement.delta_tc_limits if one.met is not None}


@pytest.mark.parametrize(("hours", "with_limits_of"), [(20, {20.0}), (40, {40.0}), (None, set())])
def test_a_published_limit_of_other_hours_is_never_compared(
    tmp_path: Path, hours: float | None, with_limits_of: set[float | None]
) -> None:
    found = report(tmp_path, hours)
    assert len(found.statement.delta_tc_limits) >= 4
    assert compared(found) == with_limits_of


@pytest.mark.parametrize(
    ("limit", "outcome"), [(-5.0, Outcome.PASS), (-2.8, Outcome.PASS), (-2.79, Outcome.FAIL)]
)
def test_it_is_judged_where_a_specification_limits_it(tmp_path: Path, limit: float, outcome: Outcome) -> None:
    found = report(tmp_path, 20, limit)
    verdict = line(found)
    assert verdict.outcome is outcome
    assert verdict.value == pytest.approx(PRINTED, abs=5e-7)
    assert found.complies is (outcome is Outcome.PASS)


@pytest.mark.parametrize(
    ("hours", "why"), [(40, "it was aged for 40 h"), (None, "the hours of ageing are not stated")]
)
def test_a_limit_after_20_hours_is_open_for_other_hours(
    tmp_path: Path, hours: float | None, why: str
) -> None:
    found = report(tmp_path, hours, -5.0)
    assert line(found).outcome is Outcome.NOT_TESTED
    assert why in line(found).reason
    assert "the limit holds after 20 h" in line(found).reason
    assert not found.complies


def test_it_takes_no_part_in_the_class_at_the_high_temperature(tmp_path: Path) -> None:
    found = report(tmp_path, 20, -1.0)
    assert found.statement.grades == ("PG 64",)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"more": ""}, "needs 'ageing_h'"),
        ({"more": "ageing_h = 20\ntemperature = -12"}, "no 'temperature'"),
        ({"condition": "short_term_aged"}, "only long-term-aged binder"),
    ],
)
def test_a_requirement_without_hours_or_on_another_residue_is_refused(
    tmp_path: Path, change: dict[str, str], told: str
) -> None:
    with pytest.raises(SpecificationError, match=told):
        load_specification(specification(tmp_path, **change))


def test_the_page_shows_the_limits_as_information(tmp_path: Path) -> None:
    from resile.report.paper.assemble import page_of

    (section,) = [s for s in page_of(report(tmp_path, 20).document).sections if s.key == "continuous-detail"]
    (table,) = [table for table in section.tables if "Published limits" in table.caption]
    assert any("met" in row for row in table.rows)
    assert any("not compared: this result is after 20 h" in row for row in table.rows)


def test_the_workbook_shows_the_limits_as_numbers(tmp_path: Path) -> None:
    import io

    from openpyxl import load_workbook

    from resile.report.workbook import workbook_bytes

    document = report(tmp_path, 20).document
    assert document.statement is not None
    rows = list(load_workbook(io.BytesIO(workbook_bytes(document)))["Whole grade"].values)
    (head,) = [place for place, row in enumerate(rows) if row[1] == "Limit (°C)"]
    told = rows[head + 1 : head + 1 + len(document.statement.delta_tc_limits)]
    published = [one.published for one in document.statement.delta_tc_limits]
    assert [(row[0], row[1], row[2]) for row in told] == [(p.bound, p.limit, p.ageing_h) for p in published]
    assert any(row[3] == "not compared: this result is after 20 h" for row in told)
    assert "judge nothing here" in rows[head - 1][0]
