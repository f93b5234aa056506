"""The questions that are asked of an archive every day, with every name bound to a place holder."""

from __future__ import annotations

from datetime import date
from typing import Any

from resile.errors import InputError
from resile.records.archive_answers import AnswerTable, ArchiveContents, ResultsWanted, TrendMonth
from resile.records.determination import Condition
from resile.storage.archive.asking import Asking

_SAME_C = 0.1000001
MOST_NAMES = 200


def conditions_of(wanted: ResultsWanted) -> tuple[str, list[Any]]:
    """Give the conditions of a question, and what stands in their places.

    Parameters
    ----------
    wanted : ResultsWanted
        What is meant.

    Returns
    -------
    tuple of (str, list)
        A condition in SQL with ``?`` for every value.

    Raises
    ------
    InputError
        Where a day is none, or a state of the binder is not known: nothing could ever fit.
    """
    _refuse_what_never_fits(wanted)
    parts, values = ["TRUE"], list[Any]()
    for name in ("product", "lot", "sample", "quantity", "condition"):
        if getattr(wanted, name):
            parts.append(f"{name} = ?")
            values.append(getattr(wanted, name))
    if wanted.temperature_c is not None:
        parts.append("abs(temperature_c - ?) <= ?")
        values += [wanted.temperature_c, _SAME_C]
    if wanted.since:
        parts.append("tested >= ?")
        values.append(wanted.since)
    if wanted.until:
        parts.append("tested <> '' AND substr(tested, 1, 10) <= ?")
        values.append(wanted.until)
    return " AND ".join(parts), values


def _refuse_what_never_fits(wanted: ResultsWanted) -> None:
    if wanted.condition and wanted.condition not in tuple(Condition):
        raise InputError(
            f"residue '{wanted.condition}' is not known; needed: {', '.join(str(one) for one in Condition)}"
        )
    for name in ("since", "until"):
        day = getattr(wanted, name)
        try:
            if day:
                date.fromisoformat(day)
        except ValueError:
            raise InputError(
                f"{name} '{day}' is no day; needed: year-month-day, such as 2026-03-02"
            ) from None


def refuse_unknown_class(asking: Asking, label: str) -> None:
    """Refuse a class that nothing in the archive was judged by.

    Raises
    ------
    InputError
        With those that there are.
    """
    if not label or asking.rows("SELECT 1 FROM verdicts WHERE label = ? LIMIT 1", [label]):
        return
    known = [name for name, _ in _names(asking, "SELECT label, count(*) FROM verdicts GROUP BY 1")]
    there = f"there are {', '.join(sorted(known))}" if known else "there is no verdict in it"
    raise InputError(f"class '{label}': nothing in the archive was judged by it; {there}")


def contents(asking: Asking) -> ArchiveContents:
    """Say what is in an archive.

    Parameters
    ----------
    asking : Asking
        An opened archive.

    Returns
    -------
    ArchiveContents
        Counts, span and names.
    """
    files, refused = asking.rows("SELECT count(*), count(*) FILTER (refusal <> '') FROM files")[0]
    results, samples, lots, first, last = asking.rows(
        "SELECT count(*), count(DISTINCT (sample, lot)) FILTER (sample <> ''), count(DISTINCT lot) "
        "FILTER (lot <> ''), "
        "coalesce(min(tested) FILTER (tested <> ''), ''), coalesce(max(tested), '') FROM results"
    )[0]
    verdicts = asking.rows("SELECT count(*) FROM verdicts")[0][0]
    return ArchiveContents(
        str(asking.archive),
        asking.statement.software,
        asking.statement.made_from,
        int(files),
        int(refused),
        int(results),
        int(samples),
        int(lots),
        int(verdicts),
        first=str(first)[:10],
        last=str(last)[:10],
        products=_names(asking, "SELECT product, count(*) FROM results WHERE product <> '' GROUP BY 1"),
        quantities=_names(asking, "SELECT quantity, count(*) FROM results GROUP BY 1"),
        labels=_names(asking, "SELECT label, count(DISTINCT (sample, lot)) FROM verdicts GROUP BY 1"),
        options=dict(asking.statement.options),
    )


def _names(asking: Asking, question: str) -> tuple[tuple[str, int], ...]:
    rows = asking.rows(f"{question} ORDER BY 2 DESC, 1 LIMIT ?", [MOST_NAMES])
    return tuple((str(name), int(count)) for name, count in rows)


def trend_months(
    asking: Asking, wanted: ResultsWanted, *, logarithmic: bool, label: str = ""
) -> tuple[list[TrendMonth], int, str, float | None]:
    """Give a property month by month.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.
    logarithmic : bool
        Whether the mean is geometric; values at or below zero are then left out.
    label : str
        Class whose line is meant; empty for none.

    Returns
    -------
    tuple of (list of TrendMonth, int, str, float or None)
        Months, oldest first; results without a day; unit; limit of the line.
    """
    conditions, values = conditions_of(wanted)
    usable = f"isfinite(value) AND worst <> 'invalid' AND {conditions}" + (
        " AND value > 0" if logarithmic else ""
    )
    mean = "avg(value)"
    if logarithmic:  # of equal values the mean is that value, to the last bit
        mean = "CASE WHEN min(value) = max(value) THEN min(value) ELSE pow(10, avg(log10(value))) END"
    rows = asking.rows(
        f"SELECT substr(tested, 1, 7), count(*), {mean}, min(value), max(value), any_value(unit) "
        f"FROM results WHERE {usable} GROUP BY 1 ORDER BY 1",
        values,
    )
    lines, limit = _line_by_month(asking, wanted, label) if label else ({}, None)
    months = [
        TrendMonth(str(month), int(count), mean, low, high, *lines.get(month, (0, 0, None) if label else ()))
        for month, count, mean, low, high, _ in rows
        if month
    ]
    undated = sum(int(row[1]) for row in rows if not row[0])
    return months, undated, str(rows[0][5]) if rows else "", limit


def _line_by_month(
    asking: Asking, wanted: ResultsWanted, label: str
) -> tuple[dict[str, tuple[int, int, float | None]], float | None]:
    """Give failures, comparisons and the nearest margin of a line by month."""
    conditions, values = conditions_of(wanted)
    rows = asking.rows(
        "SELECT substr(tested, 1, 7), count(*) FILTER (outcome IN ('fail', 'conditional fail')), "
        'count(*) FILTER (margin IS NOT NULL), min(margin), any_value("limit") '
        f"FROM verdicts WHERE label = ? AND {conditions} GROUP BY 1",
        [label, *values],
    )
    found = {str(month): (int(fails), int(compared), margin) for month, fails, compared, margin, _ in rows}
    return found, next((row[4] for row in rows if row[4] is not None), None)


def runs_with_finding(
    asking: Asking, wanted: ResultsWanted, *, code: str, severity: str, most: int
) -> AnswerTable:
    """Give the runs that carry a finding.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.
    code, severity : str
        Code of the finding, gravest severity of the run; empty for any.
    most : int
        Rows that are given.

    Returns
    -------
    AnswerTable
        One row a run, the newest first.
    """
    conditions, values = conditions_of(wanted)
    if code:
        conditions += " AND list_contains(r.findings, ?)"
        values.append(code)
    if severity:
        conditions += " AND r.worst = ?"
        values.append(severity)
    return asking.table(
        "SELECT r.sample, r.lot, r.product, r.tested, r.test, r.condition, r.temperature_c, r.worst, "
        "array_to_string(any_value(r.findings), ', ') AS findings, any_value(f.path) AS file, r.part "
        "FROM results r LEFT JOIN files f ON f.sha256 = r.sha256 "
        f"WHERE len(r.findings) > 0 AND {conditions} "
        "GROUP BY r.sample, r.lot, r.product, r.tested, r.test, r.condition, r.temperature_c, r.worst, "
        "r.sha256, r.part "
        "ORDER BY r.tested DESC, r.sample, r.part, r.temperature_c",
        values,
        most=most,
    )


def findings_counted(asking: Asking, wanted: ResultsWanted) -> AnswerTable:
    """Give each finding with the runs that carry it.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.

    Returns
    -------
    AnswerTable
        Code, runs, samples, first and last day; the most frequent first.
    """
    conditions, values = conditions_of(wanted)
    return asking.table(
        "SELECT finding, count(DISTINCT (sha256, part)) AS runs, count(DISTINCT (sample, lot)) AS samples, "
        "min(tested) FILTER (tested <> '') AS first, max(tested) FILTER (tested <> '') AS last "
        f"FROM (SELECT *, unnest(findings) AS finding FROM results WHERE {conditions}) "
        "GROUP BY finding ORDER BY runs DESC, finding",
        values,
    )


def distribution(asking: Asking, wanted: ResultsWanted) -> AnswerTable:
    """Give count, mean, scatter, quantiles and extremes of a property, product by product.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.

    Returns
    -------
    AnswerTable
        One row a product.
    """
    conditions, values = conditions_of(wanted)
    shares = ", ".join(
        f"quantile_cont(value, {share}) AS {name}"
        for share, name in ((0.05, "p05"), (0.25, "p25"), (0.75, "p75"), (0.95, "p95"))
    )
    return asking.table(
        "SELECT product, condition, round(temperature_c) AS temperature_c, count(*) AS results, "
        "avg(value) AS mean, "
        "stddev_samp(value) AS sd, median(value) AS median, min(value) AS lowest, max(value) AS highest, "
        f"{shares}, "
        "any_value(unit) AS unit "
        f"FROM results WHERE isfinite(value) AND worst <> 'invalid' AND {conditions} "
        "GROUP BY product, condition, round(temperature_c) ORDER BY product, condition, temperature_c",
        values,
    )


def extremes(asking: Asking, wanted: ResultsWanted, *, most: int) -> AnswerTable:
    """Give the smallest and the largest values of a property with the samples they belong to.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.
    most : int
        How many of each end.

    Returns
    -------
    AnswerTable
        Smallest first.
    """
    conditions, values = conditions_of(wanted)
    columns = "value, unit, sample, lot, product, tested, condition, temperature_c, worst"
    return asking.table(
        f"WITH fitting AS (SELECT {columns}, f.path AS file, "
        "row_number() OVER (ORDER BY value, sample) AS up, "
        "row_number() OVER (ORDER BY value DESC, sample) AS down FROM results r LEFT JOIN "
        "(SELECT sha256 AS of_file, path FROM files WHERE sha256 <> '') f ON f.of_file = r.sha256 "
        "WHERE isfinite(value) AND "
        f"{conditions}) "
        f"SELECT {columns}, file FROM fitting WHERE up <= ? OR down <= ? ORDER BY value, sample",
        [*values, most, most],
    )


def failures_by_line(asking: Asking, wanted: ResultsWanted, *, label: str = "") -> AnswerTable:
    """Give how often each line of the specification fails, class by class.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which verdicts.
    label : str
        Class; empty for all.

    Returns
    -------
    AnswerTable
        Most failures first.
    """
    conditions, values = conditions_of(wanted)
    if label:
        conditions += " AND label = ?"
        values.append(label)
    return asking.table(
        "SELECT specification, edition, decision_rule, label, requirement, count(*) FILTER (margin IS "
        "NOT NULL) AS compared, "
        "count(*) FILTER (outcome = 'fail') AS fails, count(*) FILTER (outcome LIKE 'conditional%') AS "
        "conditional, "
        "count(*) FILTER (outcome = 'waived') AS waived, min(margin) AS nearest_margin "
        f"FROM verdicts WHERE {conditions} GROUP BY ALL ORDER BY fails DESC, label, requirement",
        values,
    )


def samples_found(asking: Asking, words: str, *, most: int) -> AnswerTable:
    """Give samples whose name, lot or product holds what was typed.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    words : str
        What was typed; capitals do not matter.
    most : int
        Rows that are given.

    Returns
    -------
    AnswerTable
        One row a sample of a lot, the newest first.
    """
    return asking.table(
        "SELECT sample, lot, product, max(tested) AS tested, count(*) AS results, "
        "count(DISTINCT (sha256, part)) AS runs, ['', 'note', 'caution', 'invalid'][1 + max(CASE worst "
        "WHEN 'invalid' THEN 3 WHEN 'caution' THEN 2 WHEN 'note' THEN 1 ELSE 0 END)] AS worst FROM results "
        "WHERE contains(lower(concat_ws(' ', sample, lot, product)), lower(?)) "
        "GROUP BY sample, lot, product ORDER BY tested DESC, sample, lot",
        [words],
        most=most,
    )
