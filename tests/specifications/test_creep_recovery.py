"""The programme and the finding rules that come with the package, and faulty ones of one's own."""

from pathlib import Path

import pytest

from resile.errors import SpecificationError
from resile.records.finding import Severity
from resile.specifications.creep_recovery import load_finding_rules, load_programme


def test_the_programme_is_that_of_the_standard() -> None:
    programme = load_programme()
    # AASHTO R 92, section 4.2 [read]: 1 s and 9 s, 0.1 and 3.2 kPa, ten recorded cycles each.
    assert (programme.creep_time_s, programme.recovery_time_s) == (1.0, 9.0)
    assert programme.stresses_kpa == (0.1, 3.2)
    assert programme.cycles_evaluated == 10


def test_every_rule_has_a_code_of_its_own_a_source_and_advice() -> None:
    rules = load_finding_rules()
    assert len({rule.code for rule in rules}) == len(rules) > 30
    for rule in rules:
        assert rule.source, rule.code
        assert rule.advice, rule.code


RULE = '[[finding]]\ncode = "c"\nseverity = "note"\nmessage = "m"\nrule = "r"\nsource = "s"\nadvice = "a"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no \\[\\[finding\\]\\]"),
        (RULE, "key conditions"),
        (RULE + "conditions = [{ measure = 'x' }]", "exactly one"),
        (RULE + "conditions = [{ measure = 'x', above = 1, below = 2 }]", "exactly one"),
        (RULE + "conditions = [{ measure = 'x', over = 1 }]", "exactly one"),
        (RULE.replace('"note"', '"grave"') + "conditions = [{ measure = 'x', above = 1 }]", "key severity"),
        (RULE.replace('"m"', '"{"') + "conditions = [{ measure = 'x', above = 1 }]", "key message"),
        (RULE.replace('source = "s"\n', "") + "conditions = [{ measure = 'x', above = 1 }]", "key source"),
    ],
)
def test_a_faulty_rule_file_is_refused_with_the_key(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "rules.toml"
    path.write_text(text)
    with pytest.raises(SpecificationError, match=words):
        load_finding_rules(str(path))


def test_a_rule_file_of_ones_own_is_read(tmp_path: Path) -> None:
    path = tmp_path / "rules.toml"
    path.write_text(RULE + "conditions = [{ measure = 'x', above = 1 }]")
    (rule,) = load_finding_rules(str(path))
    assert (rule.code, rule.severity) == ("c", Severity.NOTE)
    assert rule.conditions[0].above == 1.0


@pytest.mark.parametrize("key", ["creep_time_s", "stresses_kpa", "cycles_evaluated"])
def test_a_programme_without_a_key_is_refused(key: str, tmp_path: Path) -> None:
    whole = (
        "creep_time_s = 1\nrecovery_time_s = 9\nstresses_kpa = [0.1, 3.2]\ncycles_evaluated = 10\n"
        "stress_match_percent = 10\ncreep_extrapolation_s = 0.05\nrecovery_extrapolation_s = 0.3\n"
    )
    path = tmp_path / "method.toml"
    path.write_text("\n".join(line for line in whole.splitlines() if not line.startswith(key)))
    with pytest.raises(SpecificationError, match=f"key {key}"):
        load_programme(str(path))
