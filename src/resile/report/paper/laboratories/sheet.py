"""What the sheets about laboratories share: the frame, and numbers for show."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.finding import Finding
from resile.report.numbers import ShowRule, decimals_of, fixed
from resile.report.paper.assemble import BANNER
from resile.report.paper.models.model import Page, Section, finding_entry
from resile.report.words import heaviest_first

PRACTICE_NOTE = (
    "Numbers and words by which laboratories are compared stand in files that can be changed; this "
    "one was not "
    "compared with the standards it names by a second person."
)


def figures(value: float | None, count: int = 4) -> str:
    """Show a number to so many significant figures; an en dash for None."""
    if value is None or not math.isfinite(value):
        return fixed(None if value is None else value, 0)
    return fixed(value, decimals_of(value, ShowRule(f"{count} significant figures", significant=count)))


def written_decimals(values: Sequence[float], most: int = 6) -> int:
    """Give the decimals with which all of these numbers stand as they were written, at most so many."""
    decimals = (len(f"{value:.{most}f}".rstrip("0").partition(".")[2]) for value in values)
    return max(decimals, default=0)


def with_unit(words: str, unit: str) -> str:
    """Give a heading with its unit in brackets."""
    return f"{words} ({unit})" if unit else words


def findings_section(findings: Sequence[Finding]) -> Section:
    """Give the section of findings, which is there even when there are none."""
    entries = tuple(finding_entry(one) for one in heaviest_first(tuple(findings)))
    nothing = ("No doubt was raised by the checks that were made.",) if not entries else ()
    return Section(key="findings", title="Findings", paragraphs=nothing, findings=entries)


def basis_section(facts: Sequence[tuple[str, str]], *, file: tuple[str, str], version: str) -> Section:
    """Give what the sheet hangs on: file, sources, version."""
    path, sha256 = file
    named = ((path, f"SHA-256 {sha256}"),) if path and sha256 else ()
    return Section(
        key="basis",
        title="What this rests on",
        facts=(*named, *facts, ("Worked out by", f"resile {version}")),
    )


def sheet(
    title: str,
    *,
    subject: str,
    date: str,
    identity: Sequence[tuple[str, str]],
    answer: str,
    answer_more: Sequence[str] = (),
    sections: Sequence[Section],
    signatures: Sequence[tuple[str, str]] = (),
    invented: bool = False,
    laboratory: str = "",
) -> Page:
    """Give a page about laboratories in the frame of the house."""
    return Page(
        title=title,
        number=subject,
        date=date,
        sample=subject,
        laboratory=laboratory,
        banner=BANNER if invented else "",
        identity=(*identity, ("Date", date)),
        answer=answer,
        answer_more=tuple(answer_more),
        sections=tuple(sections),
        signatures=tuple(signatures),
    )
