"""The sheet of the laboratory's own precision."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.laboratories import (
    ComparisonPractice,
    OwnPrecisionFound,
    PrecisionComparison,
)
from resile.records.quantity import QUANTITIES
from resile.report.numbers import fixed
from resile.report.paper.laboratories.sheet import (
    PRACTICE_NOTE,
    basis_section,
    figures,
    findings_section,
    sheet,
)
from resile.report.paper.models.model import RIGHT, Column, Page, Section, Table
from resile.report.words import CONDITION_WORDS, symbol_of


def own_page(
    found: OwnPrecisionFound,
    compared: Sequence[PrecisionComparison],
    *,
    date: str,
    practice: ComparisonPractice,
    version: str,
) -> Page:
    """Give the sheet of an own precision.

    Parameters
    ----------
    found : OwnPrecisionFound
        Worked out.
    compared : sequence of PrecisionComparison
        With what is published.
    date : str
        Date on the sheet, YYYY-MM-DD.
    practice : ComparisonPractice
        With the sources of the comparison.
    version : str
        Version of resile.

    Returns
    -------
    Page
        Answer, parts, comparison, findings.
    """
    name = f"{symbol_of(found.quantity)}, {CONDITION_WORDS[found.condition]}"
    freedom = "many" if found.degrees_of_freedom is None else fixed(found.degrees_of_freedom, 0)
    return sheet(
        "The laboratory's own precision",
        subject=name,
        date=date,
        identity=(
            ("Property", name),
            ("Data from", f"{found.since or 'not dated'} to {found.until or 'not dated'}"),
            (
                "Values",
                f"{figures(found.lowest)} to {figures(found.highest)} {QUANTITIES[found.quantity].unit}",
            ),
            ("Rests on", f"{found.duplicates} duplicates, {found.checks} checks, {found.rounds} rounds"),
        ),
        answer=(
            f"Standard uncertainty of one result: {_amount(found, found.standard)} ({freedom} degrees "
            "of freedom); "
            f"repeatability {_amount(found, found.repeatability)}."
        ),
        sections=(
            Section(key="parts", title="Parts", tables=(parts_table(found), *_bias_tables(found))),
            _comparison(compared),
            findings_section(found.findings),
            basis_section(
                (
                    ("How", found.note),
                    ("Comparison", practice.sources["own"]),
                    ("To know", PRACTICE_NOTE),
                ),
                file=("", ""),
                version=version,
            ),
        ),
    )


def _amount(found: OwnPrecisionFound, value: float) -> str:
    if found.relative:
        return f"{figures(100.0 * value, 3)} % of the value"
    return f"{figures(value, 3)} {QUANTITIES[found.quantity].unit}".rstrip()


def parts_table(found: OwnPrecisionFound) -> Table:
    """Give repeatability, scatter over days, bias and the whole."""
    interval = f"{_amount(found, found.repeatability_lower)} to {_amount(found, found.repeatability_upper)}"
    return Table(
        caption="What the uncertainty is made of",
        columns=(
            Column("Part"),
            Column("Standard deviation", RIGHT),
            Column("Degrees of freedom", RIGHT),
            Column("From"),
        ),
        rows=(
            (
                "Repeatability",
                _amount(found, found.repeatability),
                fixed(found.repeatability_freedom, 0),
                f"duplicates; 95 %: {interval}",
            ),
            (
                "Over days, operators, instruments",
                _amount(found, found.intermediate),
                fixed(found.intermediate_freedom, 0),
                found.intermediate_from,
            ),
            ("Bias, not taken off", _amount(found, found.bias), "–", "check materials and rounds"),
            ("Doubt of the bias", _amount(found, found.bias_standard), "–", "check materials and rounds"),
            (
                "One result",
                _amount(found, found.standard),
                "∞" if found.degrees_of_freedom is None else fixed(found.degrees_of_freedom, 0),
                "scatter over days, bias, doubt of the bias",
            ),
        ),
        strong=(4,),
        note="The repeatability is part of the scatter over days and is not added again.",
    )


def _bias_tables(found: OwnPrecisionFound) -> tuple[Table, ...]:
    if not found.biases:
        return ()
    return (
        Table(
            caption="Bias against each source",
            columns=(
                Column("Against"),
                Column("Results", RIGHT),
                Column("Bias", RIGHT),
                Column("Its doubt", RIGHT),
            ),
            rows=tuple(
                (one.against, str(one.count), _amount(found, one.bias), _amount(found, one.bias_standard))
                for one in found.biases
            ),
        ),
    )


def _comparison(compared: Sequence[PrecisionComparison]) -> Section:
    if not compared:
        return Section(
            key="compared",
            title="Beside what is published",
            paragraphs=("No precision is published for this property at this value.",),
        )
    return Section(
        key="compared",
        title="Beside what is published",
        paragraphs=tuple(one.sentence for one in compared),
        tables=(
            Table(
                caption=f"Standard deviations at a value of {figures(compared[0].value)}",
                columns=(
                    Column("What"),
                    Column("Own", RIGHT),
                    Column("Published", RIGHT),
                    Column("Ratio of variances", RIGHT),
                    Column("Says nothing between", RIGHT),
                    Column("Word"),
                ),
                rows=tuple(
                    (
                        "repeatability"
                        if one.what == "repeatability"
                        else "over days, against between laboratories",
                        figures(one.own, 3),
                        figures(one.published, 3),
                        figures(one.ratio, 3),
                        f"{figures(one.lower_critical, 3)} and {figures(one.upper_critical, 3)}",
                        one.judged.replace("-", " "),
                    )
                    for one in compared
                ),
                note=f"{compared[0].note}. Chi-square at 5 %; the published variance counts as known.",
            ),
        ),
    )
