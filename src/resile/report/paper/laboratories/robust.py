"""The sheet of robust means of a round."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.laboratories import (
    RobustMean,
    StudyTable,
)
from resile.report.numbers import ShowRule, decimals_of, fixed
from resile.report.paper.laboratories.sheet import (
    basis_section,
    figures,
    sheet,
    with_unit,
)
from resile.report.paper.laboratories.study import counted_words, study_identity
from resile.report.paper.models.model import RIGHT, Column, Page, Section, Table
from resile.report.words import joined

Robust = Sequence[tuple[str, tuple[str, ...], RobustMean]]


def robust_page(table: StudyTable, found: Robust, *, date: str, path: str, version: str) -> Page:
    """Give the sheet of robust means.

    Parameters
    ----------
    table : StudyTable
        Results.
    found : sequence of (str, tuple of str, RobustMean)
        Material, its laboratories, its robust mean.
    date : str
        Date on the sheet, YYYY-MM-DD.
    path : str
        The file it was read from.
    version : str
        Version of resile.

    Returns
    -------
    Page
        Means, and every step of the algorithm.
    """
    unit = table.unit
    pulled = [f"{names[place]} on {material}" for material, names, one in found for place in one.pulled_in]
    said = f" Pulled in: {joined(pulled)}." if pulled else " No result was pulled in."
    return sheet(
        "Robust means of a round",
        subject=table.title,
        date=date,
        identity=study_identity(table),
        answer=f"{counted_words(table)}: robust means and deviations by Algorithm A stand below.{said}",
        sections=(
            Section(
                key="robust",
                title="Robust and ordinary means",
                tables=(
                    Table(
                        caption=with_unit("Algorithm A beside other estimates", unit),
                        columns=tuple(
                            Column(words, RIGHT if place else "left")
                            for place, words in enumerate(
                                (
                                    "Material",
                                    "Labs",
                                    "x*",
                                    "s*",
                                    "u(x*)",
                                    "Median",
                                    "1.483 MAD",
                                    "nIQR",
                                    "Mean",
                                    "sd",
                                )
                            )
                        ),
                        rows=tuple(
                            (
                                material,
                                str(one.count),
                                figures(one.location, 6),
                                figures(one.scale),
                                figures(one.location_standard, 3),
                                figures(one.median, 6),
                                figures(one.scaled_deviation),
                                figures(one.normalised_quartile_range),
                                figures(one.mean, 6),
                                figures(one.standard_deviation),
                            )
                            for material, _, one in found
                        ),
                        note="u(x*) = 1.25 s*/√p. One value a laboratory: the mean of its results.",
                    ),
                ),
            ),
            Section(
                key="steps",
                title="Steps",
                tables=tuple(_steps(material, one, unit) for material, _, one in found),
            ),
            basis_section(
                (
                    (
                        "Algorithm",
                        "ISO 13528:2015, C.3.1, and ISO 5725-5:1998, 5.1 [constants recalled, high]",
                    ),
                ),
                file=(path, table.file),
                version=version,
            ),
        ),
    )


def _steps(material: str, one: RobustMean, unit: str) -> Table:
    decimals = decimals_of(one.scale, ShowRule("five significant figures", significant=5))
    shown = [*range(min(8, len(one.steps))), *([len(one.steps) - 1] if len(one.steps) > 8 else [])]
    return Table(
        caption=with_unit(f"Material {material}", unit),
        columns=(Column("Step"), Column("x*", RIGHT), Column("s*", RIGHT)),
        rows=tuple(
            (
                "start" if place == 0 else str(place),
                fixed(one.steps[place].location, decimals),
                fixed(one.steps[place].scale, decimals),
            )
            for place in shown
        ),
        note=(
            f"Steps {shown[-2] + 1} to {shown[-1] - 1} are left out; each moves less than the one before."
            if one.converged and len(shown) < len(one.steps)
            else ""
            if one.converged
            else "Not settled: read with care."
        ),
        dense=True,
    )
