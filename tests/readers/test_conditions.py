"""Words for the state of a binder."""

import pytest

from resile.readers.conditions import read_condition
from resile.records.determination import Condition


@pytest.mark.parametrize(
    ("text", "condition"),
    [
        ("original", Condition.ORIGINAL),
        ("Unaged", Condition.ORIGINAL),
        ("tank", Condition.ORIGINAL),
        ("ungealtert", Condition.ORIGINAL),
        ("未老化", Condition.ORIGINAL),
        ("RTFO", Condition.SHORT_TERM_AGED),
        ("RTFOT 85 min", Condition.SHORT_TERM_AGED),
        ("short-term aged", Condition.SHORT_TERM_AGED),
        ("Kurzzeitalterung", Condition.SHORT_TERM_AGED),
        ("vieilli à court terme", Condition.SHORT_TERM_AGED),
        ("短期老化", Condition.SHORT_TERM_AGED),
        ("PAV", Condition.LONG_TERM_AGED),
        ("RTFO+PAV 20 h", Condition.LONG_TERM_AGED),
        ("PAV40", Condition.LONG_TERM_AGED),
        ("as recovered", Condition.RECOVERED),
        ("Extracted", Condition.RECOVERED),
        ("rückgewonnen", Condition.RECOVERED),
    ],
)
def test_a_known_word_decides(text: str, condition: Condition) -> None:
    assert read_condition(text)[0] is condition


@pytest.mark.parametrize("condition", [c for c in Condition if c is not Condition.UNKNOWN])
def test_the_name_of_a_condition_needs_no_remark(condition: Condition) -> None:
    assert read_condition(condition.value) == (condition, "")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("None", "as recovered"),
        ("TFOT", "not rolling"),
        ("aged", "neither"),
        ("", "no condition"),
        ("wet", "not known"),
    ],
)
def test_a_word_that_decides_nothing_says_why(text: str, words: str) -> None:
    condition, remark = read_condition(text)
    assert condition is Condition.UNKNOWN
    assert words in remark
