"""A run as it is shown: pictures, means and the per-cycle table."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.creep_recovery import CreepRecoveryRun, Cycle, StressLevel
from resile.report.document import ReportDocument
from resile.report.figures import (
    figure_compliance,
    figure_cycle,
    figure_elastic_response,
    figure_run,
    points_of,
)
from resile.report.numbers import decimals_of, fixed, rule_for, shown
from resile.report.paper.models.model import LEFT, RIGHT, Column, Picture, Section, Table
from resile.report.paper.statements.results import comparison_facts, run_results_table


def run_title(run: CreepRecoveryRun, place: int) -> str:
    """Name a run for a heading."""
    name = run.label or (run.source.path.replace("\\", "/").rsplit("/", 1)[-1] if run.source else "")
    return name or run.sample or f"run {place}"


def run_sections(document: ReportDocument) -> tuple[Section, ...]:
    """Give a section for each run; of several, their recovery against Jnr in one picture.

    Parameters
    ----------
    document : ReportDocument
        Runs, and the elastic-response curve.

    Returns
    -------
    tuple of Section
        Pictures first, then the means, then every cycle. What a picture of one cycle explains is shown once.
    """
    sections = [
        _run_section(document, run, place, explained=place == 1)
        for place, run in enumerate(document.runs, start=1)
    ]
    together = _elastic_picture(document, document.runs, "elastic") if len(document.runs) > 1 else ()
    if together:
        sections.insert(0, Section(key="runs-together", title="Creep recovery: all runs", pictures=together))
    return tuple(sections)


def _run_section(document: ReportDocument, run: CreepRecoveryRun, place: int, *, explained: bool) -> Section:
    alone = len(document.runs) == 1
    title = "The run" if alone else f"Run {place}: {run_title(run, place)}"
    drawn = any(level.cycles for level in run.levels)
    paragraphs: tuple[str, ...] = ()
    if not drawn:
        paragraphs = ("This result was typed or supplied as a summary: there is no raw record behind it.",)
    elif run.signal is None:
        paragraphs = ("The signal was not kept: the pictures join three points a cycle.",)
    return Section(
        key=f"run-{place}",
        title=title,
        paragraphs=paragraphs,
        facts=comparison_facts(run),
        pictures=_pictures(document, run, place, explained=explained) if drawn else (),
        tables=tuple(table for table in (run_results_table(run), cycle_table(run)) if table is not None),
        new_page=drawn and document.statement is None,
    )


def magnified_cycle(run: CreepRecoveryRun) -> tuple[float, int] | None:
    """Choose the cycle to magnify: the middle one of the highest stress."""
    for level in reversed(run.levels):
        if level.cycles:
            return level.stress_kpa, level.cycles[(len(level.cycles) - 1) // 2].number
    return None


def _pictures(
    document: ReportDocument, run: CreepRecoveryRun, place: int, *, explained: bool
) -> tuple[Picture, ...]:
    pictures = [
        Picture(
            f"run-{place}",
            figure_run(run),
            "Strain and stress over time, each stress on its own axis. Conditioning cycles are dashed.",
        )
    ]
    chosen = magnified_cycle(run) if explained else None
    if chosen is not None:
        stress, number = chosen
        pictures.append(
            Picture(
                f"cycle-{place}",
                figure_cycle(run, stress, number),
                f"Cycle {number} at {stress:g} kPa magnified. Hatched: strain that springs back. Plain: "
                "strain that stays behind. R is the hatched share at the end; Jnr is the plain part there, "
                "over the stress.",
            )
        )
    pictures.append(
        Picture(
            f"trend-{place}",
            figure_compliance(run),
            "Jnr and recovery of each evaluated cycle. A level line is a specimen that did not change.",
        )
    )
    if len(document.runs) == 1:
        pictures += _elastic_picture(document, [run], f"elastic-{place}")
    return tuple(pictures)


def _elastic_picture(
    document: ReportDocument, runs: Sequence[CreepRecoveryRun], name: str
) -> tuple[Picture, ...]:
    """Draw runs beside the elastic-response curve; nothing where there is no point or no curve."""
    points = points_of(runs)
    if not points or not document.elastic_curve:
        return ()
    source = f" Curve: {document.elastic_curve_source}." if document.elastic_curve_source else ""
    return (
        Picture(
            name,
            figure_elastic_response(points, document.elastic_curve),
            "Recovery against Jnr. Above the curve is consistent with elastic modification; it proves "
            f"no polymer, and below it does not prove the lack of one.{source}",
        ),
    )


def cycle_table(run: CreepRecoveryRun) -> Table | None:
    """Tabulate every cycle, conditioning ones marked; None for a typed summary."""
    rows: list[tuple[str, ...]] = []
    strong: list[int] = []
    for place, level in enumerate(run.levels):
        if not level.cycles:
            continue
        if place == 0:
            rows += [_cycle_row(level, cycle, "conditioning") for cycle in run.conditioning]
        rows += [_cycle_row(level, cycle, "evaluated") for cycle in level.cycles]
        strong.append(len(rows))
        rows.append(
            (
                f"{level.stress_kpa:g}",
                "mean",
                f"of {len(level.cycles)}",
                "",
                "",
                "",
                shown(level.percent_recovery, "percent_recovery_3.2"),
                shown(level.jnr, "jnr_3.2"),
            )
        )
    if not rows:
        return None
    return Table(
        "Every cycle. Strains as recorded, in %, before each cycle is set back to zero.",
        (
            Column("Stress (kPa)", RIGHT, 1.0),
            Column("Cycle", RIGHT, 0.7),
            Column("Use", LEFT, 1.2),
            Column("Start (%)", RIGHT, 1.2),
            Column("End of creep (%)", RIGHT, 1.3),
            Column("End of recovery (%)", RIGHT, 1.5),
            Column("Recovery (%)", RIGHT, 1.1),
            Column("Jnr (1/kPa)", RIGHT, 1.1),
        ),
        tuple(rows),
        strong=tuple(strong),
        dense=True,
    )


def _cycle_row(level: StressLevel, cycle: Cycle, use: str) -> tuple[str, ...]:
    jnr_decimals = decimals_of(level.jnr, rule_for("jnr_3.2")) if level.jnr else 3
    return (
        f"{level.stress_kpa:g}",
        str(cycle.number),
        use,
        fixed(100.0 * cycle.initial_strain, 3),
        fixed(100.0 * cycle.creep_strain, 3),
        fixed(100.0 * cycle.recovered_strain, 3),
        fixed(cycle.percent_recovery, 1),
        fixed(cycle.jnr, jnr_decimals),
    )
