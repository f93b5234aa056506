"""The money view beside grade, report and certificate: one door, the same numbers."""

from pathlib import Path

import pytest

from resile import agree, check_certificate, grade_table
from resile.errors import InputError, SpecificationError
from resile.specifications.search import PACKAGE_FOLDER
from resile.workflows.orders.ordering import report_order

TABLE = (
    "sample,condition,temperature_c,quantity,value,unit\n"
    "A,RTFO,64,percent_recovery_3.2,51.4,%\nA,RTFO,64,jnr_3.2,0.52,1/kPa\nA,PAV,-12,m_value,0.293,\n"
)
RULES = ("recovery-two-point-allowance", "m-value-steps")


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "results.csv"
    file.write_text(TABLE, encoding="utf-8")
    return file


def test_price_rules_are_shown_beside_the_verdict_and_change_none(table: Path) -> None:
    plain = grade_table(table)
    priced = grade_table(table, agree(price_rules=RULES, price_limit=55.0))
    (statement,) = priced.statements
    assert [(view.rule.identifier, view.factor) for view in statement.price_views] == [
        (RULES[0], 0.60),
        (RULES[1], 0.95),
    ]
    assert statement.classes == plain.statements[0].classes
    assert plain.statements[0].price_views == ()


def test_the_limit_of_a_specification_is_counted_from_where_it_has_one(table: Path, tmp_path: Path) -> None:
    text = (PACKAGE_FOLDER / "limits" / "m332-2014.toml").read_text(encoding="utf-8")
    own = tmp_path / "own.toml"
    own.write_text(
        text
        + '\n[[requirement]]\nname = "recovery_minimum"\ntitle = "recovery"\ncondition = "short_term_aged"\n'
        'quantity = "percent_recovery_3.2"\nbound = "minimum"\nunit = "%"\nlimits = { "*" = 54 }\n'
        'temperature = "high"\nevidence = "own"\n',
        encoding="utf-8",
    )
    (statement,) = grade_table(table, agree(own, price_rules=RULES[:1])).statements
    assert (statement.price_views[0].limit, statement.price_views[0].factor) == (54.0, 0.85)


def test_without_any_limit_it_is_asked_for(table: Path) -> None:
    with pytest.raises(SpecificationError, match="--price-limit"):
        grade_table(table, agree(price_rules=RULES[:1]))


def test_certificate_and_own_value_are_priced_side_by_side(table: Path, tmp_path: Path) -> None:
    certificate = tmp_path / "certificate.csv"
    certificate.write_text(
        "Certificate number: 9\n\nproperty,condition,temperature_c,result,unit\nm-value,PAV,-12,0.301,\n",
        encoding="utf-8",
    )
    check = check_certificate(certificate, own=table, claim="PG 64V-22", price_rules=RULES[1:]).check
    assert [(view.result.sample, view.factor) for view in check.price_views] == [
        ("certificate 9", 1.00),
        ("A", 0.95),
    ]


def ordered(folder: Path, table: Path, keys: str) -> Path:
    order = folder / "order.toml"
    order.write_text(f'{keys}\ntables = ["{table.name}"]\n[sample]\nname = "A"\n', encoding="utf-8")
    return order


@pytest.mark.parametrize(
    ("keys", "factors"),
    [
        # Iowa DOT Construction Manual, appendix 2-34 (M) and (I), read: R 51.4 for 55: 0.60; m 0.293: 0.95.
        (f'price_rule = ["{RULES[0]}", "{RULES[1]}"]\nprice_limit = 55', [0.60, 0.95]),
        (f'price_rule = "{RULES[1]}"', [0.95]),
        ("", []),
    ],
)
def test_an_order_names_the_price_rules_of_its_contract(
    table: Path, tmp_path: Path, keys: str, factors: list[float]
) -> None:
    report = report_order(ordered(tmp_path, table, keys), date="2026-05-12")
    assert [view.factor for view in report.statement.price_views] == factors


def test_a_price_rule_of_ones_own_is_sought_beside_the_order(table: Path, tmp_path: Path) -> None:
    text = (PACKAGE_FOLDER / "price_rules" / "m-value-steps.toml").read_text(encoding="utf-8")
    (tmp_path / "own-price.toml").write_text(text.replace("m-value-steps", "own-steps"), encoding="utf-8")
    report = report_order(ordered(tmp_path, table, 'price_rule = "own-price.toml"'), date="2026-05-12")
    assert [view.rule.identifier for view in report.statement.price_views] == ["own-steps"]


def test_two_price_limits_that_differ_are_refused(table: Path, tmp_path: Path) -> None:
    order = ordered(tmp_path, table, f'price_rule = "{RULES[0]}"\nprice_limit = 55')
    with pytest.raises(InputError, match="says 55, --price-limit 54"):
        report_order(order, date="2026-05-12", price_limit=54.0)


def test_a_rule_named_in_order_and_command_counts_once(table: Path, tmp_path: Path) -> None:
    order = ordered(tmp_path, table, f'price_rule = "{RULES[1]}"')
    assert len(report_order(order, date="2026-05-12", price_rules=RULES[1:]).statement.price_views) == 1
