"""The worksheet of a dispute: the rule at the top, then statistics, then quality, then the referee."""

from __future__ import annotations

from resile.records.laboratories import DisputeFound, DisputeParty
from resile.report.figures.laboratories.dispute import ANSWER_WORDS, figure_dispute
from resile.report.numbers import fixed
from resile.report.paper.laboratories.sheet import basis_section, figures, findings_section, sheet, with_unit
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.paper.statements.provenance import caution_section
from resile.report.words import CONDITION_WORDS, joined, symbol_of

_BLANK = "…………"


def dispute_page(found: DisputeFound, *, date: str, file: tuple[str, str], version: str) -> Page:
    """Give the worksheet of a dispute.

    Parameters
    ----------
    found : DisputeFound
        Worked out.
    date : str
        Date on the sheet, YYYY-MM-DD.
    file : tuple of str
        Path and SHA-256 of the case; empty for none.
    version : str
        Version of resile.

    Returns
    -------
    Page
        To be printed and signed by both sides.
    """
    dispute = found.dispute
    at = f" at {dispute.temperature_c:g} °C" if dispute.temperature_c is not None else ""
    what = f"{symbol_of(dispute.quantity)}{at}, {CONDITION_WORDS[dispute.condition]}"
    return sheet(
        "Worksheet of a dispute between two laboratories",
        subject=dispute.sample,
        date=date,
        identity=(
            ("Sample", dispute.sample),
            ("Property", what),
            ("Limit", f"{_limit(found)}{', ' + dispute.clause if dispute.clause else ''}"),
            ("Supplier", dispute.first.name),
            ("Receiver", dispute.second.name),
            ("Referee", dispute.rule.referee or (dispute.third.name if dispute.third else "not named")),
        ),
        answer=f"{statistics_answer(found)} {quality_answer(found)}",
        answer_more=("A result of this sheet binds only those who agreed on its rule.",),
        sections=(
            _rule(found),
            _determinations(found),
            _statistics(found),
            _quality(found),
            *((_referee(found),) if found.outcomes else ()),
            findings_section(found.findings),
            basis_section(
                (("Precision", found.precision_note), ("Rule", dispute.rule.source)),
                file=file,
                version=version,
            ),
            caution_section(),
        ),
        signatures=(("For the supplier", ""), ("For the receiver", ""), ("For the referee", "")),
        invented=dispute.invented,
        laboratory=f"{dispute.first.name} and {dispute.second.name}",
    )


def statistics_answer(found: DisputeFound) -> str:
    """Answer whether the laboratories agree."""
    verb = "agree" if found.agree else "do not agree"
    numbers = f"{figures(found.difference, 3)} apart, {figures(found.critical_difference, 3)} allowed"
    return f"The laboratories {verb}: {numbers}."


def quality_answer(found: DisputeFound) -> str:
    """Answer whether a failure, or a conformity, is shown, and what the rule makes of it."""
    if found.settled is None:
        return "No value is settled, so the material is neither accepted nor refused yet: the referee tests."
    words = {
        "conforms-shown": "conformity is shown",
        "not-shown": "neither failure nor conformity is shown",
        "failure-shown": "the failure is shown",
    }[found.answer]
    return (
        f"Settled value {figures(found.settled, 4)} against {_limit(found)}: {words}; by the rule the "
        "material is "
        f"{found.consequence}."
    )


def _limit(found: DisputeFound) -> str:
    dispute = found.dispute
    words = "at most" if dispute.limit_is == "at_most" else "at least"
    return f"{words} {dispute.limit:g} {dispute.unit}".rstrip()


def _rule(found: DisputeFound) -> Section:
    rule = found.dispute.rule
    return Section(
        key="rule",
        title="1. The rule, agreed first",
        paragraphs=(rule.text,),
        facts=(
            ("Name of the rule", rule.name),
            ("Agreed on", rule.agreed_on or f"{_BLANK} (before the results are opened)"),
            ("Agreed by", joined(list(rule.agreed_by)) if rule.agreed_by else _BLANK),
            ("Confidence", f"{fixed(100.0 * rule.confidence, 0)} %, one-sided"),
            (
                with_unit("Precision used: r and R", found.dispute.unit),
                f"{figures(found.repeatability_limit)} and {figures(found.reproducibility_limit)}; "
                f"{found.precision_note}",
            ),
        ),
    )


def _determinations(found: DisputeFound) -> Section:
    dispute = found.dispute
    rows = [
        _party_row(dispute.first, "supplier", found.first_range_limit, found.first_within),
        _party_row(dispute.second, "receiver", found.second_range_limit, found.second_within),
    ]
    if dispute.third is not None:
        rows.append(_party_row(dispute.third, "referee", None, None))
    else:
        rows.append((dispute.rule.referee or "referee", "referee", _BLANK, _BLANK, _BLANK, "–", ""))
    return Section(
        key="determinations",
        title="2. Every determination",
        tables=(
            Table(
                caption=with_unit("Determinations; none is left out", dispute.unit),
                columns=(
                    Column("Laboratory"),
                    Column("For"),
                    Column("Tested"),
                    Column("Determinations"),
                    Column("Mean", RIGHT),
                    Column("Range, allowed", RIGHT),
                    Column("Within"),
                ),
                rows=tuple(rows),
            ),
        ),
    )


def _party_row(party: DisputeParty, role: str, limit: float | None, within: bool | None) -> tuple[str, ...]:
    spread = max(party.values) - min(party.values)
    return (
        party.name,
        role,
        party.tested or "–",
        "  ".join(f"{value:g}" for value in party.values),
        figures(sum(party.values) / len(party.values)),
        f"{figures(spread, 3)}, {figures(limit, 3)}" if limit is not None else "–",
        "" if within is None else ("yes" if within else "no"),
    )


def _statistics(found: DisputeFound) -> Section:
    unit = found.dispute.unit
    return Section(
        key="statistics",
        title="3. The question of statistics: do the laboratories agree?",
        paragraphs=(
            statistics_answer(found)
            + " This says whether the two tests measured the same thing. It says nothing about the material.",
        ),
        facts=(
            (with_unit("Difference of the two means", unit), figures(found.difference)),
            (
                with_unit("Difference allowed", unit),
                f"{figures(found.critical_difference)} = √(R² − r² (1 − 1/2k₁ − 1/2k₂)), k₁ = "
                f"{len(found.dispute.first.values)}, k₂ = {len(found.dispute.second.values)}",
            ),
        ),
    )


def _quality(found: DisputeFound) -> Section:
    unit = found.dispute.unit
    rows = tuple((_stretch(zone.lowest, zone.highest), ANSWER_WORDS[zone.answer]) for zone in found.zones)
    return Section(
        key="quality",
        title="4. The question of quality: does the material meet the limit?",
        paragraphs=(quality_answer(found),),
        facts=(
            ("Settled value is", found.settled_by),
            (with_unit("Distance from the limit that shows it", unit), figures(found.proof)),
        ),
        pictures=(
            Picture(
                "dispute",
                figure_dispute(found),
                "Circles are determinations, bars their means, the dashed line the limit. Shades of "
                "the settled value "
                "show what would be shown; shades of the referee's result show what it would settle, "
                "numbered as in "
                "the table.",
            ),
        ),
        tables=(
            Table(
                caption="What a settled value shows",
                columns=(Column(with_unit("Settled value", unit)), Column("Answer")),
                rows=rows,
            ),
        ),
    )


def _referee(found: DisputeFound) -> Section:
    unit = found.dispute.unit
    third = found.dispute.third
    assumed = (
        f"{len(third.values)} determinations were made."
        if third is not None
        else "Worked out for as many determinations of the referee as the laboratory with the fewest has: "
        f"{min(len(found.dispute.first.values), len(found.dispute.second.values))}."
    )
    return Section(
        key="referee",
        title="5. What the referee would settle",
        paragraphs=(assumed,),
        tables=(
            Table(
                caption="Every result of the referee, and what follows",
                columns=(
                    Column("No."),
                    Column(with_unit("Result of the referee", unit)),
                    Column("Settled value"),
                    Column("Shown"),
                    Column("The material is"),
                ),
                rows=tuple(
                    (
                        str(place),
                        _stretch(one.lowest, one.highest),
                        one.settled_by,
                        ANSWER_WORDS[one.answer],
                        one.consequence,
                    )
                    for place, one in enumerate(found.outcomes, 1)
                ),
            ),
        ),
    )


def _stretch(lowest: float | None, highest: float | None) -> str:
    if lowest is None or highest is None:
        return f"up to {figures(highest)}" if lowest is None else f"above {figures(lowest)}"
    return f"{figures(lowest)} to {figures(highest)}"
