"""The programme of the creep-recovery test and the rules of its findings, from TOML."""

from __future__ import annotations

import os
from functools import lru_cache
from string import Formatter
from typing import Any

from resile.errors import SpecificationError
from resile.records.creep_recovery import CreepRecoveryProgramme
from resile.records.finding import FindingCondition, FindingRule, Severity
from resile.specifications.search import VARIABLE, SpecificationFile, find_file

_PROGRAMME_NUMBERS = (
    "creep_time_s",
    "recovery_time_s",
    "stress_match_percent",
    "creep_extrapolation_s",
    "recovery_extrapolation_s",
)
_RULE_TEXTS = ("code", "severity", "message", "rule", "source", "advice")
_BOUNDS = ("above", "below", "unlike")


def load_programme(wanted: str = "creep_recovery") -> CreepRecoveryProgramme:
    """Load the programme of the test method.

    Parameters
    ----------
    wanted : str
        Name of a file under ``methods``, or a path.

    Returns
    -------
    CreepRecoveryProgramme
        Nominal times, stresses and cycle counts.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing or wrong.
    """
    return _programme(wanted, os.environ.get(VARIABLE, ""))


@lru_cache(maxsize=8)
def _programme(wanted: str, search_path: str) -> CreepRecoveryProgramme:
    """Load a programme once for each search path: thousands of records are reduced by the same one."""
    file = find_file("methods", wanted, words="test method")
    content = file.content
    _refuse_unknown(
        content, {"document", "stresses_kpa", "cycles_evaluated", *_PROGRAMME_NUMBERS}, str(file.path)
    )
    for key in _PROGRAMME_NUMBERS:
        if not isinstance(content.get(key), int | float) or not content[key] > 0:
            raise SpecificationError(f"{file.path}: key {key}: a number above zero is needed")
    stresses = content.get("stresses_kpa")
    if (
        not isinstance(stresses, list)
        or not stresses
        or not all(isinstance(stress, int | float) and stress > 0 for stress in stresses)
    ):
        raise SpecificationError(f"{file.path}: key stresses_kpa: a list of stresses above zero is needed")
    evaluated = content.get("cycles_evaluated")
    if not isinstance(evaluated, int) or evaluated < 1:
        raise SpecificationError(f"{file.path}: key cycles_evaluated: a whole number above zero is needed")
    return CreepRecoveryProgramme(
        document=str(content.get("document", file.path.stem)),
        stresses_kpa=tuple(float(stress) for stress in stresses),
        cycles_evaluated=evaluated,
        **{key: float(content[key]) for key in _PROGRAMME_NUMBERS},
    )


def load_finding_rules(wanted: str = "creep_recovery") -> tuple[FindingRule, ...]:
    """Load the rules by which findings are raised.

    Parameters
    ----------
    wanted : str
        Name of a file under ``findings``, or a path.

    Returns
    -------
    tuple of FindingRule
        In the order of the file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a rule lacks a key or names something unknown.
    """
    return _rules(wanted, os.environ.get(VARIABLE, ""))


@lru_cache(maxsize=8)
def _rules(wanted: str, search_path: str) -> tuple[FindingRule, ...]:
    """Load finding rules once for each search path."""
    file = find_file("findings", wanted, words="finding rules")
    _refuse_unknown(file.content, {"finding"}, str(file.path))
    tables = file.content.get("finding")
    if not isinstance(tables, list):
        raise SpecificationError(f"{file.path}: no [[finding]] table is in the file")
    return tuple(_rule(table, number, file) for number, table in enumerate(tables, start=1))


def _refuse_unknown(content: dict[str, Any], known: set[str], place: str) -> None:
    for key in content:
        if key not in known:
            raise SpecificationError(
                f"{place}: key {key}: not known here; known are {', '.join(sorted(known))}"
            )


def _rule(table: dict[str, Any], number: int, file: SpecificationFile) -> FindingRule:
    place = f"{file.path}: finding {number} ('{table.get('code', 'without code')}')"
    _refuse_unknown(table, {"conditions", *_RULE_TEXTS}, place)
    for key in _RULE_TEXTS:
        if not isinstance(table.get(key), str):
            raise SpecificationError(f"{place}: key {key}: a text is needed")
    if table["severity"] not in list(Severity):
        raise SpecificationError(
            f"{place}: key severity: found '{table['severity']}'; note, caution or invalid"
        )
    conditions = table.get("conditions")
    if not isinstance(conditions, list) or not conditions:
        raise SpecificationError(f"{place}: key conditions: at least one condition is needed")
    try:
        list(Formatter().parse(table["message"]))
    except ValueError as error:
        raise SpecificationError(f"{place}: key message: {error}") from error
    return FindingRule(
        severity=Severity(table["severity"]),
        conditions=tuple(_condition(condition, place) for condition in conditions),
        **{key: table[key] for key in _RULE_TEXTS if key != "severity"},
    )


def _condition(condition: dict[str, Any], place: str) -> FindingCondition:
    bounds = {key: float(condition[key]) for key in _BOUNDS if isinstance(condition.get(key), int | float)}
    unknown = set(condition) - {"measure", *_BOUNDS}
    if unknown or len(bounds) != 1 or not isinstance(condition.get("measure"), str):
        raise SpecificationError(
            f"{place}: condition {condition}: a measure and exactly one of above, below, unlike is needed"
        )
    return FindingCondition(measure=condition["measure"], **bounds)
