"""The tables of an archive judged anew: classes crosswise, reasons, lines, years, samples, whole grades."""

from __future__ import annotations

from collections.abc import Callable

from resile.records.rejudging import LineChange, Rejudging, SampleChange, YearCount
from resile.report.figures.archive.standings import flows_of, kind_of, order_of
from resile.report.numbers import shown_probability, three_figures
from resile.report.paper.models.model import RIGHT, Column, Section, Table

ON_PAPER = 200


def crosswise_table(found: Rejudging) -> Table:
    """Tabulate classes before against classes after.

    Parameters
    ----------
    found : Rejudging
        As judged.

    Returns
    -------
    Table
        Rows before, columns after, the most severe first.
    """
    flows = flows_of(found)
    rows_of = [name for name in order_of(found.before) if any(b == name for b, _ in flows)]
    columns_of = [name for name in order_of(found.after) if any(a == name for _, a in flows)]
    rows = []
    for before in rows_of:
        cells = [flows.get((before, after), 0) for after in columns_of]
        rows.append((before, *(f"{one:,}" if one else "·" for one in cells), f"{sum(cells):,}"))
    sums = [sum(n for (_, a), n in flows.items() if a == name) for name in columns_of]
    rows.append(("all", *(f"{one:,}" for one in sums), f"{sum(sums):,}"))
    return Table(
        f"Samples by class: rows by {found.before.specification}, columns by {found.after.specification}",
        (Column("Before \\ after"), *(Column(name, RIGHT) for name in columns_of), Column("all", RIGHT)),
        tuple(rows),
        note="Not settled: nothing fails, but no class is shown (untested, or too near to a limit).",
        strong=(len(rows) - 1,),
    )


def reasons_table(found: Rejudging) -> Table:
    """Tabulate what decides the changes."""
    return Table(
        "What decides the changes",
        (
            Column("Stands", share=0.8),
            Column("Line", share=2.6),
            Column("Why", share=3.2),
            Column("Samples", RIGHT),
            Column("Within the uncertainty", RIGHT, 1.2),
        ),
        tuple(
            (
                _lower_or_higher(one.direction),
                one.title or "–",
                one.reason,
                f"{one.count:,}",
                f"{one.within_uncertainty:,}",
            )
            for one in found.reasons
        ),
    )


def lines_table(found: Rejudging) -> Table:
    """Tabulate the lines whose outcomes move; classes for which all numbers are the same share a row."""
    joined: dict[tuple[str, ...], list[str]] = {}
    for one in found.lines:
        if one.passes_to_fails or one.fails_to_passes or one.to_conditional:
            joined.setdefault(_line_row(one), []).append(one.service_class or "all")
    return Table(
        "Lines whose outcomes move",
        (
            Column("Class", share=1.0),
            Column("Line", share=2.8),
            Column("Limit before", RIGHT),
            Column("Limit after", RIGHT),
            Column("Compared", RIGHT),
            Column("Now fail", RIGHT),
            Column("Now pass", RIGHT),
            Column("Conditional", RIGHT, 1.2),
        ),
        tuple((", ".join(classes), *row) for row, classes in joined.items()),
        note="Conditional: the outcome turns into, or out of, a conditional one without changing sides.",
    )


def _line_row(one: LineChange) -> tuple[str, ...]:
    return (
        f"{one.title}{f' ({one.unit})' if one.unit else ''}",
        _limit(one.limit_before),
        _limit(one.limit_after),
        f"{one.compared:,}",
        f"{one.passes_to_fails:,}",
        f"{one.fails_to_passes:,}",
        f"{one.to_conditional:,}",
    )


def _limit(limit: float | None) -> str:
    return "none" if limit is None else f"{limit:g}"


def years_tables(found: Rejudging) -> tuple[Table, ...]:
    """Tabulate what changes by year, and by product."""
    return (
        _summed("By year", "Year", {one.year for one in found.years}, lambda one: one.year, found),
        _summed(
            "By product", "Product", {one.product for one in found.years}, lambda one: one.product, found
        ),
    )


def _summed(
    caption: str, head: str, names: set[str], name_of: Callable[[YearCount], str], found: Rejudging
) -> Table:
    rows = []
    for name in sorted(names):
        own = [one for one in found.years if name_of(one) == name]
        sums = (
            sum(getattr(one, field) for one in own)
            for field in ("judged", "stand_before", "stand_after", "worse", "better")
        )
        rows.append((name or "not known", *(f"{number:,}" for number in sums)))
    heads = ("Judged", "With a class before", "after", "Lower", "Higher")
    return Table(caption, (Column(head, share=1.6), *(Column(name, RIGHT) for name in heads)), tuple(rows))


def changes_table(found: Rejudging, *, most: int = ON_PAPER) -> Table:
    """Tabulate samples that change.

    Parameters
    ----------
    found : Rejudging
        As judged.
    most : int
        Rows; what is left out is told.

    Returns
    -------
    Table
        Those that turn lower first.
    """
    shown = found.changes[:most]
    left = found.changed - len(shown)
    return Table(
        "Samples that stand otherwise",
        (
            Column("Sample", share=1.3),
            Column("Lot"),
            Column("Tested"),
            Column("Before"),
            Column("After"),
            Column("Line that decides", share=2.2),
            Column("Value", RIGHT),
            Column("Limits", RIGHT, 1.2),
            Column("P before", RIGHT),
            Column("P after", RIGHT),
        ),
        tuple(_change_row(one) for one in shown),
        note=(f"{left:,} more are left out here. " if left else "")
        + "P: probability that the true value satisfies the limit.",
        dense=True,
    )


def _change_row(one: SampleChange) -> tuple[str, ...]:
    limits = [_limit(one.limit_before), _limit(one.limit_after)]
    value = "–" if one.value is None else f"{three_figures(one.value)} {one.unit}".rstrip()
    near = " ≈" if one.within_uncertainty else ""
    return (
        one.sample,
        one.lot or "–",
        one.tested[:10] or "–",
        one.before,
        one.after,
        one.title or one.reason,
        f"{value}{near}",
        " → ".join(dict.fromkeys(limits)),
        shown_probability(one.probability_before),
        shown_probability(one.probability_after),
    )


def whole_section(found: Rejudging) -> Section:
    """Give the whole grades that stand otherwise."""
    same = found.before.classes == found.after.classes
    orders = (order_of(found.before), order_of(found.after)) if same else ([], [])
    moved = [
        one
        for one in found.whole_grades
        if one.before != one.after and _kind(one.class_before, one.class_after, orders) != "same"
    ]
    shown = sorted(moved, key=lambda one: -one.count)[:40]
    total = sum(one.count for one in found.whole_grades)
    return Section(
        key="whole",
        title="Whole grades",
        paragraphs=(f"{total:,} pairs of a high and a low temperature were tested.",),
        tables=(
            Table(
                "Whole grades that stand otherwise",
                (Column("Before"), Column("After"), Column("Samples", RIGHT)),
                tuple((one.before, one.after, f"{one.count:,}") for one in shown),
                note=f"{len(moved) - len(shown)} more changes are left out."
                if len(moved) > len(shown)
                else "",
            ),
        )
        if shown
        else (),
        closing=() if shown else ("None of them stands otherwise.",),
    )


def _kind(before: str, after: str, orders: tuple[list[str], list[str]]) -> str:
    return kind_of((before, after), orders) if orders[0] else "other"


def _lower_or_higher(direction: str) -> str:
    return {"worse": "▼ lower", "better": "▲ higher"}.get(direction, direction)
