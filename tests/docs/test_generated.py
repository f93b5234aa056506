"""The generated parts of the manual are those that the program and its files give now."""

import runpy
import tomllib
from pathlib import Path

import pytest

from resile.workflows.schemas import KINDS

DOCS = Path(__file__).resolve().parents[2] / "docs"
METHODS = runpy.run_path(str(DOCS / "methods" / "make_pictures.py"))
REFERENCE = runpy.run_path(str(DOCS / "reference" / "make_reference.py"))


@pytest.mark.parametrize("name", METHODS["TABLES"])
def test_the_tables_of_a_methods_page_are_current(name: str) -> None:
    page = DOCS / "methods" / name
    assert page.read_text(encoding="utf-8") == METHODS["with_tables"](page), (
        "run docs/methods/make_pictures.py"
    )


def test_the_page_of_commands_is_current() -> None:
    written = (DOCS / "reference" / "commands.md").read_text(encoding="utf-8")
    assert written == REFERENCE["commands_page"](), "run docs/reference/make_reference.py"


@pytest.mark.parametrize("kind", KINDS)
def test_the_published_schemas_are_current(kind: str) -> None:
    written = (DOCS / "reference" / "schemas" / f"{kind}.schema.json").read_text(encoding="utf-8")
    assert written == REFERENCE["schema_text"](kind), "run docs/reference/make_reference.py"


@pytest.mark.parametrize("name", REFERENCE["KEY_PAGES"])
def test_the_pages_of_keys_are_current_and_explain_every_key(name: str) -> None:
    written = (DOCS / "reference" / name).read_text(encoding="utf-8")
    assert written == REFERENCE["keys_page"](*REFERENCE["KEY_PAGES"][name])
    unexplained = [line for line in written.splitlines() if line.startswith("| `") and line.endswith("|  |")]
    assert unexplained == []


def test_the_example_of_the_json_is_current() -> None:
    written = (DOCS / "reference" / "json.md").read_text(encoding="utf-8")
    assert written == REFERENCE["with_example"](written), "run docs/reference/make_reference.py"


def test_the_numbers_that_change_are_those_of_the_changelog() -> None:
    written = REFERENCE["NUMBERS_THAT_CHANGE"].read_text(encoding="utf-8")
    assert written == REFERENCE["numbers_that_change"](), "run docs/reference/make_reference.py"
    told = [one["text"] for one in tomllib.loads(written)["change"] if not one["version"]]
    changelog = " ".join(REFERENCE["CHANGELOG"].read_text(encoding="utf-8").split())
    unreleased = changelog.partition("## [0.1.0]")[0].rpartition("### Numbers that change")[2]
    assert len(told) == unreleased.count(" - ") and all(text[:40] in unreleased for text in told)


def test_the_picture_of_a_cycle_can_be_drawn_and_says_what_it_shows() -> None:
    drawn = METHODS["cycle_picture"]()
    for words in ("springs back", "stays behind", "time in the cycle"):
        assert words in drawn
        assert words in (DOCS / "methods" / "pictures" / "cycle.svg").read_text(encoding="utf-8")


def test_every_findings_file_has_its_page() -> None:
    page = (DOCS / "methods" / "creep_recovery.md").read_text(encoding="utf-8")
    for rule in METHODS["read"]("findings/creep_recovery.toml")["finding"]:
        assert f"`{rule['code']}`" in page
