"""Quick rules for blends on the command line."""

import json
from collections.abc import Callable

import pytest

Run = Callable[..., tuple[int, str, str]]


def answer(run: Run, *words: str) -> str:
    code, said, _ = run(*words)
    assert code == 0
    return said


def test_json_says_value_unit_and_source(run: Run) -> None:
    said = json.loads(answer(run, "blend", "rule", "log-viscosity", "5000=30", "100=70", "--json"))
    assert said["value"] == pytest.approx(323.4, abs=0.05)
    assert (said["unit"], said["worked_in"]) == ("Pa·s", "Pa·s")


def test_without_a_name_every_rule_is_listed(run: Run) -> None:
    assert len(json.loads(answer(run, "blend", "rule", "--json"))) == 9


def test_a_decimal_comma_is_read_and_an_interaction_used(run: Run) -> None:
    said = answer(
        run,
        "blend",
        "rule",
        "grunberg-nissan",
        "10,0=50",
        "10=50",
        "--interaction",
        "0.4",
        "--json",
    )
    assert json.loads(said)["value"] == pytest.approx(11.0517, abs=5e-5)


def test_the_error_of_the_linear_rule_stands_beside_the_window(run: Run) -> None:
    said = answer(run, "blend", "reclaimed", "original=80/58/52", "stiffness=-1/-18/-24")
    assert "22 to 26 %" in said
    assert "at 20 % high +0.8 and low −0.4 °C" in said


def test_agent_and_storage_answer_in_json(run: Run) -> None:
    words = ("blend", "agent", "77.4/-22.2", "65.05/-29.9", "--dose", "10", "--wanted", "71.35", "--json")
    assert json.loads(answer(run, *words))["dose_percent"] == pytest.approx(4.899, abs=5e-4)
    said = json.loads(answer(run, "blend", "storage", "600", "140", "--json"))
    assert said["retained"] is None
    assert "Singh" in said["source"]


@pytest.mark.parametrize(
    ("words", "needed"),
    [
        (("rule", "nosuch", "1=100"), "needed is one of log-compliance"),
        (("rule", "log-viscosity", "5000"), "needed is VALUE=PERCENT"),
        (("rule", "log-viscosity", "5000=30", "100=60"), "add up to 90 %"),
        (("reclaimed", "original=80"), "needed is CRITERION="),
        (
            ("reclaimed", "original=80/58", "stiffness=-1/-18/-24", "--share", "20"),
            "for every criterion, or for none",
        ),
        (("agent", "77.4", "65/-30", "--dose", "5", "--wanted", "70"), "needed is HIGH/LOW"),
        (("storage", "-5", "150"), "zero or above"),
    ],
)
def test_a_slip_is_answered_with_what_is_needed(words: tuple[str, ...], needed: str, run: Run) -> None:
    arguments = ("--", *words[1:]) if words[0] == "storage" else words[1:]
    assert needed in " ".join(run("blend", words[0], *arguments)[2].split())


def test_warm_mix_gives_the_printed_example_of_the_report(run: Run) -> None:
    code, out, _ = run("blend", "warm-mix", "58-28", "140.6", "121.1", "--json")
    assert code == 0
    assert round(json.loads(out)["gain_c"], 1) == 0.7  # NCHRP 09-43, table 3: 285 to 250 °F
