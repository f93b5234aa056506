"""The glossary explains every name a person meets in JSON, in TOML and in Python, as the code has it."""

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import resile
from report.example_records import example_ageing, example_run, example_statement
from resile import records
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.finding import Severity
from resile.records.quantity import QUANTITIES, Quantity
from resile.records.verdict import Outcome
from resile.report.machine.ageing import ageing_to_json
from resile.report.machine.records import run_to_json, specification_to_json, statement_to_json
from resile.specifications.search import files_of, name_in

GLOSSARY = (Path(__file__).resolve().parents[2] / "docs" / "glossary.md").read_text(encoding="utf-8")
CELL = re.compile(r"(?<!\\)\|")
GENERIC = {"date"}
"""Argument names that need no entry of their own."""


def table_rows() -> list[list[str]]:
    lines = [line for line in GLOSSARY.splitlines() if line.startswith("| ")]
    return [[cell.strip().replace("\\|", "|") for cell in CELL.split(line)[1:-1]] for line in lines]


ROWS = table_rows()
EXPLAINED = {name for row in ROWS for name in re.findall(r"`([^`]+)`", row[0])}


def record_classes() -> Iterator[type]:
    for module in pkgutil.walk_packages(records.__path__, "resile.records."):
        content = vars(importlib.import_module(module.name))
        yield from (
            kind
            for kind in content.values()
            if inspect.isclass(kind) and dataclasses.is_dataclass(kind) and kind.__module__ == module.name
        )


def keys_of(content: Any) -> Iterator[str]:
    if isinstance(content, dict):
        for key, value in content.items():
            yield key
            if key != "limits":  # keyed by the classes of a specification
                yield from keys_of(value)
    elif isinstance(content, list):
        for entry in content:
            yield from keys_of(entry)


@pytest.mark.parametrize("quantity", list(QUANTITIES.values()), ids=lambda quantity: quantity.name)
def test_every_quantity_stands_with_its_symbol_unit_and_source(quantity: Quantity) -> None:
    row = [quantity.symbol, quantity.unit, quantity.title, quantity.source]
    assert row in [cells[1:5] for cells in ROWS if cells[0] == f"`{quantity.name}`"]


@pytest.mark.parametrize("kind", list(record_classes()), ids=lambda kind: kind.__name__)
def test_every_field_of_a_record_is_explained(kind: type) -> None:
    fields = {field.name for field in dataclasses.fields(kind)}
    if kind is Quantity:
        fields -= {"symbol"}  # a column of this page
    assert fields - EXPLAINED - GENERIC == set()


def test_every_key_of_the_json_is_explained() -> None:
    statement = example_statement()
    printed = [
        run_to_json(example_run()),
        statement_to_json(statement),
        ageing_to_json(example_ageing()),
        specification_to_json(statement.specification),
    ]
    assert set(keys_of(printed)) - EXPLAINED == set()
    assert "`id`" in GLOSSARY


def test_every_argument_of_a_public_function_is_explained() -> None:
    functions = [getattr(resile, name) for name in resile.__all__]
    arguments = {
        name for thing in functions if callable(thing) for name in inspect.signature(thing).parameters
    }
    assert arguments - EXPLAINED - GENERIC == set()


@pytest.mark.parametrize("kind", [Condition, Severity, Outcome])
def test_every_word_of_a_fixed_list_is_explained(kind: Any) -> None:
    assert {str(word) for word in kind} - EXPLAINED == set()


@pytest.mark.parametrize("kind", ["decision_rules", "retest_rules"])
def test_every_rule_that_can_be_chosen_is_explained(kind: str) -> None:
    assert {name_in(path) for path in files_of(kind)} - EXPLAINED == set()


def test_the_example_run_has_cycles_and_findings_so_that_no_key_is_missed() -> None:
    run: CreepRecoveryRun = example_run()
    assert run.findings
    assert run.levels[0].cycles
    assert run.account is not None
