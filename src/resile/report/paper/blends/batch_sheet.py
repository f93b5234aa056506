"""The batch sheet: what to weigh, what to test before release, what can hurt; to be filled in by hand."""

from __future__ import annotations

from resile.records.blending.book import BlendBook
from resile.records.blending.recipe import Recipe
from resile.report.blend_words import limit_with_unit, percent_words
from resile.report.numbers import fixed, shown_probability
from resile.report.paper.assemble import BANNER
from resile.report.paper.models.model import RIGHT, Column, Page, Section, Table

BLANK = "____________"
SHORT_BLANK = "_______"
SEQUENCE = (
    "Order of addition, temperatures and times: by the plant's own procedure. Handle every component "
    "within its own "
    "limit and below that of the blend."
)


def batch_sheet(book: BlendBook, recipe: Recipe, *, grade: str, date: str) -> Page:
    """Give the sheet for one batch, on one page.

    Parameters
    ----------
    book : BlendBook
        Tank, components.
    recipe : Recipe
        With its batch.
    grade : str
        Whole grade that is aimed at; may be empty.
    date : str
        Date of printing, YYYY-MM-DD.

    Returns
    -------
    Page
        With blanks for masses weighed, results and initials.
    """
    total = sum(line.mass_kg for line in recipe.batch)
    expected = shown_probability(recipe.batch_probability)
    return Page(
        title="Batch sheet",
        number=book.title,
        date=date,
        sample=book.title,
        laboratory="",
        banner=BANNER if book.invented else "",
        identity=(
            ("Batch number", BLANK),
            ("Tank", BLANK),
            ("For", grade or "own limits"),
            ("Mass", f"{fixed(total, 0)} kg"),
            ("Printed", date),
            ("Blended on, by", BLANK),
        ),
        answer=f"{fixed(total, 0)} kg: {percent_words(recipe.percent)}.",
        answer_more=(
            f"Expected to keep every limit that trials tell of with {expected}. Not released before it is "
            "tested.",
        ),
        sections=(
            Section(key="masses", title="Weigh", tables=(_masses(book, recipe),), closing=(SEQUENCE,)),
            Section(key="release", title="Test before release", tables=(_tests(recipe),)),
            Section(key="handling", title="Take care", bullets=_cautions(recipe)),
        ),
        signatures=(),
    )


def _masses(book: BlendBook, recipe: Recipe) -> Table:
    limits = {one.name: one.highest_handling_c for one in book.components}
    rows = []
    running = 0.0
    for line in recipe.batch:
        if line.mass_kg <= 0.0:
            continue
        running += line.mass_kg
        hottest = limits.get(line.component)
        rows.append(
            (
                line.component,
                "" if hottest is None else f"{hottest:g} °C",
                fixed(line.percent, 2),
                fixed(line.mass_kg, 0 if float(line.mass_kg).is_integer() else 1),
                fixed(running, 0 if running.is_integer() else 1),
                BLANK,
                SHORT_BLANK,
            )
        )
    columns = (
        Column("Component", share=2.2),
        Column("Not above", RIGHT, 0.8),
        Column("Share (%)", RIGHT, 0.9),
        Column("Dose (kg)", RIGHT, 0.9),
        Column("In the tank (kg)", RIGHT, 1.1),
        Column("Weighed (kg)", RIGHT, 1.4),
        Column("Initials", RIGHT, 0.9),
    )
    return Table("Masses", columns, tuple(rows))


def _tests(recipe: Recipe) -> Table:
    lines = sorted(
        recipe.lines, key=lambda line: -1e9 if line.margin_standards is None else line.margin_standards
    )
    rows = tuple(
        (
            line.limit.title,
            limit_with_unit(line.limit),
            "no trial tells" if line.probability is None else shown_probability(line.probability),
            BLANK,
            SHORT_BLANK,
        )
        for line in lines
    )
    columns = (
        Column("Test, the least sure first", share=3.2),
        Column("Limit", RIGHT, 1.1),
        Column("Expected to pass", RIGHT, 1.1),
        Column("Found", RIGHT, 1.2),
        Column("Initials", RIGHT, 0.8),
    )
    return Table("Results of this batch", columns, rows)


def _cautions(recipe: Recipe) -> tuple[str, ...]:
    serious = [one for one in recipe.findings if one.severity != "note"]
    return tuple(f"{one.message} {one.advice}".strip() for one in serious)
