"""The page of a season: recipes to keep, labels each tank satisfies, cost, prices at which additives pay."""

from __future__ import annotations

from resile.records.blending.book import BlendBook
from resile.records.blending.portfolio import LabelOfTank, Portfolio
from resile.report.blend_words import ALWAYS_TEST, portfolio_answer
from resile.report.numbers import fixed, shown_probability
from resile.report.paper.assemble import BANNER
from resile.report.paper.blends.blend_tables import margin_words
from resile.report.paper.blends.tank_tables import numbers_of_recipes_table, paying_table, tanks_table
from resile.report.paper.models.model import RIGHT, Column, Page, Section, Table, finding_entry
from resile.report.paper.statements.provenance import caution_section
from resile.report.words import heaviest_first


def portfolio_page(portfolio: Portfolio, book: BlendBook, *, date: str, package_version: str = "") -> Page:
    """Give the page of a plan of tanks.

    Parameters
    ----------
    portfolio : Portfolio
        As planned.
    book : BlendBook
        It was planned from.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    doubts = heaviest_first(portfolio.findings)
    tonnes = sum(tank.amount_t for tank in portfolio.tanks)
    sections = (
        Section(key="tanks", title="Recipes to keep", tables=(tanks_table(portfolio),)),
        Section(key="labels", title="Which grades each tank satisfies", tables=(labels_table(portfolio),)),
        Section(
            key="cost",
            title="What fewer recipes cost",
            tables=(numbers_of_recipes_table(portfolio),),
            closing=(_proven_words(portfolio),),
        ),
        *(
            (
                Section(
                    key="paying",
                    title="At which price an additive pays",
                    tables=(paying_table(portfolio),),
                ),
            )
            if portfolio.paying_prices
            else ()
        ),
        Section(key="findings", title="Findings", findings=tuple(finding_entry(one) for one in doubts)),
        _basis(portfolio, book, package_version),
        caution_section(),
    )
    return Page(
        title="Recipes for a season",
        number=portfolio.title,
        date=date,
        sample=portfolio.title,
        laboratory="",
        banner=BANNER if book.invented else "",
        identity=(
            ("Blend book", portfolio.title),
            ("Date", date),
            ("Probability asked for", shown_probability(portfolio.probability)),
            ("Tonnes served", f"{fixed(tonnes, 0)} t"),
            ("Tank changes", str(portfolio.tank_changes)),
        ),
        answer=portfolio_answer(portfolio),
        answer_more=(ALWAYS_TEST,),
        sections=sections,
        signatures=(),
    )


def labels_table(portfolio: Portfolio) -> Table:
    """Give every grade of the demand against every tank, with margin and what limits it."""
    rows = tuple(
        (f"{number}" if place == 0 else "", *_label_row(label))
        for number, tank in enumerate(portfolio.tanks, 1)
        for place, label in enumerate(tank.labels)
    )
    columns = (
        Column("Tank", share=0.5),
        Column("Grade", share=1.3),
        Column("Satisfied", share=0.9),
        Column("Kept with", RIGHT, 0.9),
        Column("Margin (s)", RIGHT, 0.9),
        Column("Tightest limit", share=3.0),
        Column("Not tested", share=1.8),
    )
    note = (
        "Satisfied: all limits that trials tell of are kept with the probability asked for. Margin: smallest "
        "distance of an expected value to a limit, in standard deviations of a batch."
    )
    return Table("Grades of each tank", columns, rows, note)


def _label_row(label: LabelOfTank) -> tuple[str, ...]:
    return (
        label.grade,
        "yes" if label.qualifies else "no",
        shown_probability(label.probability),
        margin_words(label.margin_standards),
        label.limiting,
        "; ".join(label.untested) or "–",
    )


def _proven_words(portfolio: Portfolio) -> str:
    return (
        "The cheapest plan of these recipes, proven."
        if portfolio.proven
        else "The best plan found of these recipes; that it is the cheapest is not proven."
    )


def _basis(portfolio: Portfolio, book: BlendBook, version: str) -> Section:
    facts = [(source.path.replace("\\", "/").rpartition("/")[2], source.sha256) for source in book.sources]
    facts += [("Seed of every draw", str(portfolio.seed)), ("Made with", f"resile {version}".strip())]
    return Section(key="basis", title="What this rests on", facts=tuple(facts))
