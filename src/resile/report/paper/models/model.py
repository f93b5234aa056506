"""The parts of a page: tables, findings, pictures and sections, as text ready to be set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.records.finding import Finding
from resile.report.numbers import fixed, full
from resile.report.words import SEVERITY_MARKS

LEFT = "left"
RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Column:
    """A column heading with its alignment and, on paper, its share of the width (0: as needed)."""

    title: str
    align: str = LEFT
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Table:
    """A captioned table of texts.

    Attributes
    ----------
    caption : str
        What the table holds.
    columns : tuple of Column
        Headings.
    rows : tuple of tuple of str
        Cells, one a column.
    note : str
        Small print under the table.
    strong : tuple of int
        Rows (from 0) set in semibold: means, reported values.
    dense : bool
        True for many rows of numbers, looked up and not read: small and tight on paper.
    """

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    strong: tuple[int, ...] = ()
    dense: bool = False


@dataclass(frozen=True, slots=True)
class FindingEntry:
    """A finding ready to be set."""

    severity: str
    mark: str
    message: str
    details: str
    advice: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart with its caption; the description inside the specification serves as alternative text."""

    name: str
    spec: dict[str, Any]
    caption: str


@dataclass(frozen=True, slots=True)
class Section:
    """One headed part of the page; its parts are set in the order of the fields.

    ``annex`` is the letter of the annex it stands in, empty in the body; ``new_page`` asks for a page of
    its own.
    """

    key: str
    title: str
    notice: str = ""
    paragraphs: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    findings: tuple[FindingEntry, ...] = ()
    pictures: tuple[Picture, ...] = ()
    tables: tuple[Table, ...] = ()
    closing: tuple[str, ...] = ()
    bullets: tuple[str, ...] = ()
    bullets_title: str = ""
    new_page: bool = False
    annex: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """The whole page.

    Attributes
    ----------
    title, number, date, sample, laboratory : str
        For the head and foot of each sheet.
    banner : str
        Warning over everything; empty where none is needed.
    identity : tuple of (str, str)
        Label and value.
    answer : str
        The answer in one sentence.
    answer_more : tuple of str
        What limits the answer.
    sections : tuple of Section
        In order: the body, which the signatures close, then the annexes.
    signatures : tuple of (str, str)
        Role and name.
    accreditation : str
        Words of the laboratory, under its name; empty where there are none.
    logo : str
        File name of its picture on paper; empty where there is none.
    meaning : tuple of str
        What the answer means, in plain words; empty where nothing was graded.
    annexes : tuple of (str, str)
        Letter and title of each annex; empty where the page is all body.
    """

    title: str
    number: str
    date: str
    sample: str
    laboratory: str
    banner: str
    identity: tuple[tuple[str, str], ...]
    answer: str
    answer_more: tuple[str, ...]
    sections: tuple[Section, ...]
    signatures: tuple[tuple[str, str], ...]
    accreditation: str = ""
    logo: str = ""
    meaning: tuple[str, ...] = ()
    annexes: tuple[tuple[str, str], ...] = ()


def finding_entry(finding: Finding) -> FindingEntry:
    """Give a finding as it is shown: word and mark, sentence, rule with source, advice."""
    details = []
    if finding.rule:
        details.append(f"Rule: {finding.rule.rstrip('.')}")
    if finding.value is not None:
        details.append(f"found {measured(finding.value)}{_spaced(finding.unit)}")
    if finding.limit is not None:
        details.append(f"threshold {measured(finding.limit)}{_spaced(finding.unit)}")
    if finding.source:
        details.append(f"source: {finding.source}")
    text = "; ".join(details)
    return FindingEntry(
        severity=str(finding.severity),
        mark=SEVERITY_MARKS[finding.severity],
        message=finding.message,
        details=f"{text[0].upper()}{text[1:]}." if text else "",
        advice="" if finding.advice.casefold() in ("none", "none.") else finding.advice,
    )


def _spaced(unit: str) -> str:
    return f" {unit}" if unit else ""


def measured(value: float) -> str:
    """Show a number that no rule of show knows: as it is where short, else to four figures."""
    text = full(value)
    if len(text) <= 7:
        return text.removesuffix(".0")
    return fixed(float(f"{value:.4g}"), max(0, 3 - _power_of_ten(value)))


def _power_of_ten(value: float) -> int:
    return int(f"{abs(value):e}".split("e")[1]) if value else 0
