"""A file of own precision: what it may hold, and what an order and a command make of it."""

from pathlib import Path

import pytest

from resile.errors import InputError, RecordNotFoundError, SpecificationError
from resile.readers.order import read_order
from resile.specifications.own_precision import load_own_precision
from resile.workflows.judging.agreement import agree
from resile.workflows.judging.grading import grade_table

BLOCK = """
[[precision]]
key = "OP-1"
quantity = "jnr_3.2"
condition = "short_term_aged"
repeatability = 0.02
standard = 0.036
until = 2025-12-31
"""
TABLE = "sample,condition,temperature_c,quantity,value,unit\nA,RTFO,64,jnr_3.2,0.5,1/kPa\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "own.toml"
    path.write_text(BLOCK)
    return path


def test_a_file_gives_keys_and_amounts(file: Path) -> None:
    (one,) = load_own_precision(file)
    assert (one.key, one.value.standard, one.value.until, one.value.relative) == (
        "OP-1",
        0.036,
        "2025-12-31",
        True,
    )


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (("0.036", "0.01"), "'standard', the doubt of one result, cannot be below 'repeatability'"),
        (('"jnr_3.2"', '"speed"'), "quantity"),
        (("2025-12-31", '"31.12.2025"'), "is no day"),
        (("until", "valid_until"), "until: missing"),
        (("standard", "deviation"), "not a key known here"),
    ],
)
def test_a_wrong_key_is_refused_by_its_name(file: Path, changed: tuple[str, str], said: str) -> None:
    file.write_text(BLOCK.replace(*changed))
    with pytest.raises(SpecificationError, match="own") as refused:
        load_own_precision(file)
    assert said in str(refused.value)


def test_the_same_number_comes_from_a_table_and_from_an_order(file: Path, tmp_path: Path) -> None:
    from resile.workflows.orders.ordering import report_order

    (tmp_path / "t.csv").write_text(TABLE)
    (tmp_path / "order.toml").write_text(
        'tested = "2026-03-02"\nuncertainty_basis = "own"\nprecision = "own.toml"\ntables = ["t.csv"]\n'
        '[sample]\nname = "A"\n'
    )
    agreed = agree(uncertainty_basis="own", precision=file, tested="2026-03-02")
    statements = [
        grade_table(tmp_path / "t.csv", agreed).statements[0],
        report_order(tmp_path / "order.toml", date="2026-03-03").statement,
    ]
    found = [one.results[0].uncertainty for one in statements]
    assert [one.standard for one in found if one] == [pytest.approx(0.018)] * 2  # 0.036 x 0.5
    assert read_order(tmp_path / "order.toml").precision == str(file)


def test_own_precision_without_a_file_and_a_day_that_is_none_are_refused(file: Path) -> None:
    with pytest.raises(InputError, match="none is named"):
        agree(uncertainty_basis="own")
    with pytest.raises(InputError, match="needed: year-month-day"):
        agree(uncertainty_basis="own", precision=file, tested="5.3.2026")
    with pytest.raises(RecordNotFoundError, match="no own precision is called"):
        agree(uncertainty_basis="own", precision="nowhere")
