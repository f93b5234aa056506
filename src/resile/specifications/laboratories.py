"""Load what laboratories are compared by, and the rules for two of them in dispute."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from resile.records.laboratories import ComparisonPractice, DisputeRule, ScoreWords
from resile.specifications.checked import checked_file
from resile.specifications.search import files_of, find_file, name_in


def load_comparison_practice(wanted: str | Path = "common") -> ComparisonPractice:
    """Load the numbers and words by which laboratories are compared.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file of one's own.

    Returns
    -------
    ComparisonPractice
        Checked.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.

    Examples
    --------
    >>> load_comparison_practice().range_multiplier
    2.8
    """
    from resile.specifications.schema_laboratories import ComparisonPracticeModel

    file = find_file("laboratory_comparison", wanted, words="practice of comparing laboratories")
    data: dict[str, Any] = checked_file(ComparisonPracticeModel, file).model_dump()
    groups = {key: data.pop(key) for key in ("study", "rounds", "checks", "own")}
    sources = {key: group.pop("source") for key, group in groups.items()}
    scores = {block["kind"]: ScoreWords(**block) for block in data.pop("score")}
    data.pop("transcribed")
    numbers = {key: value for group in groups.values() for key, value in group.items()}
    return ComparisonPractice(**data, **numbers, scores=scores, sources=sources)


def load_dispute_rule(wanted: str | Path) -> DisputeRule:
    """Load a rule for two laboratories in dispute, not yet agreed by anyone.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file of one's own.

    Returns
    -------
    DisputeRule
        Checked.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.

    Examples
    --------
    >>> load_dispute_rule("failure-must-be-shown").in_between
    'accepted'
    """
    from resile.specifications.schema_laboratories import DisputeRuleModel

    file = find_file("dispute_rules", wanted, words="rule for a dispute")
    data: dict[str, Any] = checked_file(DisputeRuleModel, file).model_dump()
    for key in ("transcribed", "checked"):
        data.pop(key)
    return DisputeRule(**data)


def list_dispute_rules() -> tuple[str, ...]:
    """Give the names of the rules for disputes on the search path.

    Returns
    -------
    tuple of str
        In search order, each once.
    """
    names = (name_in(path) for path in files_of("dispute_rules"))
    return tuple(dict.fromkeys(name for name in names if name is not None))
