"""A grade found from scratch: a first temperature, the next one, and a stop where the limit is bracketed."""

from pathlib import Path

import pytest

from resile.errors import InputError
from resile.records.plan import OpenTest
from resile.workflows.plans.planning import plan_tests
from resile.workflows.plans.searching import Search, search_grade

HEAD = "sample,condition,temperature_c,quantity,value,unit\n"


def search(folder: Path, *rows: str, specification: str = "m320") -> Search:
    if not rows:
        return search_grade(specification=specification)
    file = folder / "table.csv"
    file.write_text(HEAD + "\n".join(f"A,{row}" for row in rows) + "\n", encoding="utf-8")
    return search_grade(specification=specification, table=file)


def of(found: Search, quantity: str, condition: str = "") -> OpenTest:
    return next(
        test
        for test in found.tests
        if test.requirement.quantity == quantity and condition in str(test.requirement.condition)
    )


def rutting(value: float, celsius: float) -> str:
    return f"original,{celsius},rutting_parameter,{value},kPa"


def stiffness(value: float, celsius: float) -> str:
    return f"PAV,{celsius},creep_stiffness,{value},MPa"


def test_the_search_begins_in_the_middle_of_the_steps(tmp_path: Path) -> None:
    found = search(tmp_path)
    assert of(found, "rutting_parameter", "original").next_temperature_c == 64
    assert not found.is_finished
    assert {test.requirement.quantity for test in found.tests} == {
        "rutting_parameter",
        "fatigue_parameter",
        "creep_stiffness",
        "m_value",
    }


@pytest.mark.parametrize(
    ("rows", "following", "bracket"),
    [
        ((rutting(1.52, 64),), 70, None),
        ((rutting(0.80, 64),), 58, None),
        ((rutting(1.52, 64), rutting(0.75, 70)), None, (64, 70)),
        ((rutting(4.10, 58), rutting(0.75, 76)), 70, None),
        ((rutting(1.52, 82),), None, None),
        ((rutting(0.80, 64), rutting(1.20, 70)), 64, None),
    ],
    ids=["pass", "fail", "bracketed", "too far apart", "no further step", "contradiction"],
)
def test_the_high_end_goes_hotter_after_a_pass_and_cooler_after_a_failure(
    tmp_path: Path, rows: tuple[str, ...], following: float | None, bracket: tuple[float, float] | None
) -> None:
    test = of(search(tmp_path, *rows), "rutting_parameter", "original")
    assert test.next_temperature_c == following
    assert test.bracket_c == bracket


def test_the_low_end_goes_colder_after_a_pass(tmp_path: Path) -> None:
    assert of(search(tmp_path, stiffness(182, -12)), "creep_stiffness").next_temperature_c == -18
    assert of(search(tmp_path, stiffness(355, -12)), "creep_stiffness").next_temperature_c == -6
    found = of(search(tmp_path, stiffness(182, -12), stiffness(355, -18)), "creep_stiffness")
    assert found.bracket_c == (-12, -18)


def test_a_value_equal_to_the_limit_passes(tmp_path: Path) -> None:
    assert of(search(tmp_path, rutting(1.0, 64)), "rutting_parameter", "original").tested == (
        (64.0, 1.0, True),
    )


def test_a_class_that_does_not_exist_is_refused() -> None:
    with pytest.raises(InputError, match="has no class 'X'; its classes: S, H, V, E"):
        search_grade(specification="m332-2014", service_class="X")


def test_specimens_are_counted_against_those_needed(tmp_path: Path) -> None:
    file = tmp_path / "table.csv"
    file.write_text(f"{HEAD}A,{rutting(1.5, 64)}\n", encoding="utf-8")
    planning = plan_tests("PG 64-22", table=file)
    test = next(t for t in planning.plan.tests if t.is_done)
    assert (test.specimens_done, test.method.specimens) == (1, 2)
    told = next(one for one in planning.to_json()["tests"] if one["is_done"])
    assert told["specimens_done"] == 1
