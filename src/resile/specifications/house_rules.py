"""Rules of the house from TOML: how samples are heated, and how long what is left of them is kept."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, FiniteFloat, model_validator

from resile.records.finding import Severity
from resile.records.house_rule import HeatingLimit, HeatingRule, RetentionRule
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.schema import Evidence, Model, Name
from resile.specifications.search import SpecificationFile, find_file

HEATING = "heating_rules"
RETENTION = "retention_rules"


class HeatingLimitModel(Model):
    """One ``[[limit]]`` block."""

    measure: Literal["heating_count", "duration_min", "preparation_min", "total_min", "temperature_c"]
    title: str = Field(min_length=1)
    unit: str
    lowest: FiniteFloat | None = None
    highest: FiniteFloat | None = None
    binder: Literal["any", "modified", "unmodified"] = "any"
    beyond: Literal["refuse", "flag"]
    severity: Severity = Field(strict=False)
    clause: str
    evidence: Evidence
    advice: str = ""

    @model_validator(mode="after")
    def _has_an_end(self) -> HeatingLimitModel:
        """A limit without ends limits nothing."""
        if self.lowest is None and self.highest is None:
            raise ValueError("needs 'lowest', 'highest' or both")
        return self


class HeatingRuleModel(Model):
    """A heating rule file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    transcribed: str
    checked: str
    notes: list[str] = Field(default_factory=list)
    limits: list[HeatingLimitModel] = Field(alias="limit", min_length=1)


class RetentionRuleModel(Model):
    """A retention rule file."""

    identifier: Name
    title: str = Field(min_length=1)
    starts: Literal["received", "issued"]
    days: Annotated[int, Field(ge=1, le=36_500)]
    remind_days: Annotated[int, Field(ge=0)]
    source: str = Field(min_length=1)
    evidence: Evidence
    transcribed: str
    checked: str
    notes: list[str] = Field(default_factory=list)


def load_heating_rule(wanted: str | Path) -> HeatingRule:
    """Load a heating rule by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        For example ``"en12594-2000"``, or the path of a file.

    Returns
    -------
    HeatingRule
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such rule, or a key is missing, unknown or wrong.
    """
    return _heating_rule(find_file(HEATING, wanted, words="heating rule"))


def load_retention_rule(wanted: str | Path) -> RetentionRule:
    """Load a retention rule by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        For example ``"ninety-days-from-issue"``, or the path of a file.

    Returns
    -------
    RetentionRule
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such rule, or a key is missing, unknown or wrong.
    """
    return _retention_rule(find_file(RETENTION, wanted, words="retention rule"))


def is_heating_rule(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is that of a heating rule.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.
    """
    return is_listed(wanted, keys=("limit",), entries=lambda: list_files(HEATING, "", _heating_rule))


def is_retention_rule(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is that of a retention rule.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.
    """
    return is_listed(
        wanted, keys=("remind_days",), entries=lambda: list_files(RETENTION, "", _retention_rule)
    )


def list_house_rules() -> tuple[SpecificationEntry, ...]:
    """List every heating and retention rule on the search path; a faulty file is listed with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        Heating rules, then retention rules, in search order.
    """
    heating = list_files(HEATING, "heating rule", _heating_rule)
    return (*heating, *list_files(RETENTION, "retention rule", _retention_rule))


def _heating_rule(file: SpecificationFile) -> HeatingRule:
    data: dict[str, Any] = checked_file(HeatingRuleModel, file).model_dump()
    limits = tuple(_limit(block, data["document"]) for block in data.pop("limits"))
    return HeatingRule(**{**data, "notes": tuple(data["notes"])}, limits=limits, sha256=file.sha256)


def _limit(block: dict[str, Any], document: str) -> HeatingLimit:
    mark = f" [{block.pop('evidence')}]"
    clause = block.pop("clause")
    named = f"{document}, {clause}" if clause[:1].isdigit() else clause or document
    source = f"{named}{mark if mark != ' []' else ''}"
    refuses = block.pop("beyond") == "refuse"
    return HeatingLimit(**block, refuses=refuses, source=source)


def _retention_rule(file: SpecificationFile) -> RetentionRule:
    data: dict[str, Any] = checked_file(RetentionRuleModel, file).model_dump()
    evidence = data.pop("evidence")
    source = f"{data.pop('source')}{f' [{evidence}]' if evidence else ''}"
    return RetentionRule(**{**data, "notes": tuple(data["notes"])}, source=source, sha256=file.sha256)
