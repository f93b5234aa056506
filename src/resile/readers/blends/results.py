"""Results of components and trial blends: from the tables of a blend book, matched by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.blends.problems import Problems, nearest_name
from resile.readers.grids.vocabulary import fold
from resile.readers.source_file import file_beside
from resile.readers.summary_table import read_summary_table
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.reading import HeldFile, SourceFile
from resile.records.summary import SummaryTable

_MOST_NAMED = 6
_LIKE = 0.8
"""Numbered blends differ in one letter and are no misspellings of one another."""


@dataclass(frozen=True, slots=True)
class BookResults:
    """Results of the tables that a blend book names.

    Attributes
    ----------
    by_name : mapping of str to tuple of Determination
        Results by the folded name of component or blend.
    sources : tuple of SourceFile
        The tables.
    remarks : tuple of str
        How they were read.
    findings : tuple of Finding
        Rows that were not used, and results of samples the book does not know.
    """

    by_name: Mapping[str, tuple[Determination, ...]]
    sources: tuple[SourceFile, ...] = ()
    remarks: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def read_results(
    path: Path | HeldFile, files: Sequence[str], names: Mapping[str, str], problems: Problems
) -> BookResults:
    """Read the tables of results of a blend book.

    Parameters
    ----------
    path : Path or HeldFile
        The book; the tables lie beside it.
    files : sequence of str
        As written in it.
    names : mapping of str to str
        Component or blend, by the folded name its results go under.
    problems : Problems
        Told of a table that cannot be read.

    Returns
    -------
    BookResults
        Every determination under the name of the book.
    """
    tables = [table for file in files if (table := _table(path, file, problems)) is not None]
    by_name: dict[str, list[Determination]] = {}
    findings: list[Finding] = []
    for table in tables:
        findings += table.findings
        strangers: dict[str, int] = {}
        for found in table.determinations:
            name = names.get(fold(found.sample))
            if name is None:
                strangers[found.sample] = strangers.get(found.sample, 0) + 1
            else:
                by_name.setdefault(fold(name), []).append(replace(found, sample=name))
        if strangers:
            findings.append(_not_matched(strangers, table.source.path, names))
    remarks = [f"{Path(table.source.path).name}: {remark}" for table in tables for remark in table.remarks]
    return BookResults(
        {name: tuple(found) for name, found in by_name.items()},
        tuple(table.source for table in tables),
        tuple(remarks),
        tuple(findings),
    )


def _table(path: Path | HeldFile, file: str, problems: Problems) -> SummaryTable | None:
    try:
        return read_summary_table(file_beside(path, file))
    except FileFormatError as error:
        problems.add("", str(error))
        return None


def _not_matched(strangers: Mapping[str, int], file: str, names: Mapping[str, str]) -> Finding:
    known = list(dict.fromkeys(names.values()))
    shown = list(strangers.items())[:_MOST_NAMED]
    told = "; ".join(
        f"{sample!r} ({count} result{'s' * (count > 1)}"
        f"{nearest_name(sample, known, before=', ', like=_LIKE)})"
        for sample, count in shown
    )
    if len(strangers) > len(shown):
        told += f"; and {len(strangers) - len(shown)} more"
    return Finding(
        code="results-of-no-blend",
        severity=Severity.CAUTION,
        message=f"Results in {Path(file).name} that belong to no blend or component of the book: {told}.",
        rule="every result of the tables belongs to a trial blend or a component, by name",
        source="own rule",
        advice="Give blend and sample one name, or name the sample of the blend with the key 'sample'.",
    )


def without_results(names: Sequence[str]) -> Finding:
    """Give the note that trial blends have no results.

    Parameters
    ----------
    names : sequence of str
        Names of the blends.

    Returns
    -------
    Finding
        A note.
    """
    return Finding(
        code="trial-without-results",
        severity=Severity.NOTE,
        message=f"Trial blends without a result: {', '.join(names)}.",
        rule="a trial blend tells of a property by a result on it",
        value=float(len(names)),
        limit=0.0,
        source="own rule",
        advice="Add their results, or leave them out of the table of shares.",
    )
