"""A report that replaces another: what changed is named, number by number."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.judge.rules.revision import changes_between
from resile.readers.issued_report import issued_report_of, read_issued_report
from resile.records.revision import Change, IssuedReport, Replacement, Revision
from resile.report.document import ReportDocument


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two reports side by side.

    Attributes
    ----------
    before, after : IssuedReport
        The older and the newer one.
    changes : tuple of Change
        What they state differently.
    """

    before: IssuedReport
    after: IssuedReport
    changes: tuple[Change, ...]

    def to_json(self) -> dict[str, Any]:
        """Give numbers, dates and changes as a dictionary."""
        from resile.report.machine.document import change_to_json

        return {
            "before": {"number": self.before.number, "date": self.before.date},
            "after": {"number": self.after.number, "date": self.after.date},
            "changes": [change_to_json(change) for change in self.changes],
        }

    def to_terminal(self) -> Any:
        """Give the changes as a table."""
        from resile.report.terminal.revision import render_comparison

        return render_comparison(self.before, self.after, self.changes)


def compare_reports(before: str | Path, after: str | Path) -> Comparison:
    """Name what two reports state differently.

    Parameters
    ----------
    before, after : str or Path
        JSON of the older and of the newer report, as `resile report` wrote it beside the pages.

    Returns
    -------
    Comparison
        Every change, number by number.

    Raises
    ------
    ResileError
        Where a file is missing, or is not the JSON of a report.
    """
    older, newer = read_issued_report(Path(before)), read_issued_report(Path(after))
    return Comparison(older, newer, changes_between(older.entries, newer.entries))


def revised(
    document: ReportDocument, content: dict[str, Any], replaces: Replacement | None
) -> ReportDocument:
    """Put what a report changes on the report; unchanged where it replaces none.

    Parameters
    ----------
    document : ReportDocument
        The new report.
    content : dict
        Its JSON.
    replaces : Replacement or None
        What the order says of the replaced report.

    Returns
    -------
    ReportDocument
        With the revision.

    Raises
    ------
    InputError
        Where the report has the number of the one that it replaces, or the JSON is of another report.
    """
    if replaces is None:
        return document
    if replaces.number == document.number:
        raise InputError(
            f"report {document.number} has the number of the report that it replaces; a revision needs a "
            f"number of its own, for example '{document.number}-1' (key 'number' of the test order)"
        )
    if replaces.report is None:
        return replace(document, revision=Revision(replaces, of=replaces.number))
    before = read_issued_report(replaces.report)
    if before.number != replaces.number:
        raise InputError(
            f"{replaces.report}: this is report {before.number!r}, the order says that it replaces "
            f"{replaces.number!r} (keys 'replaces.number' and 'replaces.report')"
        )
    revision = Revision(
        replaces,
        number=before.revision_number + 1,
        of=before.revision_of,
        replaced_date=before.date,
        changes=changes_between(before.entries, issued_report_of(content).entries),
        compared=True,
        source=before.source,
    )
    return replace(document, revision=revision)
