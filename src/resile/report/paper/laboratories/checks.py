"""The sheet of checks with a known material."""

from __future__ import annotations

from resile.records.laboratories import (
    CheckChart,
    ComparisonPractice,
)
from resile.records.quantity import QUANTITIES
from resile.records.register.laboratories import CheckMaterial
from resile.report.figures.laboratories.checks import figure_check_chart
from resile.report.numbers import fixed
from resile.report.paper.laboratories.sheet import (
    basis_section,
    figures,
    findings_section,
    sheet,
    with_unit,
)
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.tolerance import reading_words, zone_words
from resile.report.words import title_of


def check_page(checked: CheckChart, *, date: str, practice: ComparisonPractice, version: str) -> Page:
    """Give the sheet of checks with a known material.

    Parameters
    ----------
    checked : CheckChart
        Judged.
    date : str
        Date on the sheet, YYYY-MM-DD.
    practice : ComparisonPractice
        With the sources.
    version : str
        Version of resile.

    Returns
    -------
    Page
        The newest check, the chart, every check.
    """
    material, zone = checked.material, checked.zone
    known = QUANTITIES.get(material.quantity)
    unit = known.unit if known else ""
    newest = checked.verdicts[-1].sentence if checked.verdicts else "No check is kept yet."
    return sheet(
        "Checks of a known material",
        subject=material.name,
        date=date,
        identity=(
            ("Material", material.name),
            (
                "Property",
                _property(material),
            ),
            ("Reference", f"{material.reference:g} {unit}".rstrip()),
            ("Certificate", material.certificate or "not named"),
            ("May be used until", material.until or "not stated"),
        ),
        answer=newest,
        sections=(
            Section(
                key="checks",
                title="Day by day",
                facts=(
                    (with_unit("Tolerance zone", unit), zone_words(zone)),
                    (
                        with_unit("Mean of the checks less the reference", unit),
                        "–" if checked.mean_difference is None else figures(checked.mean_difference, 3),
                    ),
                ),
                pictures=(
                    Picture(
                        "checks",
                        figure_check_chart(checked),
                        "Shaded: tolerance zone about the reference. A check outside is repeated at "
                        "once; outside again, "
                        "the instrument is not used.",
                    ),
                ),
                tables=(check_table(checked, unit),),
            ),
            findings_section(checked.findings),
            basis_section(
                (("Zone", _zone_rule(checked, practice)), ("Source", practice.sources["checks"])),
                file=("", ""),
                version=version,
            ),
        ),
        invented=material.invented,
    )


def check_table(checked: CheckChart, unit: str) -> Table:
    """Give every check."""
    return Table(
        caption=with_unit("Checks", unit),
        columns=(
            Column("Day"),
            Column("Instrument"),
            Column("Operator"),
            Column("Measured", RIGHT),
            Column("In half widths", RIGHT),
            Column("Word"),
        ),
        rows=tuple(
            (
                one.check.done,
                one.check.instrument or "–",
                one.check.operator or "–",
                reading_words(one.compared, checked.zone),
                fixed(one.position, 2, signed=True),
                one.judged,
            )
            for one in checked.verdicts
        ),
        dense=len(checked.verdicts) > 20,
    )


def _property(material: CheckMaterial) -> str:
    at = "" if material.temperature_c is None else f" at {material.temperature_c:g} °C"
    return f"{title_of(material.quantity)}{at}"


def _zone_rule(checked: CheckChart, practice: ComparisonPractice) -> str:
    zone = checked.zone
    if checked.material.tolerance:
        return "the largest difference that the method or its maker allows; compared with every digit"
    formula = f"{practice.tolerance_factor:g} √(s² + SE²)"
    if zone.decimals is None:
        return f"{formula}; compared with every digit"
    return (
        f"{formula} = {zone.exact_half_width:.5g}, rounded to {_places(zone.decimals)}: {zone.half_width:g}; "
        "each check is rounded to the same place before it is compared"
    )


def _places(decimals: int) -> str:
    return f"{decimals} decimal{'s' if decimals != 1 else ''}" if decimals else "whole numbers"
