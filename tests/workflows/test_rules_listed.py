"""Rules for disputes, comparison practice, reading conditions and evidence: listed, shown, checked."""

from pathlib import Path

import pytest

from resile.errors import RecordNotFoundError, SpecificationError
from resile.report.terminal import plain_text
from resile.workflows.rules import list_rules, show_rules

SHOWN = {
    "failure-must-be-shown": ("dispute rule", "Accepted unless failure is shown", "the material is accepted"),
    "between-laboratories": ("comparison practice", "Comparison of laboratories", "1.44"),
    "master-curve": ("reading condition", "Conditions at which", "≤ 180 kPa"),
    "rutting": ("evidence file", "Compliance of binders and rutting", "Weakness: One road."),
}


@pytest.mark.parametrize("name", SHOWN)
def test_a_rule_is_listed_with_its_title_and_shown_with_its_sources(name: str) -> None:
    kind, title, said = SHOWN[name]
    (entry,) = [one for one in list_rules().entries if one.identifier == name]
    assert (entry.kind, entry.problem) == (kind, "")
    assert entry.title.startswith(title)
    text = plain_text(show_rules(name).to_terminal())
    assert said in text
    assert "ource" in text  # where it comes from is part of every sheet
    assert "checked" in text
    assert show_rules(name).to_json()["title"] == entry.title


def test_every_name_in_the_list_is_of_one_kind_and_opens() -> None:
    entries = list_rules().entries
    names = [one.identifier for one in entries]
    double = {one for one in names if names.count(one) > 1}
    assert not double, f"one name for two files: {double}"
    for one in entries:
        assert plain_text(show_rules(one.identifier).to_terminal())


@pytest.mark.parametrize(
    ("folder", "name"), [("dispute_rules", "failure-must-be-shown"), ("published_evidence", "rutting")]
)
def test_a_file_of_ones_own_is_listed_and_a_faulty_one_with_its_problem(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, folder: str, name: str
) -> None:
    from resile.specifications.search import PACKAGE_FOLDER

    text = (PACKAGE_FOLDER / folder / f"{name}.toml").read_text(encoding="utf-8")
    (tmp_path / folder).mkdir()
    (tmp_path / folder / "mine.toml").write_text(text.replace(f'"{name}"', '"mine"', 1), encoding="utf-8")
    (tmp_path / folder / "faulty.toml").write_text(text.replace("source", "sorce"), encoding="utf-8")
    monkeypatch.setenv("RESILE_SPECIFICATIONS", str(tmp_path))
    found = {one.identifier: one.problem for one in list_rules().entries}
    assert found["mine"] == ""
    assert "sorce" in found["faulty"]
    assert plain_text(show_rules("mine").to_terminal()) == plain_text(
        show_rules(tmp_path / folder / "mine.toml").to_terminal()
    )
    with pytest.raises(SpecificationError, match="sorce"):
        show_rules(tmp_path / folder / "faulty.toml")


def test_a_name_that_is_not_there_is_refused_in_a_sentence() -> None:
    with pytest.raises(RecordNotFoundError, match="no-such-rule"):
        show_rules("no-such-rule")
