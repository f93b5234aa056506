"""What is known of a file beside its bytes, when an archive of many is made."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any


@dataclass(frozen=True, slots=True)
class FileTold:
    """What a person says of a file, in a register or by its folders; empty where nothing is said.

    Attributes
    ----------
    sample : str
        Name of the sample.
    lot : str
        Lot of the product.
    product : str
        Name of the product.
    tested : str
        Day of the test, YYYY-MM-DD.
    condition : str
        State of the binder, a value of `Condition`; empty where not said.
    """

    sample: str = ""
    lot: str = ""
    product: str = ""
    tested: str = ""
    condition: str = ""

    @property
    def text(self) -> str:
        """What is said as one text, names in order; empty where nothing is."""
        said = {name: value for name, value in asdict(self).items() if value}
        return json.dumps(said, ensure_ascii=False, sort_keys=True) if said else ""

    def over(self, weaker: FileTold) -> FileTold:
        """Give both together: what this one does not say is taken from the other.

        Parameters
        ----------
        weaker : FileTold
            What counts where this one is empty.
        """
        mine, other = asdict(self), asdict(weaker)
        return FileTold(**{name: value or other[name] for name, value in mine.items()})


@dataclass(frozen=True, slots=True)
class FoundFile:
    """A file that a batch found, before it is read.

    Attributes
    ----------
    path : str
        Its full path, or its address.
    below : str
        Its path below the folder that was named, parts joined by ``/``.
    trouble : str
        Why it, or the folder it stands for, could not even be looked at; empty where it could.
    """

    path: str
    below: str
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class BatchSummary:
    """What stands in an archive after a batch.

    Attributes
    ----------
    files : int
        Places that were looked at.
    distinct_files : int
        Files among them: the same bytes at several places are one.
    refused : int
        Files that gave nothing.
    results : int
        Results.
    samples : int
        Samples whose name is known.
    files_without_sample : int
        Files with results, of which no sample is known.
    told_in_two_ways : int
        Files whose places are told of differently; what is told of the first place by name counts.
    verdicts : int
        Verdicts.
    tests : mapping of str to mapping
        ``files`` and ``runs`` by test.
    conditions, findings, outcomes : mapping of str to int
        Results by state of the binder, runs by the code of a finding, verdicts by outcome.
    skipped : int
        Places whose bytes were done already when this batch began; not written to the archive.
    """

    files: int
    distinct_files: int
    refused: int
    results: int
    samples: int
    files_without_sample: int
    told_in_two_ways: int
    verdicts: int
    tests: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    conditions: Mapping[str, int] = field(default_factory=dict)
    findings: Mapping[str, int] = field(default_factory=dict)
    outcomes: Mapping[str, int] = field(default_factory=dict)
    skipped: int = 0

    def to_json(self) -> dict[str, Any]:
        """Give it as ``resile batch --json`` names it."""
        return {one.name: getattr(self, one.name) for one in fields(self)}
