"""The page that says what would change under another edition or decision rule, for a client to read."""

from __future__ import annotations

from resile.records.rejudging import JudgedBy, Rejudging
from resile.report.figures.archive.standings import figure_standings
from resile.report.numbers import fixed
from resile.report.paper.archive.rejudging_tables import (
    changes_table,
    crosswise_table,
    lines_table,
    reasons_table,
    whole_section,
    years_tables,
)
from resile.report.paper.models.model import Page, Picture, Section
from resile.report.paper.statements.provenance import caution_section

_CAPTION = (
    "Samples by class before (left) and after (right), the most severe class on top. The width of a band "
    "is the number of "
    "samples; bands that fall or rise carry their sign and number."
)
_NOT_KNOWN = (
    "Ageing records of the archive count: an invalid one keeps the results on its residue out, and where the "
    "hours or the temperature are not those of the grade, or nobody says them, the lines stay untested. A "
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
        sections.append(whole_section(found))
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
    facts.append(("Determinations that count", found.after.retest_text))
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


def _many(count: int, word: str) -> str:
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def _share(count: int, of: int) -> str:
    return f"{fixed(100.0 * count / of, 1)} %"
