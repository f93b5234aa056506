"""The sheet of an interlaboratory study."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.laboratories import (
    CellStatistics,
    ComparisonPractice,
    InterlaboratoryStudy,
    MaterialStatistics,
    RobustMean,
    StudyTable,
)
from resile.report.figures.laboratories.consistency import figure_consistency
from resile.report.numbers import fixed
from resile.report.paper.laboratories.sheet import (
    PRACTICE_NOTE,
    basis_section,
    figures,
    findings_section,
    sheet,
    with_unit,
    written_decimals,
)
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.words import joined

Robust = Sequence[tuple[str, tuple[str, ...], RobustMean]]


def study_page(
    study: InterlaboratoryStudy, *, date: str, path: str, practice: ComparisonPractice, version: str
) -> Page:
    """Give the sheet of a study.

    Parameters
    ----------
    study : InterlaboratoryStudy
        Worked out.
    date : str
        Date on the sheet, YYYY-MM-DD.
    path : str
        The file it was read from.
    practice : ComparisonPractice
        With the sources of the numbers.
    version : str
        Version of resile.

    Returns
    -------
    Page
        Precision, consistency, findings, every result.
    """
    table = study.table
    beyond = [
        f"{cell.laboratory} on {one.material} ({_beyond(cell)})"
        for one in study.materials
        for cell in one.cells
        if cell.h_beyond or cell.k_beyond
    ]
    stands = (
        f"Beyond a critical value: laboratory {joined(beyond)}. Nothing was left out."
        if beyond
        else "No laboratory lies beyond a critical value of h or k."
    )
    return sheet(
        "Interlaboratory study",
        subject=table.title,
        date=date,
        identity=study_identity(table),
        answer=f"{counted_words(table)}: repeatability and reproducibility stand below. {stands}",
        answer_more=tuple(f"Read so: {remark}" for remark in table.remarks),
        sections=(
            Section(key="precision", title="Precision", tables=(precision_table(study),)),
            _consistency(study),
            findings_section(study.findings),
            Section(
                key="outliers", title="Largest scatter and furthest mean", tables=(outlier_table(study),)
            ),
            Section(
                key="cells",
                title="Every laboratory",
                tables=tuple(_cells(one, table) for one in study.materials),
            ),
            basis_section(
                (
                    (
                        "Formulas",
                        "ISO 5725-2:1994, 7.4, and ASTM E691; for equal numbers of results they agree",
                    ),
                    ("Critical values", practice.sources["study"]),
                    ("How the table was read", "; ".join(table.remarks) or "as it stands"),
                    ("To know", PRACTICE_NOTE),
                ),
                file=(path, table.file),
                version=version,
            ),
        ),
    )


def study_identity(table: StudyTable) -> tuple[tuple[str, str], ...]:
    """Give the head of a sheet of a study."""
    return (
        ("Study", table.title),
        ("Property", table.quantity or "not named"),
        ("Unit", table.unit or "not named"),
        ("Laboratories", str(len(table.laboratories))),
        ("Materials", joined(list(table.materials))),
    )


def counted_words(table: StudyTable) -> str:
    """Say how many materials and laboratories there are."""
    materials = f"{len(table.materials)} material{'s' if len(table.materials) != 1 else ''}"
    return f"{materials} in {len(table.laboratories)} laboratories"


def precision_table(study: InterlaboratoryStudy) -> Table:
    """Give mean, standard deviations and limits of each material."""
    unit = study.table.unit
    return Table(
        caption=with_unit("Precision of each material", unit),
        columns=(
            Column("Material"),
            Column("Labs", RIGHT),
            Column("Results each", RIGHT),
            Column("Mean", RIGHT),
            Column("sx", RIGHT),
            Column("sr", RIGHT),
            Column("sR raw", RIGHT),
            Column("sR", RIGHT),
            Column("r", RIGHT),
            Column("R", RIGHT),
        ),
        rows=tuple(
            (
                one.material,
                str(len(one.cells)),
                f"{one.replicates:g}" if one.balanced else f"{one.replicates:.2f}",
                figures(one.mean, 6),
                figures(one.cell_mean_deviation),
                figures(one.repeatability),
                figures(one.reproducibility_raw),
                figures(one.reproducibility) + ("*" if _floored(one) else ""),
                figures(one.repeatability_limit),
                figures(one.reproducibility_limit),
            )
            for one in study.materials
        ),
        note=(
            "sx: of the means of the laboratories; sr: within laboratories; sR: between "
            "laboratories, never below sr "
            f"(* raised to it); r and R: {study.range_multiplier:g} standard deviations."
        ),
    )


def _floored(one: MaterialStatistics) -> bool:
    return one.reproducibility > one.reproducibility_raw * (1.0 + 1e-12)


def _consistency(study: InterlaboratoryStudy) -> Section:
    return Section(
        key="consistency",
        title="How each laboratory stands to the others",
        pictures=(
            Picture(
                "consistency-h",
                figure_consistency(study, what="h"),
                "Mean of each laboratory less the average of all, in standard deviations of the "
                "means. Upright marks "
                "are the critical values; a diamond lies beyond.",
            ),
            Picture(
                "consistency-k",
                figure_consistency(study, what="k"),
                "Standard deviation within each laboratory over that of all together. The upright "
                "mark is the critical "
                "value; a diamond lies beyond.",
            ),
        ),
    )


def outlier_table(study: InterlaboratoryStudy) -> Table:
    """Give Cochran's and Grubbs' statistics with their critical values."""
    return Table(
        caption="Cochran and Grubbs",
        columns=(
            Column("Material"),
            Column("Largest scatter"),
            Column("Cochran", RIGHT),
            Column("Critical", RIGHT),
            Column("Furthest above", RIGHT),
            Column("Furthest below", RIGHT),
            Column("Critical", RIGHT),
        ),
        rows=tuple(
            (
                one.material,
                one.cochran_laboratory or "–",
                *(
                    fixed(value, 3)
                    for value in (
                        one.cochran,
                        one.cochran_critical,
                        one.grubbs_high,
                        one.grubbs_low,
                        one.grubbs_critical,
                    )
                ),
            )
            for one in study.materials
        ),
        note="Cochran: largest variance over the sum of all. Grubbs: in standard deviations of the means.",
    )


def _cells(one: MaterialStatistics, table: StudyTable) -> Table:
    decimals = written_decimals([value for cell in one.cells for value in cell.values])
    return Table(
        caption=with_unit(f"Material {one.material}", table.unit),
        columns=(
            Column("Laboratory"),
            Column("Results", share=2.0),
            Column("Mean", RIGHT),
            Column("s", RIGHT),
            Column("h", RIGHT),
            Column("k", RIGHT),
            Column("Beyond"),
        ),
        rows=tuple(
            (
                cell.laboratory,
                "  ".join(fixed(value, decimals) for value in cell.values),
                figures(cell.mean, 6),
                figures(cell.standard_deviation),
                fixed(cell.h, 2, signed=True),
                fixed(cell.k, 2),
                " and ".join(word for word, beyond in (("h", cell.h_beyond), ("k", cell.k_beyond)) if beyond),
            )
            for cell in one.cells
        ),
        note=(
            f"Critical h {fixed(one.h_critical, 2)}"
            + (
                f", critical k {fixed(one.k_critical, 2)}."
                if one.k_critical
                else "; k by the number of results."
            )
        ),
        dense=True,
    )


def _beyond(cell: CellStatistics) -> str:
    words = (("mean", cell.h_beyond), ("scatter", cell.k_beyond))
    return " and ".join(word for word, beyond in words if beyond)
