"""An archive of many records on a terminal: what stands in it after a batch."""

from __future__ import annotations

from typing import Any

from resile.records.batch import BatchSummary
from resile.report.archive_words import test_titles


def render_batch(summary: BatchSummary, archive: str) -> Any:
    """Give a readable sheet of an archive.

    Parameters
    ----------
    summary : BatchSummary
        What stands in it.
    archive : str
        Its folder.

    Returns
    -------
    rich.console.Group
        Counts, then files by test, verdicts by outcome, and the most frequent findings.
    """
    from rich.console import Group
    from rich.text import Text

    lines: list[Any] = [Text(f"Archive {archive}", style="bold")]
    lines += [
        Text(f"  {count:>10,}  {words}")
        for count, words in _counts(summary)
        if count or words in ("results", "files")
    ]
    tests = [(numbers["files"], test_titles(test)) for test, numbers in summary.tests.items()]
    findings = sorted(((n, code) for code, n in summary.findings.items()), key=lambda one: (-one[0], one[1]))
    for title, rows in (
        ("Files by test", tests),
        ("Verdicts by outcome", [(n, outcome) for outcome, n in summary.outcomes.items()]),
        ("Runs by finding", findings[:10]),
    ):
        if rows:
            lines.append(Text(f"\n{title}", style="bold"))
            lines += [Text(f"  {count:>10,}  {words}") for count, words in rows]
    return Group(*lines)


def _counts(summary: BatchSummary) -> tuple[tuple[int, str], ...]:
    return (
        (summary.files, "files"),
        (summary.files - summary.distinct_files, "of them with the bytes of another one"),
        (summary.skipped, "of them done before"),
        (summary.refused, "refused"),
        (summary.results, "results"),
        (summary.samples, "samples"),
        (summary.files_without_sample, "files whose sample is not known"),
        (summary.told_in_two_ways, "files that stand in several places which say different things of them"),
        (summary.verdicts, "verdicts"),
    )
