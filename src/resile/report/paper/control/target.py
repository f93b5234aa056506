"""The page of a target: where to aim, what becomes of the loads, what margin costs, what moves it."""

from __future__ import annotations

from collections.abc import Callable

from resile.records.control.target import CostOfMargin, TargetStatement
from resile.report.figures.control.scales import limit_words, property_words
from resile.report.figures.control.target import figure_target
from resile.report.numbers import NOT_KNOWN, fixed, shown, shown_probability
from resile.report.paper.control.common import (
    NOT_A_VERDICT,
    basis_section,
    findings_section,
    identity_of,
    scale_words,
    scatter_words,
    with_unit,
)
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table

AIM_WORDS = {
    "conforms": "truly conform",
    "passes": "pass their test",
    "both": "truly conform and pass their test",
}


def target_page(statement: TargetStatement, *, date: str, package_version: str = "") -> Page:
    """Give the page of a target.

    Parameters
    ----------
    statement : TargetStatement
        As worked out.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For terminal, web page and paper.
    """
    watched = statement.watched
    caption = "Shares of loads by the mean that is aimed at"
    caption += ", and cost a tonne." if statement.prices is not None else "."
    sections = [
        Section(
            key="picture",
            title="Loads and costs",
            pictures=(Picture("target", figure_target(statement), caption),),
        ),
        Section(key="targets", title="Target by what is wanted", tables=(_aims_table(statement),)),
        Section(key="risks", title="Risks at the target", tables=(risks_table(statement),)),
    ]
    if statement.cost is not None:
        sections.append(Section(key="cost", title="What margin costs", tables=(costs_table(statement),)))
    sections += [
        Section(key="sensitivity", title="What moves the target", tables=(_sensitivity_table(statement),)),
        findings_section(statement.findings),
        basis_section(_basis(statement), package_version),
    ]
    rule = statement.decision_rule or "simple"
    return Page(
        title="Target to aim at",
        number=watched.product,
        date=date,
        sample=watched.product,
        laboratory="",
        banner="",
        identity=identity_of(
            watched,
            date,
            ("Scatter of the plant", scatter_words(statement.plant_deviation, watched)),
            ("Scatter of the test", scatter_words(statement.test_standard, watched)),
            ("Decision rule", f"{rule}: accepted {_accepted(statement)}"),
        ),
        answer=target_answer(statement),
        answer_more=(NOT_A_VERDICT,),
        sections=tuple(sections),
        signatures=(),
    )


def target_answer(statement: TargetStatement) -> str:
    """Give the answer in a sentence."""
    watched = statement.watched
    words = (
        f"Aim at {with_unit(statement.target, watched)} for {property_words(watched)}, limit "
        f"{limit_words(watched)}, "
        f"so that {100 * statement.share:g} % of loads {AIM_WORDS[statement.aim]}."
    )
    if statement.cheapest is not None:
        back = _unscaled(statement, statement.cheapest.mean)
        words += f" By the prices given, {with_unit(back, watched)} costs least."
    return words


def risks_table(statement: TargetStatement) -> Table:
    """Give what becomes of loads at the target, and at the mean of least cost."""
    places = [("At the target", statement.outcomes)]
    if statement.cheapest is not None:
        places.append(("At least cost", statement.cheapest.outcomes))
    lines = (
        ("Loads that conform", "conforms"),
        ("Loads that pass their test", "passes"),
        ("Loads that do both", "both"),
        ("Producer's risk: of the loads that conform, those that fail", "producers_risk"),
        ("Customer's risk: of the loads that pass, those that do not conform", "customers_risk"),
    )
    rows = tuple(
        (words, *(shown_probability(getattr(outcomes, field)) for _, outcomes in places))
        for words, field in lines
    )
    columns = (Column("", share=3.0), *(Column(words, RIGHT, 1.0) for words, _ in places))
    return Table("What becomes of loads", columns, rows)


def costs_table(statement: TargetStatement) -> Table:
    """Give costs at the target and at the mean of least cost."""
    assert statement.cost is not None
    places = [("At the target", statement.cost)]
    if statement.cheapest is not None:
        places.append(("At least cost", statement.cheapest))
    lines: list[tuple[str, Callable[[CostOfMargin], str]]] = [
        ("Mean", lambda one: shown(_unscaled(statement, one.mean), statement.watched.quantity)),
        ("Margin given away", lambda one: fixed(one.given_away, 2)),
        ("Loads that fail", lambda one: fixed(one.failures, 2)),
        ("Claims", lambda one: fixed(one.claims, 2)),
        ("Together", lambda one: fixed(one.total, 2)),
    ]
    if statement.cost.additive_percent is not None:
        lines += [
            ("Additive for the margin (% of the binder)", lambda one: fixed(one.additive_percent, 3)),
            (
                "Additive for the margin (kg a tonne)",
                lambda one: fixed(10.0 * (one.additive_percent or 0.0), 2),
            ),
        ]
    rows = tuple((words, *(show(cost) for _, cost in places)) for words, show in lines)
    columns = (Column("A tonne of product", share=2.4), *(Column(words, RIGHT, 1.0) for words, _ in places))
    note = (
        "In the currency of the prices given. Margin counts from the limit: a mean at the limit gives "
        "nothing away."
    )
    return Table("Cost of margin", columns, rows, note)


def _aims_table(statement: TargetStatement) -> Table:
    rows = tuple(
        (f"{100 * statement.share:g} % of loads {AIM_WORDS[aim]}", with_unit(target, statement.watched))
        for aim, target in statement.by_aim
    )
    strong = tuple(at for at, (aim, _) in enumerate(statement.by_aim) if aim == statement.aim)
    return Table("Targets", (Column("Wanted", share=3.0), Column("Aim at", RIGHT, 1.0)), rows, strong=strong)


def _sensitivity_table(statement: TargetStatement) -> Table:
    priced = statement.prices is not None
    rows = tuple(
        (
            one.changed,
            with_unit(one.target, statement.watched),
            *(
                (NOT_KNOWN if one.cheapest is None else shown(one.cheapest, statement.watched.quantity),)
                if priced
                else ()
            ),
        )
        for one in statement.sensitivity
    )
    columns = (
        Column("With", share=2.4),
        Column("Aim at", RIGHT, 1.0),
        *((Column("Costs least", RIGHT, 1.0),) if priced else ()),
    )
    return Table("One thing different at a time", columns, rows, strong=(0,))


def _accepted(statement: TargetStatement) -> str:
    side = "up to" if statement.watched.limit_is == "at_most" else "from"
    return f"{side} {with_unit(statement.acceptance_limit, statement.watched)}"


def _unscaled(statement: TargetStatement, mean: float) -> float:
    return float(10.0**mean) if statement.watched.scale == "log" else mean


def _basis(statement: TargetStatement) -> tuple[str, ...]:
    return (
        scale_words(statement.watched),
        "True values of loads and errors of the test are independent and normal on that scale; a load "
        "passes where "
        "its result lies within the acceptance limit. Joint shares by the bivariate normal "
        "distribution, without "
        "random numbers.",
        "Where the test is repeated before a load is failed, or the laboratory is off by a constant "
        "amount, risks "
        "differ.",
    )
