"""The page of quick tests: the fit, its error on lots left out, hints for new lots, warnings."""

from __future__ import annotations

from resile.records.control.surrogate import QuickProperty, QuickTests
from resile.report.figures.control.quick import figure_quick_tests
from resile.report.figures.control.scales import limit_words, property_words
from resile.report.numbers import NOT_KNOWN, fixed, shown, shown_probability
from resile.report.paper.control.common import basis_section, findings_section, identity_of, with_unit
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table

HINT_NOTE = "A hint says which lots to test first. It is no verdict, and no result of the slow property."
PLACE_WORDS = {"inside": "inside", "edge": "at the edge", "outside": "outside"}


def quick_page(tests: QuickTests, *, date: str, package_version: str = "") -> Page:
    """Give the page of quick tests.

    Parameters
    ----------
    tests : QuickTests
        As fitted and asked.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For terminal, web page and paper.
    """
    watched = tests.slow.watched
    caption = "Each lot as the others predict it, against what was found; on the line both are alike."
    hints = (Section(key="hints", title="Hints", tables=(hints_table(tests),)),) if tests.hints else ()
    return Page(
        title="Quick tests",
        number=watched.product,
        date=date,
        sample=watched.product,
        laboratory="",
        banner="",
        identity=identity_of(watched, date, ("Lots of the fit", str(len(tests.lots)))),
        answer=quick_answer(tests),
        answer_more=(HINT_NOTE,),
        sections=(
            *hints,
            findings_section(tests.findings),
            Section(
                key="picture",
                title="Lots left out",
                pictures=(Picture("quick", figure_quick_tests(tests), caption),),
            ),
            Section(key="fit", title="The fit", tables=(_fit_table(tests),), facts=_facts(tests)),
            basis_section(_basis(tests), package_version),
        ),
        signatures=(),
    )


def quick_answer(tests: QuickTests) -> str:
    """Give the answer in a sentence."""
    names = ", ".join(property_words(one.watched) for one in tests.properties)
    error = (
        f"to within a factor of {fixed(tests.error_factor, 2)}"
        if tests.error_factor is not None
        else f"to within {fixed(tests.standard, 2)} {tests.slow.watched.unit}"
    )
    likely = [one.lot for one in tests.hints if one.hint == "likely within"]
    words = (
        f"{property_words(tests.slow.watched)} from {names}: lots left out are met {error} (two times "
        f"in three)."
    )
    if not tests.hints:
        return f"{words} No lot waits for its slow test."
    limit = limit_words(tests.slow.watched)
    if not limit:
        return f"{words} {len(tests.hints)} lots have an expected value."
    listed = f": {', '.join(likely[:8])}" if 0 < len(likely) <= 8 else ""
    return f"{words} Likely {limit}{listed or f': {len(likely)}'} of {len(tests.hints)} lots asked about."


def hints_table(tests: QuickTests) -> Table:
    """Give the hint of every lot asked about."""
    watched = tests.slow.watched
    rows = tuple(
        (
            one.lot,
            one.taken[:10],
            shown(one.value, watched.quantity),
            f"{shown(one.low, watched.quantity)} to {shown(one.high, watched.quantity)}",
            PLACE_WORDS[one.place],
            shown_probability(one.probability),
            one.hint,
            NOT_KNOWN if one.slow is None else shown(one.slow, watched.quantity),
        )
        for one in tests.hints
    )
    columns = (
        Column("Lot", share=0.9),
        Column("Taken", share=1.1),
        Column("Expected", RIGHT, 0.8),
        Column(f"{100 * tests.confidence:g} % interval", RIGHT, 1.3),
        Column("Place", share=0.9),
        Column("Keeps the limit", RIGHT, 0.9),
        Column("Hint", share=1.1),
        Column("Found", RIGHT, 0.7),
    )
    note = (
        f"Likely within: inside the lots of the fit and at least "
        f"{shown_probability(tests.least_probability)}. At the "
        "edge each quick property has its range, but the combination was not seen. Outside nothing is said."
    )
    return Table(
        f"Lots asked about, in {watched.unit}" if watched.unit else "Lots asked about", columns, rows, note
    )


def _facts(tests: QuickTests) -> tuple[tuple[str, str], ...]:
    return (
        ("Explained in the fit", f"{fixed(100.0 * tests.model.r_squared, 0)} % of the scatter"),
        ("Explained on lots left out", f"{fixed(100.0 * tests.r_squared_left_out, 0)} %"),
        (
            "Tested since the fit",
            f"{tests.drift.count} lots, mean error "
            f"{fixed(tests.drift.mean_in_standard_errors, 1, signed=True)} standard errors"
            if tests.drift.count
            else "no lot",
        ),
        ("Lots since the newest of the fit", str(tests.since_anchor)),
    )


def _fit_table(tests: QuickTests) -> Table:
    ranges = list(zip(*tests.model.quick, strict=True))
    rows = [("Intercept", f"{tests.model.coefficients[0]:.4g}", NOT_KNOWN)]
    rows += [
        (_term(one), f"{slope:.4g}", _range(one, seen))
        for one, slope, seen in zip(tests.properties, tests.model.coefficients[1:], ranges, strict=True)
    ]
    columns = (
        Column("Term", share=2.4),
        Column("Coefficient", RIGHT, 1.0),
        Column("Range of the fit", RIGHT, 1.4),
    )
    note = f"Predicted is {_scale_of(tests.slow)}."
    return Table("Terms", columns, tuple(rows), note)


def _term(one: QuickProperty) -> str:
    return f"{'log10 of ' if one.watched.scale == 'log' else ''}{property_words(one.watched)}"


def _scale_of(one: QuickProperty) -> str:
    return f"{_term(one)} in {one.watched.unit}"


def _range(one: QuickProperty, seen: tuple[float, ...]) -> str:
    ends = [10.0**end if one.watched.scale == "log" else end for end in (min(seen), max(seen))]
    return f"{shown(ends[0], one.watched.quantity)} to {with_unit(ends[1], one.watched)}"


def _basis(tests: QuickTests) -> tuple[str, ...]:
    return (
        "A linear model of this product alone, by least squares. Each lot is left out as a whole and "
        "predicted from the "
        "others; the larger of that scatter and of the fit's own makes the intervals, with Student's t.",
        f"The place of a lot: inside the convex hull of the {len(tests.model.slow)} samples of the fit, "
        f"at its edge, or outside "
        "(a quick property beyond its range, or a leverage above the largest of the fit).",
    )
