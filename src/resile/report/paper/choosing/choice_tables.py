"""The tables of a choice: sites, binders for each grade, labels, next tests, products, what if."""

from __future__ import annotations

from resile.records.choice import Choice, GradeOffers
from resile.report.choice_words import (
    STANDING_EXPLAINED,
    STANDING_MARKS,
    limit_words,
    money,
    place_words,
    property_words,
    shown_chance,
    why_not,
)
from resile.report.numbers import fixed
from resile.report.paper.models.model import RIGHT, Column, Table

MOST_SITES = 60
"""More sites than this stand in the workbook, the CSV and the GeoJSON; the page shows the first."""


def sites_table(choice: Choice) -> Table:
    """Give every site with the grade it needs and the cheapest binder that serves it."""
    offers = {grade.grade: grade for grade in choice.grades}
    rows = []
    for place, (site, name) in enumerate(zip(choice.sites, choice.chosen, strict=True)):
        if place == MOST_SITES:
            break
        grade = offers.get(site.grade)
        first = grade.serving[0] if grade and grade.serving else None
        cost = first.price_per_tonne * site.amount_t if first and first.price_per_tonne is not None else None
        rows.append(
            (
                site.name,
                site.grade or "none reaches",
                name or "nobody",
                first.under if first else "–",
                shown_chance(first.counted_probability) if first else "–",
                fixed(site.amount_t, 0),
                money(cost, "") if first else "–",
            )
        )
    more = len(choice.sites) - len(rows)
    return Table(
        caption="What each site needs, and the cheapest binder that serves it",
        columns=(
            Column("Site"),
            Column("Needs"),
            Column("Binder"),
            Column("Sold as"),
            Column("Sure", RIGHT),
            Column("Tonnes", RIGHT),
            Column(f"Cost ({choice.currency})" if choice.currency else "Cost", RIGHT),
        ),
        rows=tuple(rows),
        note=(
            "'Sure': tested, where the laboratory measured all of it; else the probability that the tests "
            "not yet made would pass."
            + (f" {more} more sites stand in the workbook and the CSV." if more else "")
        ),
    )


def binders_table(choice: Choice, grade: GradeOffers) -> Table:
    """Give all binders for one grade: those that serve, cheapest first, then the others with the reason."""
    rows = []
    for rank, offer in enumerate(grade.offers, 1):
        if offer.serves:
            governing = [one for one in (offer.governs_high, offer.governs_low) if one is not None]
            why = "; ".join(property_words(one) for one in governing)
        else:
            why = why_not(offer, choice.required_probability)
        rows.append(
            (
                str(rank) if offer.serves else "–",
                offer.binder,
                money(offer.price_per_tonne, ""),
                f"{STANDING_MARKS[offer.standing]} {offer.standing}",
                shown_chance(offer.counted_probability) if offer.serves else "no",
                why,
            )
        )
    several = f"{grade.sites} site{'s' if grade.sites != 1 else ''}"
    return Table(
        caption=f"{grade.grade}, needed by {several}",
        columns=(
            Column("Rank"),
            Column("Binder"),
            Column("Price per t", RIGHT),
            Column("Standing"),
            Column("Serves", RIGHT),
            Column("What decides at the hot and the cold end, or why not", share=3.0),
        ),
        rows=tuple(rows),
    )


def labels_table(choice: Choice) -> Table:
    """Give all labels that each binder carries, with what is nearest to its limit."""
    rows = [
        (
            one.binder,
            one.grade.label,
            f"{STANDING_MARKS[one.standing]} {one.standing}",
            shown_chance(one.probability),
            *(property_words(weak) if (weak := one.weakest(end)) else "–" for end in ("high", "low")),
        )
        for row in choice.labels
        for one in row
    ]
    return Table(
        caption="Every label a tank can carry",
        columns=(
            Column("Binder"),
            Column("Label"),
            Column("Standing"),
            Column("True value holds", RIGHT),
            Column("Nearest to its limit, hot end", share=2.0),
            Column("cold end", share=2.0),
        ),
        rows=tuple(rows),
        note="A label that another one of the same binder covers is left out. 'True value holds' takes the "
        "uncertainty of every result into account.",
    )


def next_tests_table(choice: Choice) -> Table:
    """Give the tests that are worth most."""
    return Table(
        caption="Tests that could change the choice, most valuable first",
        columns=(
            Column("Test"),
            Column("Binder"),
            Column("Needed"),
            Column("Would pass", RIGHT),
            Column("Sites won", RIGHT),
            Column(f"Saving expected ({choice.currency})" if choice.currency else "Saving expected", RIGHT),
        ),
        rows=tuple(
            (
                place_words(one),
                one.binder,
                limit_words(one),
                "even odds" if one.probability is None else shown_chance(one.probability),
                fixed(one.expected_sites, 2),
                money(one.expected_saving, ""),
            )
            for one in choice.next_tests
        ),
        note="Sites won and saving are those of each outcome times its probability. One test at a time; a "
        "result against the binder costs nothing here, as the site keeps what it has.",
    )


def plans_table(choice: Choice) -> Table:
    """Give the cheapest set at every number of products."""
    least = choice.plans[-1].cost if choice.plans else 0.0
    return Table(
        caption="How few products would do",
        columns=(
            Column("Products", RIGHT),
            Column("Which", share=2.0),
            Column("Sites each serves"),
            Column("More than the cheapest", RIGHT),
            Column("Proven"),
        ),
        rows=tuple(
            (
                str(len(one.binders)),
                ", ".join(one.binders),
                ", ".join(str(sites) for _, sites, _ in one.sites_of),
                money(one.cost - least, "", signed=one.cost > least),
                "least possible" if one.proven else f"within {100.0 * one.gap:.2g} %, time ran out",
            )
            for one in choice.plans
        ),
        note="For the sites that can be served. Found by mixed-integer programming; stocks are not shared "
        "out.",
    )


def suppositions_table(choice: Choice) -> Table:
    """Give what would become of the choice."""
    return Table(
        caption="What if",
        columns=(
            Column("Were this different"),
            Column("Sites served", RIGHT),
            Column("Sites that change binder", RIGHT),
            Column(f"Cost ({choice.currency})" if choice.currency else "Cost", RIGHT),
        ),
        rows=tuple(
            (
                one.change,
                f"{one.served} of {len(choice.sites)}",
                str(one.switched),
                money(one.cost_change, "", signed=True) if one.cost_change else "the same",
            )
            for one in choice.suppositions
        ),
        note="Cost: change for the sites that are served both now and then.",
    )


def standings_key() -> str:
    """Give the marks of the standings with their meaning, in a sentence."""
    told = "; ".join(
        f"{STANDING_MARKS[standing]} {standing}: {words}" for standing, words in STANDING_EXPLAINED.items()
    )
    return f"{told}."
