"""Sampling plans from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, FiniteFloat, model_validator

from resile.records.control.sampling import SEVERITIES, SamplingLevel, SamplingPlan, SwitchingRule
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.schema import Evidence, Model, Name
from resile.specifications.search import SpecificationFile, find_file

FOLDER = "sampling_plans"
Severity = Literal["tightened", "normal", "relaxed"]
Count = Annotated[int, Field(ge=1)]
Above = Annotated[FiniteFloat, Field(gt=0)]


class SamplingLevelModel(Model):
    """One ``[[level]]`` block."""

    severity: Severity
    every: Count
    lot_t: Above | None = None


class SwitchingRuleModel(Model):
    """One ``[[switching]]`` block."""

    severity: Severity
    to: Literal["tightened", "normal", "relaxed", "stop"]
    accepted_in_a_row: Count | None = None
    failures: Count | None = None
    among: Count | None = None
    needs_consent: bool = False
    source: str = Field(min_length=1)
    evidence: Evidence

    @model_validator(mode="after")
    def _counts_one_thing(self) -> SwitchingRuleModel:
        """A rule counts either accepted lots or failures."""
        if (self.accepted_in_a_row is None) is (self.failures is None):
            raise ValueError(
                "needs either 'accepted_in_a_row', or 'failures', with 'among' where it is limited"
            )
        if self.among is not None and self.failures is None:
            raise ValueError("key 'among' needs 'failures' beside it")
        if self.failures is not None and self.among is not None and self.failures > self.among:
            raise ValueError(f"'failures' ({self.failures}) must not be more than 'among' ({self.among})")
        if self.to == self.severity:
            raise ValueError("'to' must differ from 'severity'")
        return self


class SamplingPlanModel(Model):
    """A sampling plan file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    material: str = ""
    lot_is: Literal["tank", "tonnage"]
    begins_at: Severity = "normal"
    lot_days: Above | None = None
    ends_when_added: bool = False
    containers: Count = 1
    container_l: Above | None = None
    test_every: Count = 1
    tests: list[str] = Field(default_factory=list)
    extra_after_failure: bool = True
    source: str = Field(min_length=1)
    evidence: Evidence
    transcribed: str
    checked: str
    notes: list[str] = Field(default_factory=list)
    levels: list[SamplingLevelModel] = Field(alias="level", min_length=1)
    switching: list[SwitchingRuleModel] = Field(default_factory=list)

    @model_validator(mode="after")
    def _hangs_together(self) -> SamplingPlanModel:
        """Every severity that is named has its level, and a lot by tonnage has its size."""
        named = {self.begins_at, *(end for one in self.switching for end in (one.severity, one.to))} - {
            "stop"
        }
        given = [one.severity for one in self.levels]
        if len(given) != len(set(given)):
            raise ValueError("key 'level': one block for each severity is needed")
        missing = [one for one in SEVERITIES if one in named and one not in given]
        if missing:
            raise ValueError(f"key 'level': needs a block for {', '.join(missing)}")
        if self.lot_is == "tonnage" and any(one.lot_t is None for one in self.levels):
            raise ValueError("key 'level': a lot by tonnage needs 'lot_t' at each severity")
        if self.lot_is == "tank" and any(one.lot_t is not None for one in self.levels):
            raise ValueError("key 'level': 'lot_t' belongs to lots by tonnage")
        return self


def load_sampling_plan(wanted: str | Path) -> SamplingPlan:
    """Load a sampling plan by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        For example ``"modified-by-tank"``, or the path of a file.

    Returns
    -------
    SamplingPlan
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such plan, or a key is missing, unknown or wrong.
    """
    return _plan(find_file(FOLDER, wanted, words="sampling plan"))


def is_sampling_plan(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is that of a sampling plan.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.
    """
    return is_listed(wanted, keys=("lot_is",), entries=list_sampling_plans)


def list_sampling_plans() -> tuple[SpecificationEntry, ...]:
    """List every sampling plan on the search path; a faulty file is listed with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        In search order.
    """
    return list_files(FOLDER, "sampling plan", _plan)


def _plan(file: SpecificationFile) -> SamplingPlan:
    data: dict[str, Any] = checked_file(SamplingPlanModel, file).model_dump()
    levels = sorted(data.pop("levels"), key=lambda level: SEVERITIES.index(level["severity"]))
    return SamplingPlan(
        levels=tuple(SamplingLevel(**level) for level in levels),
        switching=tuple(SwitchingRule(**block) for block in data.pop("switching")),
        sha256=file.sha256,
        **{**data, "tests": tuple(data["tests"]), "notes": tuple(data["notes"])},
    )
