"""Load what laboratories are compared by, and the rules for two of them in dispute."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from resile.records.laboratories import ComparisonPractice, DisputeRule, ScoreWords
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, files_of, find_file, name_in

PRACTICE, DISPUTES = "laboratory_comparison", "dispute_rules"


def load_comparison_practice(wanted: str | Path = "between-laboratories") -> ComparisonPractice:
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
    return _practice(find_file(PRACTICE, wanted, words="practice of comparing laboratories"))


def is_comparison_practice(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is a practice of comparing laboratories."""
    return is_listed(wanted, keys=("score",), entries=list_comparison_practices)


def list_comparison_practices() -> tuple[SpecificationEntry, ...]:
    """List every practice of comparing laboratories on the search path; a faulty one with its problem."""
    return list_files(PRACTICE, "comparison practice", _practice)


def _practice(file: SpecificationFile) -> ComparisonPractice:
    from resile.specifications.schema_laboratories import ComparisonPracticeModel

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
    return _rule(find_file(DISPUTES, wanted, words="rule for a dispute"))


def is_dispute_rule(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is a rule for a dispute."""
    return is_listed(wanted, keys=("in_between", "settle"), entries=list_dispute_rule_files)


def list_dispute_rule_files() -> tuple[SpecificationEntry, ...]:
    """List every rule for disputes on the search path; a faulty one with its problem."""
    return list_files(DISPUTES, "dispute rule", _rule)


def list_dispute_rules() -> tuple[str, ...]:
    """Give the names of the rules for disputes on the search path.

    Returns
    -------
    tuple of str
        In search order, each once.
    """
    names = (name_in(path) for path in files_of(DISPUTES))
    return tuple(dict.fromkeys(name for name in names if name is not None))


def _rule(file: SpecificationFile) -> DisputeRule:
    from resile.specifications.schema_laboratories import DisputeRuleModel

    data: dict[str, Any] = checked_file(DisputeRuleModel, file).model_dump()
    data.pop("transcribed")
    return DisputeRule(**data)
