"""Every public function of compute is held by at least one case whose expected number comes from outside."""

import ast
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
COMPUTE = ROOT / "src" / "resile" / "compute"
CASES = sorted((ROOT / "tests" / "published").glob("*.toml"))
KINDS = {"published", "constructed", "regression"}


def public_functions() -> list[str]:
    found = []
    for path in sorted(COMPUTE.rglob("*.py")):
        module = ".".join(path.relative_to(ROOT / "src").with_suffix("").parts).removesuffix(".__init__")
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                found.append(f"{module}.{node.name}")
    return found


@cache
def cases() -> list[tuple[str, dict[str, Any]]]:
    """Every case, read once: there are megabytes of them, and hundreds of functions ask."""
    return [
        (path.name, case)
        for path in CASES
        for case in tomllib.loads(path.read_text(encoding="utf-8")).get("case", [])
    ]


@pytest.mark.parametrize("function", public_functions())
def test_a_public_function_has_a_published_or_constructed_case(function: str) -> None:
    kinds = {case["kind"] for _, case in cases() if case["function"] == function}
    assert kinds & {"published", "constructed"}, f"no cited case in tests/published names {function}"


def test_every_case_names_its_kind_its_source_and_why_its_tolerance() -> None:
    for file, case in cases():
        place = f"{file}, {case.get('name', 'a case without a name')}"
        assert case["kind"] in KINDS, place
        assert len(case["source"]) > 10, f"{place}: a source is document, edition and place"
        assert case["tolerance_reason"], place
        assert ("tolerance" in case) != ("input_step" in case), f"{place}: tolerance or input_step"


def test_every_case_names_a_function_that_exists() -> None:
    known = set(public_functions())
    for file, case in cases():
        assert case["function"] in known, f"{file}, {case['name']}: there is no {case['function']}"
