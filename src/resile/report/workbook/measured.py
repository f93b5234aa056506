"""Cycles and results, hung on one another by formula."""

from __future__ import annotations

from typing import Any

from resile.records.creep_recovery import CreepRecoveryRun, Cycle, StressLevel
from resile.report.document import ReportDocument
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.report.workbook.cells import set_widths, write_cell, write_head

Means = dict[tuple[int, float], int]


def write_cycles(sheet: Any, formats: dict[str, Any], runs: tuple[CreepRecoveryRun, ...]) -> Means:
    """Write every cycle with live formulas; give the row (from 1) of the mean of each run and stress."""
    set_widths(sheet, (10, 12, 8, 14, 13, 13, 13, 14, 14))
    sheet.freeze_panes(1, 0)
    titles = (
        "Run",
        "Stress (kPa)",
        "Cycle",
        "Use",
        "Start e0",
        "Creep ec",
        "Recovery er",
        "R (%)",
        "Jnr (1/kPa)",
    )
    write_head(sheet, formats, 0, titles)
    row = 1
    means: Means = {}
    for number, run in enumerate(runs, start=1):
        for place, level in enumerate(run.levels):
            if not level.cycles:
                continue
            for cycle in run.conditioning if place == 0 else ():
                _cycle_row(sheet, formats, row, number, level, cycle, "conditioning")
                row += 1
            first = row
            for cycle in level.cycles:
                _cycle_row(sheet, formats, row, number, level, cycle, "evaluated")
                row += 1
            _mean_row(sheet, formats, row, number, level, (first + 1, row))
            means[number, level.stress_kpa] = row + 1
            row += 1
    return means


def _cycle_row(
    sheet: Any, formats: dict[str, Any], row: int, run: int, level: StressLevel, cycle: Cycle, use: str
) -> None:
    strains = (cycle.initial_strain, cycle.creep_strain, cycle.recovered_strain)
    sheet.write_number(row, 0, run, formats["number"])
    sheet.write_number(row, 1, level.stress_kpa, formats["number"])
    sheet.write_number(row, 2, cycle.number, formats["number"])
    sheet.write_string(row, 3, use, formats["text"])
    for column, strain in enumerate(strains, start=4):
        sheet.write_number(row, column, strain, formats["strain"])
    at = row + 1
    sheet.write_formula(
        row, 7, f"=100*(F{at}-G{at})/(F{at}-E{at})", formats["percent"], cycle.percent_recovery
    )
    sheet.write_formula(row, 8, f"=(G{at}-E{at})/B{at}", formats["jnr"], cycle.jnr)


def _mean_row(
    sheet: Any, formats: dict[str, Any], row: int, run: int, level: StressLevel, span: tuple[int, int]
) -> None:
    first, last = span
    sheet.write_number(row, 0, run, formats["mean"])
    sheet.write_number(row, 1, level.stress_kpa, formats["mean"])
    sheet.write_blank(row, 2, None, formats["mean"])
    sheet.write_string(row, 3, "mean", formats["mean"])
    for column in (4, 5, 6):
        sheet.write_blank(row, column, None, formats["mean"])
    sheet.write_formula(
        row, 7, f"=AVERAGE(H{first}:H{last})", formats["mean_percent"], level.percent_recovery
    )
    sheet.write_formula(row, 8, f"=AVERAGE(I{first}:I{last})", formats["mean_jnr"], level.jnr)


def write_results(sheet: Any, formats: dict[str, Any], document: ReportDocument, means: Means) -> None:
    """Write the results of the runs and of the statement, with every determination."""
    set_widths(sheet, (24, 18, 14, 14, 10, 14, 14, 12, 40))
    row = _run_results(sheet, formats, document.runs, means)
    if document.statement is None:
        return
    row += 1
    titles = (
        "Property",
        "Residue",
        "Temperature (°C)",
        "Value",
        "Unit",
        "u",
        "U",
        "Counted",
        "Basis of u",
        "Other laboratory",
    )
    write_head(sheet, formats, row, titles)
    for result in document.statement.results:
        row += 1
        uncertainty = result.uncertainty
        write_cell(sheet, row, 0, symbol_of(result.quantity), formats["text"])
        write_cell(sheet, row, 1, CONDITION_WORDS[result.condition], formats["text"])
        write_cell(sheet, row, 2, result.temperature_c, formats["percent"])
        write_cell(sheet, row, 3, result.value, formats["jnr"])
        write_cell(sheet, row, 4, result.unit, formats["text"])
        if uncertainty is not None:
            write_cell(sheet, row, 5, uncertainty.standard, formats["jnr"])
            factor = uncertainty.coverage_factor
            sheet.write_formula(row, 6, f"={factor!r}*F{row + 1}", formats["jnr"], uncertainty.expanded)
            write_cell(sheet, row, 8, f"{uncertainty.basis}, {uncertainty.distribution}", formats["text"])
        counts = result.counted or (True,) * len(result.determinations)
        write_cell(sheet, row, 7, f"{sum(counts)} of {len(counts)}", formats["text"])
        for one, counted in zip(result.determinations, counts, strict=True):
            row += 1
            source = one.source.path if one.source else "typed"
            write_cell(sheet, row, 0, f"  determination {one.replicate}".rstrip(), formats["label"])
            write_cell(sheet, row, 3, one.value if one.value is not None else one.text, formats["jnr"])
            write_cell(sheet, row, 4, one.unit, formats["label"])
            write_cell(sheet, row, 7, "yes" if counted else "no", formats["text"])
            write_cell(sheet, row, 8, f"{source} {one.place}".strip(), formats["label"])
            write_cell(sheet, row, 9, one.laboratory or None, formats["label"])


def _run_results(
    sheet: Any,
    formats: dict[str, Any],
    runs: tuple[CreepRecoveryRun, ...],
    means: Means,
) -> int:
    """Write the results of the runs, hung on the sheet of cycles by formula; give the next free row."""
    write_head(sheet, formats, 0, ("Run", "Result", "Stress (kPa)", "Value", "Unit"))
    row = 0
    for number, run in enumerate(runs, start=1):
        places: dict[float, int] = {}
        for level in run.levels:
            at = means.get((number, level.stress_kpa))
            for name, value, column, unit, form in (
                ("R", level.percent_recovery, "H", "%", "percent"),
                ("Jnr", level.jnr, "I", "1/kPa", "jnr"),
            ):
                row += 1
                _result_line(sheet, formats, row, (number, name, level.stress_kpa, unit))
                formula = f"=Cycles!{column}{at}" if at and value is not None else ""
                _formula_or_value(sheet, row, formula, value, formats[form])
            if at:
                places[level.stress_kpa] = row + 1
        row = _differences(sheet, formats, row, number, run, places)
    return row + 1


def _differences(
    sheet: Any,
    formats: dict[str, Any],
    row: int,
    number: int,
    run: CreepRecoveryRun,
    places: dict[float, int],
) -> int:
    """Write the numbers that compare the first and the last stress."""
    formulas = ("", "", "")
    if len(places) > 1:
        stresses = list(places)
        low, high = places[stresses[0]], places[stresses[-1]]
        formulas = (
            f"=100*(D{high}-D{low})/D{low}",
            f"=100*(D{low - 1}-D{high - 1})/D{low - 1}",
            f"=100*(D{high}-D{low})/(C{high}-C{low})",
        )
    lines = (
        ("Jnr,diff", run.jnr_difference_percent, "%"),
        ("Rdiff", run.recovery_difference_percent, "%"),
        ("Jnr,slope", run.jnr_slope_percent, "%/kPa"),
    )
    for (name, value, unit), formula in zip(lines, formulas, strict=True):
        row += 1
        _result_line(sheet, formats, row, (number, name, None, unit))
        _formula_or_value(sheet, row, formula if value is not None else "", value, formats["percent"])
    return row


def _result_line(
    sheet: Any, formats: dict[str, Any], row: int, parts: tuple[int, str, float | None, str]
) -> None:
    number, name, stress, unit = parts
    write_cell(sheet, row, 0, number, formats["number"])
    write_cell(sheet, row, 1, name, formats["text"])
    write_cell(sheet, row, 2, stress, formats["number"])
    write_cell(sheet, row, 4, unit, formats["text"])


def _formula_or_value(sheet: Any, row: int, formula: str, value: float | None, form: Any) -> None:
    if formula and value is not None:
        sheet.write_formula(row, 3, formula, form, value)
    else:
        write_cell(sheet, row, 3, value, form)
