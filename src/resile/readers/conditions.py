"""The state of a binder (original, short-term aged, ...) from the word a laboratory writes for it."""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from resile.readers.word_lists import load_words
from resile.records.determination import Condition

_BREAKS = re.compile(r"[\s_\-.]+")
_TOKEN_BREAKS = re.compile(r"[^\w]+")


def read_condition(text: str) -> tuple[Condition, str]:
    """Give the state of the binder that a printed word means.

    Parameters
    ----------
    text : str
        The word as printed, for example ``"RTFOT"`` or ``"as recovered"``.

    Returns
    -------
    condition : Condition
        ``Condition.UNKNOWN`` where the word decides nothing.
    remark : str
        A sentence for a person; empty where the word is the name of the condition itself.
    """
    folded = _fold(text)
    if not folded:
        return Condition.UNKNOWN, "no condition of the binder is given"
    sections, undecided = _words()
    if folded in undecided:
        return Condition.UNKNOWN, f"condition {text.strip()!r} {undecided[folded]}"
    for condition, (words, _) in sections.items():
        if folded in words:
            same = folded == _fold(condition.value)
            return condition, "" if same else f"condition {text.strip()!r} read as {condition.value}"
    tokens = [token for token in _TOKEN_BREAKS.split(folded) if token]
    for condition, (_, prefixes) in sections.items():
        if any(token.startswith(prefix) for token in tokens for prefix in prefixes):
            return condition, f"condition {text.strip()!r} read as {condition.value}"
    known = ", ".join(condition.value for condition in sections)
    return Condition.UNKNOWN, f"condition {text.strip()!r} is not known; write one of {known}"


def _fold(text: str) -> str:
    return _BREAKS.sub(" ", unicodedata.normalize("NFKC", text).casefold()).strip()


@cache
def _words() -> tuple[dict[Condition, tuple[frozenset[str], tuple[str, ...]]], dict[str, str]]:
    table = load_words("resile.readers", "conditions.toml")
    undecided = {_fold(word): str(remark) for word, remark in table["undecided"].items()}
    sections = {
        Condition(name): (
            frozenset({_fold(word) for word in section["words"]} | {_fold(name)}),
            tuple(section.get("token_prefixes", ())),
        )
        for name, section in table.items()
        if name != "undecided"
    }
    return sections, undecided
