"""How a property is watched where nobody says otherwise, from TOML."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, field_validator

from resile.errors import SpecificationError
from resile.records.determination import Condition
from resile.records.quantity import RESULT_QUANTITIES
from resile.specifications.checked import checked_file
from resile.specifications.schema import Model, Name
from resile.specifications.search import files_of, read_toml

FOLDER = "usual_watching"
Text = Annotated[str, Field(min_length=1)]


class _Named(Model):
    """Properties that share a line."""

    quantities: Annotated[list[str], Field(min_length=1)]
    source: Text
    evidence: Text

    @field_validator("quantities")
    @classmethod
    def _quantities_are_known(cls, names: list[str]) -> list[str]:
        """A misspelt name would never be met."""
        for name in names:
            if name not in RESULT_QUANTITIES:
                raise ValueError(f"{name!r} is no quantity of a result")
        return names


class ScaleModel(_Named):
    """One ``[[scale]]`` block."""

    scale: Literal["log", "linear"]


class ResidueModel(_Named):
    """One ``[[residue]]`` block."""

    condition: Literal["original", "short_term_aged", "long_term_aged", "recovered"]


class StepOrDriftModel(Model):
    """The ``[step_or_drift]`` table."""

    least_odds: Annotated[FiniteFloat, Field(ge=1)]
    source: Text
    evidence: Text


class UsualWatchingModel(Model):
    """A file of usual scales and residues."""

    identifier: Name
    title: Text
    document: Text
    step_or_drift: StepOrDriftModel | None = None
    scale: list[ScaleModel] = Field(default_factory=list)
    residue: list[ResidueModel] = Field(default_factory=list)


def usual_scale(quantity: str) -> str:
    """Give the scale on which a property is watched where nobody says otherwise.

    Parameters
    ----------
    quantity : str
        Name from the glossary.

    Returns
    -------
    str
        ``log`` where a file says so, ``linear`` otherwise; files of one's own come first.

    Raises
    ------
    SpecificationError
        Where a key is missing, unknown or wrong.
    """
    for file in _files():
        for block in file.scale:
            if quantity in block.quantities:
                return block.scale
    return "linear"


def usual_residue(quantity: str) -> Condition:
    """Give the residue on which a property is tested where nobody says otherwise.

    Parameters
    ----------
    quantity : str
        Name from the glossary.

    Returns
    -------
    Condition
        The original binder where no file names another.

    Raises
    ------
    SpecificationError
        Where a key is missing, unknown or wrong.
    """
    for file in _files():
        for block in file.residue:
            if quantity in block.quantities:
                return Condition(block.condition)
    return Condition.ORIGINAL


def least_odds_of_a_kind() -> float:
    """Give the odds from which a change of level is called a step, or a slow drift.

    Raises
    ------
    SpecificationError
        Where no file gives them, or a key is missing, unknown or wrong.
    """
    for file in _files():
        if file.step_or_drift is not None:
            return file.step_or_drift.least_odds
    raise SpecificationError(f"{FOLDER}: no file has a table step_or_drift")


def _files() -> list[UsualWatchingModel]:
    return [checked_file(UsualWatchingModel, read_toml(path)) for path in files_of(FOLDER)]
