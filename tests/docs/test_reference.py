"""The reference pages name every key of the files they describe, and their examples can be read."""

import re
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from resile.readers import certificate, order
from resile.readers.ageing.ageing_toml import ageing_model
from resile.readers.layout import Layout, read_layout
from resile.readers.order import read_order
from resile.readers.summary_table import read_summary_table
from resile.specifications import schema, schema_prices, schema_rules, schema_site
from resile.specifications.budgets import INPUTS
from resile.specifications.search import PACKAGE_FOLDER, read_toml

REFERENCE = Path(__file__).resolve().parents[2] / "docs" / "reference"


def page(name: str) -> str:
    return (REFERENCE / f"{name}.md").read_text(encoding="utf-8")


def examples(name: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", page(name), re.MULTILINE | re.DOTALL)


def keys_of(model: Any) -> Iterator[str]:
    """Give the keys of a model and of the models inside it, as they are written in a file."""
    for name, field in model.model_fields.items():
        yield field.alias or name
        for inner in inner_models(field.annotation):
            yield from keys_of(inner)


def inner_models(kind: Any) -> Iterator[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for argument in get_args(kind):
        yield from inner_models(argument)


def missing(name: str, keys: Iterator[str] | set[str]) -> set[str]:
    prose = re.sub(r"^```.*?^```$", "", page(name), flags=re.MULTILINE | re.DOTALL)
    named = set(re.findall(r"\w+", " ".join(re.findall(r"`([^`]+)`", prose))))
    return set(keys) - named


MODELS = {
    "test-orders": [order._model()],
    "ageing-records": [ageing_model()],
    "certificates": [certificate._model()],
    "specification-files": [
        schema.SpecificationModel,
        schema_rules.PrecisionModel,
        schema_rules.DecisionRuleModel,
        schema_rules.RetestRuleModel,
        schema_rules.SummaryChecksModel,
        schema_rules.AgeingMethodModel,
        schema_prices.PriceRuleModel,
        schema_site.TrafficRuleModel,
        schema_site.QuantilesModel,
        schema_rules.PublishedLimitsModel,
    ],
}


@pytest.mark.parametrize(
    ("name", "model"),
    [(name, model) for name, models in MODELS.items() for model in models],
    ids=lambda value: getattr(value, "__name__", value),
)
def test_every_key_of_a_file_is_in_its_page(name: str, model: type[BaseModel]) -> None:
    assert missing(name, keys_of(model)) == set()


def test_every_key_of_a_layout_is_in_its_page() -> None:
    keys = {field.name for field in fields(Layout)} - {"columns"} | {"column", "heading", "number", "unit"}
    assert missing("layout-files", keys) == set()


def test_every_input_of_a_budget_and_key_of_the_programme_is_in_the_page() -> None:
    programme = read_toml(PACKAGE_FOLDER / "methods" / "creep_recovery.toml").content
    assert missing("specification-files", {*INPUTS, *programme}) == set()


def test_the_example_of_a_layout_can_be_read(tmp_path: Path) -> None:
    file = tmp_path / "layout.toml"
    (example,) = examples("layout-files", "toml")
    file.write_text(example, encoding="utf-8")
    assert read_layout(file).columns[0].unit == "Pa"


def test_the_example_of_a_test_order_can_be_read(tmp_path: Path) -> None:
    (example,) = examples("test-orders", "toml")
    file = tmp_path / "order.toml"
    file.write_text(example, encoding="utf-8")
    for name in ("oscillation.csv", "short-term-ageing.toml", "pressure-ageing.toml", "specimen-1.csv"):
        (tmp_path / name).touch()
    assert read_order(file).sample.name == "N-118"


def test_the_examples_of_tables_can_be_read_without_a_refused_row(tmp_path: Path) -> None:
    for number, example in enumerate(examples("tables", "csv")):
        file = tmp_path / f"{number}.csv"
        file.write_text(example, encoding="utf-8")
        table = read_summary_table(file)
        assert table.account.rows_refused == ()
        assert {d.value for d in table.determinations if d.quantity == "jnr_3.2"} >= {0.52}


def test_the_script_that_verifies_a_log_is_the_one_that_is_shipped() -> None:
    import resile.storage

    shipped = Path(resile.storage.__file__).parent / "moving" / "shipped" / "verify_log.py"
    assert examples("log", "python verify_log.py") == [shipped.read_text(encoding="utf-8")]


def test_every_column_of_the_log_is_in_its_page() -> None:
    from resile.storage.tables import ENTRY

    assert missing("log", {column.name for column in ENTRY.columns}) == set()


def test_the_page_of_archives_names_every_column() -> None:
    from resile.records.batch import BatchSummary
    from resile.storage.archive.schema import PATHS, TABLES

    for table in (*TABLES, PATHS):
        section = page("archives").partition(f"## `{table.name}.parquet`")[2].partition("\n## ")[0]
        for column in table.columns:
            assert f"| `{column.name}` | {column.kind} | {column.meaning} |" in section
    assert not missing("archives", {field.name for field in fields(BatchSummary)})
