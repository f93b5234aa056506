"""Questions to an archive, one function each."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from resile.errors import InputError, ResileError
from resile.judge.results.uncertainty import LOG_NORMAL_QUANTITIES
from resile.records.archive_answers import AnswerTable, ArchiveContents, ResultsWanted, Trend
from resile.records.quantity import QUANTITIES
from resile.report.archive_words import property_title, titled
from resile.specifications.load import load_specification
from resile.storage.archive import asking_questions as ask
from resile.storage.archive.asking import asked

__all__ = [
    "AnswerTable",
    "ArchiveContents",
    "ResultsWanted",
    "Trend",
    "archive_contents",
    "archive_trend",
    "distribution_of",
    "extremes_of",
    "failures_of",
    "findings_of",
    "free_answer",
    "runs_of",
    "samples_named",
]

MOST = 1000
"""Rows of a list that are given where nothing else is asked for."""
SEVERITIES = ("invalid", "caution", "note")


def archive_contents(archive: str | Path) -> ArchiveContents:
    """Say what is in an archive.

    Parameters
    ----------
    archive : str or Path
        Its folder.

    Returns
    -------
    ArchiveContents
        Counts, span of days, products, quantities and classes.

    Raises
    ------
    RecordNotFoundError, InputError
        Where there is none, or it cannot be read.
    """
    with asked(Path(archive)) as asking:
        return ask.contents(asking)


def archive_trend(archive: str | Path, wanted: ResultsWanted, *, label: str = "", scale: str = "") -> Trend:
    """Follow a property month by month.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    wanted : ResultsWanted
        Which results; the quantity is needed.
    label : str
        Class, for example ``64V``: then with the share that fails its line, and the nearest margin.
    scale : str
        ``log`` or ``linear``; empty for the one of the quantity (compliances: log).

    Returns
    -------
    Trend
        Months, oldest first.

    Raises
    ------
    InputError
        Where the quantity is none of the glossary, or the scale is not known.
    """
    known_quantity(wanted.quantity)
    if scale not in ("", "log", "linear"):
        raise InputError(f"scale '{scale}' is not known; needed: log or linear")
    chosen = scale or ("log" if wanted.quantity in LOG_NORMAL_QUANTITIES else "linear")
    with asked(Path(archive)) as asking:
        ask.refuse_unknown_class(asking, label)
        months, undated, unit, limit = ask.trend_months(
            asking, wanted, logarithmic=chosen == "log", label=label
        )
    unit = unit or QUANTITIES[wanted.quantity].unit
    return Trend(wanted, label, chosen, unit, limit, tuple(months), undated)


def runs_of(
    archive: str | Path, wanted: ResultsWanted, *, code: str = "", severity: str = "", most: int = MOST
) -> AnswerTable:
    """List the runs that carry a finding, the newest first.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    wanted : ResultsWanted
        Which results.
    code : str
        Code of the finding; empty for any.
    severity : str
        Gravest severity of the run; empty for any.
    most : int
        Rows that are given.

    Returns
    -------
    AnswerTable
        One row a run.

    Raises
    ------
    InputError
        Where the severity is not known.
    """
    if severity and severity not in SEVERITIES:
        raise InputError(f"severity '{severity}' is not known; needed: {', '.join(SEVERITIES)}")
    with asked(Path(archive)) as asking:
        found = ask.runs_with_finding(asking, wanted, code=code, severity=severity, most=most)
    return replace(found, title=f"Runs with {code or 'a finding'}")


def findings_of(archive: str | Path, wanted: ResultsWanted) -> AnswerTable:
    """Count the findings, the most frequent first.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    wanted : ResultsWanted
        Which results.

    Returns
    -------
    AnswerTable
        One row a finding.
    """
    with asked(Path(archive)) as asking:
        return replace(ask.findings_counted(asking, wanted), title="Findings")


def distribution_of(archive: str | Path, wanted: ResultsWanted) -> AnswerTable:
    """Give mean, scatter, quantiles and extremes of a property, product by product.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    wanted : ResultsWanted
        Which results; the quantity is needed.

    Returns
    -------
    AnswerTable
        One row a product, residue and temperature.
    """
    known_quantity(wanted.quantity)
    with asked(Path(archive)) as asking:
        return replace(ask.distribution(asking, wanted), title=property_title(wanted.quantity))


def extremes_of(archive: str | Path, wanted: ResultsWanted, *, most: int = 10) -> AnswerTable:
    """Give the smallest and the largest values of a property.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    wanted : ResultsWanted
        Which results; the quantity is needed.
    most : int
        How many of each end.

    Returns
    -------
    AnswerTable
        Smallest first.
    """
    known_quantity(wanted.quantity)
    with asked(Path(archive)) as asking:
        found = ask.extremes(asking, wanted, most=most)
    title = f"Smallest and largest: {property_title(wanted.quantity)}"
    return replace(found, title=title)


def failures_of(
    archive: str | Path, wanted: ResultsWanted, *, label: str = "", every: bool = True
) -> AnswerTable:
    """Count failures line by line and class by class.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    wanted : ResultsWanted
        Which verdicts.
    label : str
        Class; empty for all.
    every : bool
        Whether lines that nothing failed are listed too.

    Returns
    -------
    AnswerTable
        Most failures first.
    """
    with asked(Path(archive)) as asking:
        ask.refuse_unknown_class(asking, label)
        found = ask.failures_by_line(asking, wanted, label=label)
    rows = found.rows if every else tuple(row for row in found.rows if row[6] or row[7])
    return replace(found, rows=rows, title="Failures by line", words=_lines_in_words(found))


def _lines_in_words(found: AnswerTable) -> dict[str, str]:
    """Give the lines of specifications in words; those of a file that is not found here keep their names."""
    words: dict[str, str] = {}
    for name in sorted({row[found.columns.index("specification")] for row in found.rows}):
        try:
            requirements = load_specification(name).requirements
        except ResileError:
            continue
        for one in requirements:
            bound = "at most" if one.bound == "maximum" else "at least"
            words[one.name] = f"{titled(one.title)}, {bound}" + (f" ({one.unit})" if one.unit else "")
    return words


def samples_named(archive: str | Path, words: str, *, most: int = MOST) -> AnswerTable:
    """Find samples by a part of their name, lot or product.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    words : str
        What was typed.
    most : int
        Rows that are given.

    Returns
    -------
    AnswerTable
        One row a sample, the newest first.
    """
    with asked(Path(archive)) as asking:
        return replace(ask.samples_found(asking, words, most=most), title=f"Samples: {words}")


def free_answer(archive: str | Path, question: str, *, most: int = MOST) -> AnswerTable:
    """Answer one SELECT over ``files``, ``results`` and ``verdicts``; nothing else can be asked.

    Parameters
    ----------
    archive : str or Path
        Its folder.
    question : str
        One SELECT.
    most : int
        Rows that are given.

    Returns
    -------
    AnswerTable
        The answer.

    Raises
    ------
    InputError
        Where it is no single SELECT, is wrong, takes too long, or reaches for anything outside the archive.
    """
    with asked(Path(archive)) as asking:
        return replace(asking.free(question, most=most), title="Answer")


def known_quantity(quantity: str) -> None:
    """Refuse a quantity that the glossary does not have.

    Raises
    ------
    InputError
        With those that come near.
    """
    if quantity not in QUANTITIES:
        from difflib import get_close_matches

        near = get_close_matches(quantity, QUANTITIES, n=3, cutoff=0.4)
        hint = f"; near it: {', '.join(near)}" if near else ""
        raise InputError(
            f"quantity '{quantity}' is none of the glossary, for example jnr_3.2 or creep_stiffness{hint}"
        )
