"""The published schemas hold every key that the shipped files use, and tell what each means."""

from typing import Any

import pytest

from resile.errors import InputError
from resile.specifications.search import files_of, read_toml
from resile.workflows.schemas import KINDS, schema_of

PYTHON: dict[str, Any] = {
    "object": dict,
    "array": list,
    "string": str,
    "boolean": bool,
    "null": type(None),
    "number": (int, float),
    "integer": int,
}


def check(value: Any, schema: dict[str, Any], whole: dict[str, Any], place: str = "") -> list[str]:
    """Give what does not fit: the part of JSON Schema that these schemas use."""
    if "$ref" in schema:
        return check(value, whole["$defs"][schema["$ref"].rpartition("/")[2]], whole, place)
    if "anyOf" in schema:
        tries = [check(value, one, whole, place) for one in schema["anyOf"]]
        return [] if any(not found for found in tries) else min(tries, key=len)
    kind = schema.get("type")
    if kind and not isinstance(value, PYTHON[kind]):
        return [f"{place}: {value!r} is no {kind}"]
    if isinstance(value, dict):
        return check_table(value, schema, whole, place)
    if isinstance(value, list):
        items = schema.get("items", {})
        return [p for n, entry in enumerate(value) for p in check(entry, items, whole, f"{place}[{n}]")]
    choices = schema.get("enum", [schema.get("const", value)])
    return [] if value in choices else [f"{place}: {value!r} is no choice"]


def check_table(value: Any, schema: dict[str, Any], whole: dict[str, Any], place: str) -> list[str]:
    known, other = schema.get("properties", {}), schema.get("additionalProperties", True)
    problems = [f"{place}.{key} is missing" for key in schema.get("required", []) if key not in value]
    for key, entry in value.items():
        inner = known.get(key, other)
        if isinstance(inner, dict):
            problems += check(entry, inner, whole, f"{place}.{key}")
        elif not inner:
            problems.append(f"{place}.{key} is not known")
    return problems


@pytest.mark.parametrize(
    ("kind", "folder"), [("specification", "limits"), ("bench-book", "plans"), ("price-rule", "price_rules")]
)
def test_every_shipped_file_fits_its_schema(kind: str, folder: str) -> None:
    schema = schema_of(kind)
    files = files_of(folder)
    assert files
    for file in files:
        assert check(read_toml(file).content, schema, schema) == [], file


def test_a_misspelt_key_a_wrong_kind_and_a_missing_key_do_not_fit() -> None:
    schema = schema_of("specification")
    content = dict(read_toml(next(f for f in files_of("limits") if f.stem == "m320")).content)
    for change in ({"titel": "x"}, {"rounding": "upwards"}, {"high_temperatures_c": "64"}):
        assert check({**content, **change}, schema, schema)
    content.pop("edition")
    assert check(content, schema, schema) == [".edition is missing"]


def test_the_shipped_files_use_all_that_a_whole_grade_needs() -> None:
    """Temperature rules, limits by class, waivers, ageing and low grades by grade: none is beyond it."""
    contents = [read_toml(file).content for file in files_of("limits")]
    rows = [row for content in contents for row in content["requirement"]]
    assert {row.get("temperature") for row in rows} >= {"high", "low + 10", "intermediate", 135.0}
    assert any(len(row["limits"]) > 1 for row in rows)
    assert any("waived_when" in row for row in rows)
    assert any("long_term_ageing_temperatures_c" in content for content in contents)
    assert any("low_temperatures_c" in content for content in contents)


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_says_what_keys_mean(kind: str) -> None:
    schema = schema_of(kind)
    said = [entry.get("description") for entry in schema["properties"].values()]
    assert len([words for words in said if words]) >= 0.8 * len(said)


def test_another_kind_is_refused_with_the_known_ones() -> None:
    with pytest.raises(InputError, match="known are specification, bench-book"):
        schema_of("poem")
