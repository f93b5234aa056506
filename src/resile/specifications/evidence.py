"""What was published on a question, with its weakness, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from resile.records.models.pulse_train import EvidenceStatement
from resile.specifications.checked import checked_file
from resile.specifications.schema import Model, Name
from resile.specifications.search import find_file

FOLDER = "published_evidence"
Text = Annotated[str, Field(min_length=1)]


class StatementModel(Model):
    """One ``[[statement]]`` block."""

    statement: Text
    source: Text
    evidence: Text
    weakness: Text


class EvidenceModel(Model):
    """A file of published evidence."""

    identifier: Name
    title: str
    transcribed: str
    checked: str
    statements: Annotated[list[StatementModel], Field(min_length=1)] = Field(alias="statement")


def load_evidence(wanted: str | Path = "rutting") -> tuple[EvidenceStatement, ...]:
    """Load what was published on a question.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    tuple of EvidenceStatement
        In the order of the file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    file = find_file(FOLDER, wanted, words="file of published evidence")
    data = checked_file(EvidenceModel, file).model_dump()
    return tuple(EvidenceStatement(**block) for block in data["statements"])
