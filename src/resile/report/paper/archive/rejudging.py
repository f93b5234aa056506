"""The page that says what would change under another edition or decision rule, for a client to read."""

from __future__ import annotations

from collections.abc import Callable

from resile.records.rejudging import JudgedBy, LineChange, Rejudging, SampleChange, YearCount
from resile.report.figures.archive.standings import figure_standings, flows_of, kind_of, order_of
from resile.report.numbers import fixed, shown_probability, three_figures
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.paper.statements.provenance import caution_section

ON_PAPER = 200
_CAPTION = (
    "Samples by class before (left) and after (right), the most severe class on top. The width of a band "
    "is the number of "
    "samples; bands that fall or rise carry their sign and number."
)
_NOT_KNOWN = (
    "An archive holds no record of long-term ageing: a line that belongs to stated hours of it stays "
    "untested here, and a "
    "difference of critical temperatures is not worked out anew."
)


def rejudging_sentence(found: Rejudging) -> str:
    """Give the answer in one sentence.

    Parameters
    ----------
    found : Rejudging
        As judged.

    Returns
    -------
    str
        How many turn lower and higher, of how many.
    """
    words = f"{side_words(found.after)} in place of {side_words(found.before)}"
    if not found.judged:
        return f"Nothing in the archive can be judged by {words}."
    judged = f"{_many(found.judged, 'sample')} at a tested temperature"
    if not found.changed:
        return f"By {words}, none of {judged} would stand otherwise."
    return (
        f"By {words}, {found.worse:,} of {judged} would stand lower "
        f"({_share(found.worse, found.judged)}) and "
        f"{found.better:,} higher ({_share(found.better, found.judged)})."
    )


def rejudging_doubt(found: Rejudging) -> str:
    """Say how sure the changes are."""
    if not found.changed:
        return ""
    return (
        f"Of the {found.changed:,} that change, {found.within_uncertainty:,} lie nearer to the limit "
        "that decides than two "
        f"standard uncertainties ({found.after.basis}): a second test might decide them otherwise. "
        f"{found.lots_worse:,} of {_many(found.lots, 'lot')} hold a sample that turns lower, "
        f"{found.lots_better:,} one "
        "that turns higher."
    )


def side_words(side: JudgedBy) -> str:
    """Name one way of judging."""
    return f"{side.document} ({side.edition}), {side.decision_rule} rule"


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


def rejudging_page(found: Rejudging, *, date: str, package_version: str = "") -> Page:
    """Give the page of an archive judged anew.

    Parameters
    ----------
    found : Rejudging
        As judged.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    picture = Picture("standings", figure_standings(found), _CAPTION)
    sections = [
        Section(
            key="change",
            title="What changes",
            notice=unchecked_notice(found),
            pictures=(picture,),
            tables=(crosswise_table(found),),
        )
    ]
    if found.reasons:
        sections.append(Section(key="reasons", title="Why", tables=(reasons_table(found),)))
    if lines_table(found).rows:
        sections.append(Section(key="lines", title="Line by line", tables=(lines_table(found),)))
    sections.append(Section(key="years", title="When and which product", tables=years_tables(found)))
    if found.changes:
        sections.append(
            Section(
                key="samples",
                title="Samples that stand otherwise",
                paragraphs=("≈ marks a value nearer to the limit than two standard uncertainties.",),
                tables=(changes_table(found),),
            )
        )
    if found.whole_grades:
        sections.append(_whole_section(found))
    return Page(
        title="What would change under another specification",
        number=found.after.specification,
        date=date,
        sample=found.archive,
        laboratory="",
        banner="",
        identity=(
            ("Before", side_words(found.before)),
            ("After", side_words(found.after)),
            ("Asked for", asked_words(found)),
            ("Date", date),
        ),
        answer=rejudging_sentence(found),
        answer_more=tuple(words for words in (rejudging_doubt(found),) if words),
        sections=(
            *sections,
            Section(
                key="basis",
                title="What this rests on",
                facts=(*basis_facts(found), ("Made with", f"resile {package_version}".strip())),
                closing=(_NOT_KNOWN,),
            ),
            caution_section(),
        ),
        signatures=(),
    )


def asked_words(found: Rejudging) -> str:
    """Say which part of the archive was judged."""
    parts = [words for words in (found.product, found.lot and f"lot {found.lot}") if words]
    if found.since or found.until:
        parts.append(f"tested {found.since or 'from the beginning'} to {found.until or 'the end'}")
    return ", ".join(parts) or "the whole archive"


def basis_facts(found: Rejudging) -> tuple[tuple[str, str], ...]:
    """Say what was judged, and by what."""
    facts = [
        ("Archive", found.archive),
        (
            "Judged",
            f"{_many(found.samples, 'sample')}, {found.results:,} results of {found.determinations:,} "
            "determinations",
        ),
    ]
    for name, side in (("Before", found.before), ("After", found.after)):
        facts += [
            (name, f"{side.title} ({side.specification})"),
            (f"{name}, SHA-256 of the limits", side.sha256),
            (f"{name}, rule", side.rule_text),
            (f"{name}, uncertainty", side.basis),
        ]
    return tuple(facts)


def unchecked_notice(found: Rejudging) -> str:
    """Say which limits nobody has compared with their document."""
    open_ = [side.specification for side in (found.before, found.after) if not side.checked]
    named = " and ".join(dict.fromkeys(open_))
    return f"The limits of {named} were not compared with the document by a second person." if named else ""


def _whole_section(found: Rejudging) -> Section:
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


def _many(count: int, word: str) -> str:
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def _share(count: int, of: int) -> str:
    return f"{fixed(100.0 * count / of, 1)} %"
