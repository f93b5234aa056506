"""The page of a capability: share beyond the limit, indices with intervals, scatter, fit."""

from __future__ import annotations

from resile.records.control.capability import CapabilityStatement, FitOfNormal
from resile.report.figures.control.capability import figure_capability
from resile.report.figures.control.scales import property_words
from resile.report.numbers import NOT_KNOWN, fixed, shown_probability
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

_CAPTION = (
    "Lots counted in classes of equal width (bars), the curve of mean and scatter, each lot as a tick "
    "beneath (a "
    "diamond beyond the limit)."
)


def capability_page(statement: CapabilityStatement, *, date: str, package_version: str = "") -> Page:
    """Give the page of a capability.

    Parameters
    ----------
    statement : CapabilityStatement
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
    return Page(
        title="Capability against a limit",
        number=watched.product,
        date=date,
        sample=watched.product,
        laboratory="",
        banner="",
        identity=identity_of(watched, date, ("Lots", str(len(statement.lots)))),
        answer=capability_answer(statement),
        answer_more=(NOT_A_VERDICT,),
        sections=(
            Section(
                key="picture",
                title="Lots and limit",
                pictures=(Picture("capability", figure_capability(statement), _CAPTION),),
            ),
            Section(key="indices", title="Indices", tables=(indices_table(statement),)),
            Section(key="scatter", title="Level and scatter", facts=_facts(statement)),
            Section(key="fit", title="Does the scale fit?", tables=(_fit_table(statement),)),
            findings_section(statement.findings),
            basis_section(_basis(statement), package_version),
        ),
        signatures=(),
    )


def capability_answer(statement: CapabilityStatement) -> str:
    """Give the answer in a sentence."""
    low, high = statement.performance_interval
    counted = {0: "none of them lies", 1: "one of them lies"}.get(
        statement.beyond_counted, f"{statement.beyond_counted} of them lie"
    )
    return (
        f"{property_words(statement.watched)}: {shown_probability(statement.share_beyond)} of lots are "
        f"expected "
        f"beyond the limit ({shown_probability(statement.share_beyond_low)} to "
        f"{shown_probability(statement.share_beyond_high)}); Ppk {fixed(statement.performance.index, 2)} "
        f"({fixed(low, 2)} to {fixed(high, 2)}). {len(statement.lots)} lots, {counted} beyond."
    )


def indices_table(statement: CapabilityStatement) -> Table:
    """Give the indices with their intervals."""
    rows = [
        _row(
            "Ppk, scatter of all lots", statement.performance.index, statement.performance_interval, "exact"
        ),
        _row("", statement.performance.index, statement.performance_approximate, "approximate (Bissell)"),
        _row(
            "Cpk, scatter from lot to lot",
            statement.potential.index,
            statement.potential_interval,
            "exact form",
        ),
    ]
    if statement.natural_limit_index is not None:
        rows.append(
            (
                f"Pp*, limit to bound by nature ({statement.natural_limit:g})",
                fixed(statement.natural_limit_index, 2),
                NOT_KNOWN,
                "says nothing of the level",
            )
        )
    columns = (
        Column("Index", share=2.4),
        Column("Found", RIGHT, 0.7),
        Column(f"{100 * statement.confidence:g} % interval", RIGHT, 1.2),
        Column("Kind", share=1.4),
    )
    note = "An index of 1 puts the limit three standard deviations from the level. Quote the lower end."
    return Table("Capability indices", columns, tuple(rows), note, strong=(0,))


def _row(words: str, index: float, interval: tuple[float, float], kind: str) -> tuple[str, str, str, str]:
    return words, fixed(index, 2), f"{fixed(interval[0], 2)} to {fixed(interval[1], 2)}", kind


def _facts(statement: CapabilityStatement) -> tuple[tuple[str, str], ...]:
    watched = statement.watched
    facts = [
        ("Median" if watched.scale == "log" else "Mean", with_unit(statement.centre, watched)),
        ("Scatter of all lots", scatter_words(statement.overall_deviation, watched)),
        ("Scatter from lot to lot", scatter_words(statement.lot_to_lot_deviation, watched)),
    ]
    if statement.test_standard is not None and statement.plant_deviation is not None:
        facts += [
            ("Scatter of the test", scatter_words(statement.test_standard, watched)),
            ("Scatter of the plant alone", scatter_words(statement.plant_deviation, watched)),
            ("Lots truly beyond the limit", shown_probability(statement.true_share_beyond)),
        ]
    return tuple(facts)


def _fit_table(statement: CapabilityStatement) -> Table:
    log = statement.watched.scale == "log"
    rows = (
        _fit_row("log scale", statement.fit_log, used=log),
        _fit_row("linear scale", statement.fit_linear, used=not log),
    )
    columns = (Column("Scale", share=1.2), Column("A*²", RIGHT), Column("Probability", RIGHT), Column("Used"))
    note = (
        "Test of Anderson and Darling with level and scatter from the values; a probability below 0.05 "
        "speaks "
        "against the scale. The scale belongs to the property and is not chosen by the fit."
    )
    return Table("Test of fit", columns, rows, note)


def _fit_row(words: str, fit: FitOfNormal | None, *, used: bool) -> tuple[str, str, str, str]:
    shown = (NOT_KNOWN, NOT_KNOWN) if fit is None else (fixed(fit.statistic, 3), fixed(fit.probability, 3))
    return words, *shown, "yes" if used else "no"


def _basis(statement: CapabilityStatement) -> tuple[str, ...]:
    words = [
        scale_words(statement.watched),
        "Replicates of a lot are averaged on that scale and count once. Intervals of Ppk and of the "
        "share by the "
        "noncentral t distribution, exact for normal values; that of Cpk in the same form with the "
        "degrees of "
        "freedom that moving ranges are worth.",
    ]
    if statement.test_standard is not None:
        words.append("Scatter of the plant: variance of all lots less that of the test.")
    return tuple(words)
