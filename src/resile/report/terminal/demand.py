"""A site's demand in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.site import SiteDemand
from resile.report.numbers import fixed
from resile.report.paper.choosing.demand_tables import (
    air_table,
    chances_table,
    layers_table,
    models_table,
    sensitivity_table,
    years_table,
)
from resile.report.paper.choosing.demand_words import demand_answer
from resile.report.paper.models.model import RIGHT, Column, Table
from resile.report.terminal.grids import (
    bullet_line,
    finding_lines,
    grid_of,
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


def render_demands(
    demands: tuple[SiteDemand, ...],
    errors: tuple[tuple[str, str], ...] = (),
    *,
    unused: tuple[str, ...] = (),
) -> Group:
    """Give one line a site.

    Parameters
    ----------
    demands : tuple of SiteDemand
        In the order of the table.
    errors : tuple of (str, str)
        Site and why it could not be answered.
    unused : tuple of str
        Headings of the table that were not used.

    Returns
    -------
    rich.console.Group
        A table, the errors below it.
    """
    columns = [
        Column("Site"),
        Column("Grade"),
        Column("Hot (°C)", RIGHT),
        Column("Cold (°C)", RIGHT),
        Column("Model"),
        Column("Years", RIGHT),
        Column("Cautions", RIGHT),
    ]
    rows: list[list[Any]] = [
        [
            one.site.name,
            one.grade or "none reaches",
            fixed(one.high.design_c, 1),
            fixed(one.low.design_c, 1),
            " / ".join(dict.fromkeys((one.high.model, one.low.model))),
            _years(one),
            str(sum(f.severity != "note" for f in one.findings)),
        ]
        for one in demands
    ]
    count = "one site asks" if len(demands) == 1 else f"{len(demands)} sites ask"
    parts: list[Any] = [title_line(f"What {count} for"), "", grid_of(columns, rows)]
    if errors:
        parts += ["", heading_line("Not answered"), *(bullet_line(f"{site}: {why}") for site, why in errors)]
    if unused:
        parts += ["", small_line(f"Columns not known and not used: {', '.join(map(repr, unused))}")]
    return sheet_of(parts)


def _years(demand: SiteDemand) -> str:
    counts = [one.n_years for one in (demand.climate.high, demand.climate.low) if one is not None]
    fewest = min(counts, default=0)
    return str(fewest) if fewest else "typed"
