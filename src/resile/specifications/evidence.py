"""What was published on a question, with its weakness, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from resile.records.models.published_evidence import PublishedEvidence
from resile.records.models.pulse_train import EvidenceStatement
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.schema import Model, Name
from resile.specifications.search import SpecificationFile, find_file

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
    """Load what was published on a question; parameters and errors as `load_published_evidence`.

    Returns
    -------
    tuple of EvidenceStatement
        In the order of the file.
    """
    return load_published_evidence(wanted).statements


def load_published_evidence(wanted: str | Path) -> PublishedEvidence:
    """Load a file of published evidence.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    PublishedEvidence
        Checked.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    return _evidence(find_file(FOLDER, wanted, words="file of published evidence"))


def is_evidence(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is of published evidence."""
    return is_listed(wanted, keys=("statement",), entries=list_evidence)


def list_evidence() -> tuple[SpecificationEntry, ...]:
    """List every file of published evidence on the search path; a faulty one with its problem."""
    return list_files(FOLDER, "evidence file", _evidence)


def _evidence(file: SpecificationFile) -> PublishedEvidence:
    data = checked_file(EvidenceModel, file).model_dump()
    statements = tuple(EvidenceStatement(**block) for block in data["statements"])
    return PublishedEvidence(data["identifier"], data["title"], data["checked"], statements)
