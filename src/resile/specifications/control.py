"""Run rules of control charts and patterns of causes, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, field_validator, model_validator

from resile.errors import RecordNotFoundError
from resile.records.control.cause_pattern import CausePattern, PatternSign
from resile.records.control.run_rule import RunRule, RunRuleSet
from resile.records.quantity import RESULT_QUANTITIES
from resile.specifications.checked import checked_file
from resile.specifications.schema import Model, Name
from resile.specifications.search import files_of, find_file, read_toml

RULES, PATTERNS = "run_rules", "control_patterns"
Text = Annotated[str, Field(min_length=1)]
Count = Annotated[int, Field(ge=1, le=100)]


class RunRuleModel(Model):
    """One rule."""

    name: Name
    kind: Literal["beyond", "within", "outside", "trend", "alternating"]
    count: Count
    of: Count
    distance: Annotated[FiniteFloat, Field(ge=0, le=10)] = 0.0
    sentence: Text

    @field_validator("of")
    @classmethod
    def _count_fits(cls, of: int, info: object) -> int:
        """A rule of k of m points has k up to m."""
        if getattr(info, "data", {}).get("count", 1) > of:
            raise ValueError("the count of points is larger than the points looked at")
        return of


class RunRuleSetModel(Model):
    """A file of rules."""

    identifier: Name
    title: Text
    document: Text
    evidence: Text
    notes: list[str] = Field(default_factory=list)
    rule: Annotated[list[RunRuleModel], Field(min_length=1)]


class SignModel(Model):
    """One sign of a pattern."""

    quantities: Annotated[list[str], Field(min_length=1)]
    moved: Literal["up", "down", "changed", "unchanged"]
    needed: bool = False

    @field_validator("quantities")
    @classmethod
    def _quantities_are_known(cls, names: list[str]) -> list[str]:
        """A misspelt name would never be seen."""
        for name in names:
            if name not in RESULT_QUANTITIES:
                raise ValueError(f"{name!r} is no quantity of a result")
        return names


class PatternModel(Model):
    """One pattern."""

    kind: Text
    sentence: Text
    change: Literal["step", "drift", "any"] = "any"
    tank: Literal["new", "same", "any"] = "any"
    goes_with: Literal["operator", "instrument", "check", "back", "any"] = "any"
    test_to_confirm: Text
    source: Text
    evidence: Text
    signs: list[SignModel] = Field(default_factory=list)

    @model_validator(mode="after")
    def _shows_somehow(self) -> PatternModel:
        """A pattern without a sign would fit everything."""
        if not self.signs and self.goes_with == "any" and self.tank != "new":
            raise ValueError("signs, goes_with or a new tank is needed")
        return self


class PatternFileModel(Model):
    """A file of patterns."""

    identifier: Name
    title: Text
    document: Text
    evidence: Text
    notes: list[str] = Field(default_factory=list)
    pattern: Annotated[list[PatternModel], Field(min_length=1)]


def load_run_rules(wanted: str | Path) -> RunRuleSet:
    """Load a set of run rules.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    return _rule_set(checked_file(RunRuleSetModel, find_file(RULES, wanted, words="set of run rules")))


def chosen_rules(names: tuple[str, ...]) -> tuple[RunRule, ...]:
    """Give the rules that were chosen, by ``set`` or ``set/rule``.

    Parameters
    ----------
    names : tuple of str
        Names of sets, or of single rules behind the name of their set.

    Returns
    -------
    tuple of RunRule
        Each once, its name behind that of its set.

    Raises
    ------
    RecordNotFoundError
        Where there is no such set or rule.
    """
    found: dict[str, RunRule] = {}
    for name in names:
        of_set, _, wanted = name.partition("/")
        rules = load_run_rules(of_set).rules
        picked = [rule for rule in rules if not wanted or rule.name == f"{of_set}/{wanted}"]
        if not picked:
            known = ", ".join(rule.name for rule in rules)
            raise RecordNotFoundError(f"run rule {name!r}: the set has {known}")
        found |= {rule.name: rule for rule in picked}
    return tuple(found.values())


def list_run_rules() -> list[RunRuleSet]:
    """List every set of run rules on the search path, those of one's own first."""
    found: dict[str, RunRuleSet] = {}
    for path in files_of(RULES):
        rules = _rule_set(checked_file(RunRuleSetModel, read_toml(path)))
        found.setdefault(rules.identifier, rules)
    return list(found.values())


def load_cause_patterns() -> tuple[CausePattern, ...]:
    """Load every pattern of causes on the search path, those of one's own first.

    Raises
    ------
    SpecificationError
        Where a key is missing, unknown or wrong.
    """
    found: dict[str, CausePattern] = {}
    for path in files_of(PATTERNS):
        for model in checked_file(PatternFileModel, read_toml(path)).pattern:
            content = model.model_dump(exclude={"signs"})
            signs = tuple(
                PatternSign(quantities=tuple(sign.quantities), moved=sign.moved, needed=sign.needed)
                for sign in model.signs
            )
            found.setdefault(model.kind, CausePattern(signs=signs, **content))
    return tuple(found.values())


def _rule_set(model: RunRuleSetModel) -> RunRuleSet:
    return RunRuleSet(
        identifier=model.identifier,
        title=model.title,
        document=model.document,
        evidence=model.evidence,
        notes=tuple(model.notes),
        rules=tuple(
            RunRule(
                **{**rule.model_dump(), "name": f"{model.identifier}/{rule.name}"},
                source=f"{model.document} ({model.evidence})",
            )
            for rule in model.rule
        ),
    )
