"""Sampling plans: the shipped ones, own ones, and what is refused."""

from pathlib import Path

import pytest

from resile.errors import RecordNotFoundError, SpecificationError
from resile.specifications.sampling import is_sampling_plan, list_sampling_plans, load_sampling_plan

OWN = """identifier = "two-tanks"
title = "Own plan"
document = "our quality plan, 2026"
lot_is = "tonnage"
source = "our quality plan, 2026, section 4"
evidence = "own"
transcribed = "by us"
checked = ""

[[level]]
severity = "normal"
every = 1
lot_t = 80.0

[[level]]
severity = "tightened"
every = 1
lot_t = 40.0

[[switching]]
severity = "normal"
to = "tightened"
failures = 1
source = "our quality plan, 2026, section 5"
evidence = "own"
"""


def own(tmp_path: Path, text: str = OWN) -> Path:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("name", "sizes", "every"),
    [  # Queensland TMR/AAPA 2012, sizes of lots [t] and frequencies: tightened, normal, relaxed
        ("plain-by-tonnage", (60.0, 150.0, 300.0), (1, 1, 1)),
        ("modified-by-tonnage", (24.0, 60.0, 120.0), (1, 1, 1)),
        ("plain-by-tank", (None, None, None), (2, 4, 10)),
        ("modified-by-tank", (None, None, None), (1, 2, 5)),
    ],
)
def test_the_shipped_plans_say_what_was_published(
    name: str, sizes: tuple[float | None, ...], every: tuple[int, ...]
) -> None:
    plan = load_sampling_plan(name)
    assert [one.severity for one in plan.levels] == ["tightened", "normal", "relaxed"]
    assert tuple(one.lot_t for one in plan.levels) == sizes
    assert tuple(one.every for one in plan.levels) == every
    assert (plan.containers, plan.container_l, plan.test_every) == (2, 1.0, 2)
    assert plan.lot_days == {"plain-by-tank": 14.0, "modified-by-tank": 3.0}.get(name)
    assert plan.extra_after_failure
    assert plan.evidence == "read"
    assert {one.evidence for one in plan.switching} == {"recalled"}
    assert plan.checked == ""


def test_a_plan_of_ones_own_is_read_by_its_path_and_sorted_by_severity(tmp_path: Path) -> None:
    path = own(tmp_path)
    assert is_sampling_plan(path)
    plan = load_sampling_plan(path)
    assert [one.severity for one in plan.levels] == ["tightened", "normal"]
    assert plan.switching[0].among is None
    assert plan.cited.endswith("[own]")
    assert len(plan.sha256) == 64


def test_a_folder_of_own_plans_is_searched_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "sampling_plans").mkdir()
    own(tmp_path / "sampling_plans")
    monkeypatch.setenv("RESILE_SPECIFICATIONS", str(tmp_path))
    assert list_sampling_plans()[0].identifier == "two-tanks"
    assert load_sampling_plan("two-tanks").lot_is == "tonnage"


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("every = 1\nlot_t = 80.0", "every = 0\nlot_t = 80.0", "greater than or equal to 1"),
        ("lot_t = 40.0", "", "needs 'lot_t' at each severity"),
        ('lot_is = "tonnage"', 'lot_is = "tank"', "belongs to lots by tonnage"),
        ('to = "tightened"', 'to = "relaxed"', "needs a block for relaxed"),
        ('to = "tightened"', 'to = "normal"', "must differ"),
        ("failures = 1", "failures = 3\namong = 2", "must not be more"),
        ("failures = 1", "among = 2", "needs either"),
        ("failures = 1", "failures = 1\naccepted_in_a_row = 5", "needs either"),
        ('severity = "tightened"\nevery', 'severity = "normal"\nevery', "one block for each severity"),
        ('checked = ""', 'checked = ""\nsize = 3', "not a key known here"),
    ],
)
def test_a_plan_that_does_not_hang_together_is_refused_with_its_key(
    tmp_path: Path, before: str, after: str, words: str
) -> None:
    assert before in OWN
    with pytest.raises(SpecificationError, match=words):
        load_sampling_plan(own(tmp_path, OWN.replace(before, after, 1)))


def test_a_plan_that_does_not_exist_lists_those_there_are() -> None:
    with pytest.raises(RecordNotFoundError, match="modified-by-tank"):
        load_sampling_plan("by-moonlight")
