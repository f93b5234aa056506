"""What was published on a question, each statement with its weakness."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.models.pulse_train import EvidenceStatement


@dataclass(frozen=True, slots=True)
class PublishedEvidence:
    """A file of published evidence.

    Attributes
    ----------
    identifier, title : str
        Name of the file, and the question.
    checked : str
        Who compared it with its sources; empty where nobody did.
    statements : tuple of EvidenceStatement
        In the order of the file.
    """

    identifier: str
    title: str
    checked: str
    statements: tuple[EvidenceStatement, ...]
