"""An interlaboratory study: its precision, and what stands out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from resile.compute.statistics.interlaboratory.robust import algorithm_a
from resile.compute.statistics.interlaboratory.study import material_statistics
from resile.errors import InputError, MeasurementError
from resile.judge.laboratories.study import study_findings
from resile.readers.layout import Layout
from resile.readers.rounds.study_table import read_study_table
from resile.records.laboratories import InterlaboratoryStudy, RobustMean, StudyTable
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.reading import HeldFile
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.laboratories import load_comparison_practice


def study_of(table: StudyTable) -> InterlaboratoryStudy:
    """Work out the precision of each material of a study.

    Parameters
    ----------
    table : StudyTable
        Results of the laboratories.

    Returns
    -------
    InterlaboratoryStudy
        Nothing is left out, whatever stands out.

    Raises
    ------
    InputError
        Where a material has fewer than two laboratories or no replicates.
    """
    practice = load_comparison_practice()
    try:
        materials = tuple(
            material_statistics(
                cells,
                laboratories=table.laboratories,
                material=material,
                range_multiplier=practice.range_multiplier,
                significance=practice.consistency_significance,
                outlier_significance=practice.outlier_significance,
            )
            for material, cells in zip(table.materials, table.results, strict=True)
        )
    except MeasurementError as error:
        raise InputError(str(error)) from error
    return InterlaboratoryStudy(
        table=table,
        materials=materials,
        range_multiplier=practice.range_multiplier,
        findings=study_findings(materials, load_finding_rules("interlaboratory_study")),
    )


def robust_means_of(table: StudyTable) -> tuple[tuple[str, tuple[str, ...], RobustMean], ...]:
    """Give the robust mean of each material, from the mean of each laboratory.

    Parameters
    ----------
    table : StudyTable
        Results of the laboratories; single ones too.

    Returns
    -------
    tuple of (str, tuple of str, RobustMean)
        Material, laboratories with results, and the robust mean.

    Raises
    ------
    InputError
        Where a material has fewer than three laboratories or a result is not finite.
    """
    found = []
    for material, cells in zip(table.materials, table.results, strict=True):
        kept = [
            (name, sum(cell) / len(cell))
            for name, cell in zip(table.laboratories, cells, strict=True)
            if cell
        ]
        try:
            robust = algorithm_a([mean for _, mean in kept])
        except MeasurementError as error:
            raise InputError(f"material {material}: {error}") from error
        found.append((material, tuple(name for name, _ in kept), robust))
    return tuple(found)


def study_table_of(
    path: Path | HeldFile, *, quantity: str = "", title: str = "", layout: Layout | None = None
) -> StudyTable:
    """Read the table of a study, and say what property it holds.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook.
    quantity : str
        Name from the glossary; empty where it is none of them. Its unit stands in for one that the table does
        not print.
    title : str
        What was compared; the words above the table, else the name of the file, where not given.
    layout : Layout or None
        What the user said of the file.

    Returns
    -------
    StudyTable
        As read.

    Raises
    ------
    RecordNotFoundError, FileFormatError, AmbiguousFileError
        As `read_study_table`.
    InputError
        Where the quantity is not known.
    """
    if quantity and quantity not in QUANTITIES:
        raise InputError(f"property '{quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}")
    table = read_study_table(path, layout=layout)
    unit = table.unit or (QUANTITIES[quantity].unit if quantity else "")
    name = path.name if isinstance(path, Path) else str(path)
    return replace(table, quantity=quantity, unit=unit, title=title or table.title or name)
