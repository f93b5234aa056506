"""A site's demand in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.site import SiteDemand
from resile.report.paper.demand_tables import (
    air_table,
    chances_table,
    layers_table,
    models_table,
    sensitivity_table,
    years_table,
)
from resile.report.paper.demand_words import demand_answer
from resile.report.paper.model import Table
from resile.report.terminal.grids import (
    bullet_line,
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)

if TYPE_CHECKING:
    from rich.console import Group

_SHORTER = {
    "One year in … is beyond": "1 year in …",
    "Grade step (°C)": "Step (°C)",
    "With the few years": "Few years",
    "Hottest week (°C)": "Week (°C)",
    "Coldest day (°C)": "Day (°C)",
    "Drift in ten years (°C)": "Drift/10 years (°C)",
}


def render_demand(demand: SiteDemand, *, years: bool = True) -> Group:
    """Give the sheet of a demand.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.
    years : bool
        Whether every year is shown.

    Returns
    -------
    rich.console.Group
        Answer, reasons, probabilities, models, what would change it, years, findings.
    """
    answer, _ = demand_answer(demand)
    parts: list[Any] = [title_line(answer), "", heading_line("Why")]
    parts += [bullet_line(words) for words in demand.reasons]
    tables: list[Table | None] = [
        chances_table(demand),
        models_table(demand),
        sensitivity_table(demand),
        layers_table(demand),
        air_table(demand),
        years_table(demand) if years else None,
    ]
    for table in tables:
        if table is None or not table.rows:
            continue
        parts += ["", heading_line(table.caption), page_table(table, shorter=_SHORTER)]
        parts += [small_line(table.note)] if table.note else []
    parts += finding_lines(demand.findings)
    source = demand.climate.source
    if source is not None:
        account = demand.climate.account
        kept = f"; {account.rows_kept} rows kept, {account.rows_refused_count} refused" if account else ""
        parts += ["", small_line(f"{source.path}: SHA-256 {source.sha256}{kept}")]
        parts += [small_line(remark) for remark in account.remarks] if account else []
    return sheet_of(parts)


def render_demands(demands: tuple[SiteDemand, ...]) -> Group:
    """Give one line a site."""
    from resile.report.numbers import fixed, shown_step
    from resile.report.paper.model import RIGHT, Column
    from resile.report.terminal.grids import grid_of

    columns = [
        Column("Site"),
        Column("Grade"),
        Column("Hot (°C)", RIGHT),
        Column("Cold (°C)", RIGHT),
        Column("Model"),
        Column("Years", RIGHT),
        Column("Doubts", RIGHT),
    ]
    rows: list[list[Any]] = [
        [
            one.site.name,
            one.grade or "none reaches",
            fixed(one.high.design_c, 1),
            fixed(one.low.design_c, 1),
            one.high.model,
            shown_step(min(e.n_years for e in (one.climate.high, one.climate.low) if e is not None)),
            str(sum(f.severity != "note" for f in one.findings)),
        ]
        for one in demands
    ]
    return sheet_of([title_line(f"What {len(demands)} sites ask for"), "", grid_of(columns, rows)])
