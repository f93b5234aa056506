"""The sheets of specifications."""

from dataclasses import replace

from example_records import SPECIFICATION

from resile.report.machine.records import specification_to_json
from resile.report.terminal import plain_text, render_rules, render_specification


def test_a_specification_shows_every_requirement_with_limit_clause_and_evidence() -> None:
    text = plain_text(render_specification(SPECIFICATION), width=110)
    assert "Jnr3.2 ≤ S 4.5, H 2.0, V 1.0, E 0.5 1/kPa" in text
    assert "Table 1, row 7" in text
    assert "recalled" in text
    assert text.index("Unchecked transcription") < text.index("REQUIREMENTS")


def test_a_checked_specification_carries_no_warning() -> None:
    assert "Unchecked" not in plain_text(
        render_specification(replace(SPECIFICATION, checked="by two people"))
    )


def test_a_file_that_cannot_be_loaded_is_listed_with_its_problem() -> None:
    entries = [
        ("specification", "m332-2014", "by creep recovery", "2014", "", ""),
        ("specification", "mine", "", "", "", "key 'limits' missing"),
    ]
    text = plain_text(render_rules(entries))
    assert "m332-2014" in text
    assert "■ key 'limits' missing" in text


def test_no_specification_at_all_is_said_in_a_sentence() -> None:
    assert "No specification was found" in plain_text(render_rules([]))


def test_the_dictionary_names_identity_and_limits() -> None:
    given = specification_to_json(SPECIFICATION)
    assert (given["identifier"], given["edition"], given["checked"]) == ("m332-2014", "2014", None)
    assert given["requirements"][0]["limits"] == {"S": 4.5, "H": 2.0, "V": 1.0, "E": 0.5}
