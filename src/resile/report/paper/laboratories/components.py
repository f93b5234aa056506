"""The sheet of components of variance."""

from __future__ import annotations

from resile.records.laboratories import (
    VarianceComponent,
    VarianceComponents,
)
from resile.report.figures.laboratories.components import figure_components
from resile.report.numbers import fixed
from resile.report.paper.laboratories.sheet import (
    basis_section,
    figures,
    findings_section,
    sheet,
    with_unit,
)
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table


def components_page(found: VarianceComponents, *, title: str, date: str, path: str, version: str) -> Page:
    """Give the sheet of components of variance.

    Parameters
    ----------
    found : VarianceComponents
        Worked out.
    title : str
        What was shared out.
    date : str
        Date on the sheet, YYYY-MM-DD.
    path : str
        The file it was read from.
    version : str
        Version of resile.

    Returns
    -------
    Page
        Components with intervals, analysis of variance, findings.
    """
    biggest = max(found.components, key=lambda one: one.variance)
    more = []
    if found.measurement_percent is not None and found.categories is not None:
        more.append(
            f"The measurement takes {figures(found.measurement_percent)} % of the standard deviation "
            "of the study and "
            f"tells {found.categories} classes of {found.specimen} apart."
        )
    return sheet(
        "Where scatter comes from",
        subject=title,
        date=date,
        identity=(
            ("Results", str(found.count)),
            ("Mean", f"{figures(found.mean, 5)} {found.unit}".rstrip()),
            ("Design", found.design),
            ("Property", found.quantity or "not named"),
        ),
        answer=f"{biggest.source} takes the largest share, {fixed(biggest.share_percent, 0)} % of variance.",
        answer_more=more,
        sections=(
            Section(
                key="components",
                title="Components",
                pictures=(
                    Picture(
                        "components",
                        figure_components(found),
                        f"Dots are standard deviations with their share of the variance, bars intervals of "
                        f"{fixed(100.0 * found.coverage, 0)} %; an arrow head goes on.",
                    ),
                ),
                tables=(components_table(found), anova_table(found)),
            ),
            findings_section(found.findings),
            basis_section((("Intervals", found.method),), file=(path, ""), version=version),
        ),
    )


def components_table(found: VarianceComponents) -> Table:
    """Give the components with their intervals and shares."""
    return Table(
        caption=with_unit("Components", found.unit),
        columns=(
            Column("From"),
            Column("Variance", RIGHT),
            Column("Standard deviation", RIGHT),
            Column(f"{fixed(100.0 * found.coverage, 0)} % interval", RIGHT),
            Column("Of variance (%)", RIGHT),
            Column("Of study (%)", RIGHT),
        ),
        rows=tuple(
            (
                one.source,
                figures(one.variance)
                + (f" (estimate {figures(one.variance_raw, 3)})" if one.variance_raw < 0 else ""),
                figures(one.standard_deviation),
                f"{figures(one.lower, 3)} to {figures(one.upper, 3) if one.upper is not None else 'open'}",
                fixed(one.share_percent, 1),
                fixed(one.study_percent, 1),
            )
            for one in found.components
        ),
        note=f"All together: standard deviation {figures(found.total)}.",
    )


def anova_table(found: VarianceComponents) -> Table:
    """Give the analysis of variance."""
    return Table(
        caption="Analysis of variance",
        columns=(
            Column("From"),
            Column("Degrees of freedom", RIGHT),
            Column("Sum of squares", RIGHT),
            Column("Mean square", RIGHT),
            Column("F", RIGHT),
            Column("By chance", RIGHT),
        ),
        rows=tuple(
            (
                one.source,
                fixed(one.degrees_of_freedom, 0),
                figures(one.sum_of_squares),
                figures(one.mean_square),
                figures(one.ratio),
                "–"
                if one.probability is None
                else ("< 0.0001" if one.probability < 1e-4 else figures(one.probability, 2)),
            )
            for one in found.lines
        ),
        dense=True,
    )


def _variance(one: VarianceComponent) -> str:
    negative = f" (estimate {figures(one.variance_raw, 3)})" if one.variance_raw < 0.0 else ""
    return figures(one.variance) + negative


def _chance(probability: float | None) -> str:
    if probability is None:
        return "–"
    return "< 0.0001" if probability < 1e-4 else figures(probability, 2)
