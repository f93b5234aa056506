"""Control charts from a table of production, with changes, causes and pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.readers.layout import Layout
from resile.readers.series.production import read_production_table
from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.production import ProductionSeries, ProductionTable, WatchedProperty
from resile.records.determination import Condition
from resile.version import __version__
from resile.workflows.control.changing import changes, suggest_causes
from resile.workflows.control.joint import FALSE_ALARM, joint_watch
from resile.workflows.control.watching import watch

LOGARITHMIC = ("jnr_0.1", "jnr_3.2")
"""Watched as logarithms where no scale is named: their scatter is a share of their size."""


@dataclass(frozen=True, slots=True)
class WatchedTable:
    """A chart made from a table, with what was found about it.

    Attributes
    ----------
    chart : ControlChart
        Points, limits, signals.
    changes : tuple of ChangePoint
        Changes of level, with suggested causes.
    table : ProductionTable
        What it was made from.
    """

    chart: ControlChart
    changes: tuple[ChangePoint, ...]
    table: ProductionTable

    def to_terminal(self) -> Any:
        """Give a readable sheet."""
        from resile.report.terminal.control.chart import render_control_chart

        return render_control_chart(self.chart, self.changes, self.table.findings)

    def to_json(self) -> dict[str, Any]:
        """Give chart and changes for machines."""
        from resile.report.machine.control.chart import change_to_json, control_chart_to_json
        from resile.report.machine.records import account_to_json, finding_to_json, source_to_json

        return {
            "chart": control_chart_to_json(self.chart),
            "changes": [change_to_json(change) for change in self.changes],
            "source": source_to_json(self.table.source),
            "findings": [finding_to_json(finding) for finding in self.table.findings],
            "account": account_to_json(self.table.account),
        }

    def figures(self) -> dict[str, dict[str, Any]]:
        """Give the picture, as a Vega-Lite specification by name."""
        from resile.report.figures.control.chart import figure_control_chart

        return {"control-chart": figure_control_chart(self.chart, changes=self.changes)}

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the page to files ending in .html, .pdf or .svg.

        Parameters
        ----------
        targets : sequence of str or Path
            Files to write.
        date : str
            Date on the page, YYYY-MM-DD.

        Raises
        ------
        InputError
            For another ending, or a target that is the table itself.
        """
        from resile.report.paper.control.chart import control_chart_page
        from resile.workflows.modelling.pages import write_model_pages

        page = control_chart_page(
            self.chart,
            date=date,
            changes=self.changes,
            source=self.table.source,
            findings=self.table.findings,
            package_version=__version__,
        )
        return write_model_pages(page, self.figures(), targets, sources=(self.table.source.path,))


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSeries:
    """Which series of a table is meant.

    Attributes
    ----------
    product : str
        Empty where the table has one.
    condition : Condition or None
        Residue; None where the table has one for the property.
    temperature_c : float or None
        Test temperature [°C]; None where the table has one for the property.
    """

    product: str = ""
    condition: Condition | None = None
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpChoice:
    """Which lots a chart is set up from.

    Attributes
    ----------
    since, until : str
        Days, both included; empty for all.
    excluded : mapping of str to str
        Reason by lot.
    """

    since: str = ""
    until: str = ""
    excluded: Mapping[str, str]


def watch_table(
    path: str | Path,
    quantity: str,
    *,
    set_up: SetUpChoice,
    chosen: ChosenSeries | None = None,
    chart: str = "individuals",
    run_rules: Sequence[str] = (),
    parameters: Mapping[str, float] | None = None,
    scale: str = "",
    target: float | None = None,
    layout: Layout | None = None,
    date_order: str = "",
) -> WatchedTable:
    """Put one property of a table of production on a chart.

    Parameters
    ----------
    path : str or Path
        Table of lots.
    quantity : str
        Name from the glossary.
    set_up : SetUpChoice
        Which lots the chart is set up from.
    chosen : ChosenSeries, optional
        Which series is meant, where the table has several of the property.
    chart, run_rules, parameters
        As in `watch`.
    scale : str
        ``log`` or ``linear``; empty for log with Jnr, linear otherwise.
    target : float or None
        What is aimed at, in the unit of the quantity.
    layout, date_order
        As in `read_production_table`.

    Returns
    -------
    WatchedTable
        The chart; changes of level with causes that fit what every other property of the product did.

    Raises
    ------
    InputError
        Where the table has no such property, or several and it is not said which.
    """
    table = read_production_table(Path(path), layout=layout, date_order=date_order)
    series = pick_series(table, quantity, chosen or ChosenSeries())
    made = watch(
        series.results,
        watched_property(series, scale=scale, target=target),
        chart=chart,
        run_rules=run_rules,
        baseline_since=set_up.since,
        baseline_until=set_up.until,
        excluded=set_up.excluded,
        parameters=parameters,
    )
    return WatchedTable(made, _with_causes(made, series, table, set_up), table)


def watch_table_together(
    path: str | Path,
    quantities: Sequence[str],
    *,
    set_up: SetUpChoice,
    chosen: ChosenSeries | None = None,
    false_alarm: float = FALSE_ALARM,
    layout: Layout | None = None,
    date_order: str = "",
) -> WatchedTable:
    """Put several properties of a table of production on one chart of their joint distance.

    Parameters
    ----------
    path : str or Path
        Table of lots.
    quantities : sequence of str
        Names from the glossary; every numeric property of the product where empty.
    set_up, chosen, layout, date_order
        As in `watch_table`.
    false_alarm : float
        Chance of a false alarm at one lot.

    Returns
    -------
    WatchedTable
        The chart; no changes are sought on it.

    Raises
    ------
    InputError
        Where a property is missing, or several series fit and it is not said which.
    """
    table = read_production_table(Path(path), layout=layout, date_order=date_order)
    names = list(quantities) or list(dict.fromkeys(series.quantity for series in table.series))
    picked = [pick_series(table, name, chosen or ChosenSeries()) for name in names]
    made = joint_watch(
        [(watched_property(series), series.results) for series in picked],
        baseline_since=set_up.since,
        baseline_until=set_up.until,
        excluded=set_up.excluded,
        false_alarm=false_alarm,
    )
    return WatchedTable(made, (), table)


def pick_series(table: ProductionTable, quantity: str, chosen: ChosenSeries) -> ProductionSeries:
    """Give the one series of a table that is meant.

    Parameters
    ----------
    table : ProductionTable
        As read.
    quantity : str
        Name from the glossary.
    chosen : ChosenSeries
        What else is said of it.

    Returns
    -------
    ProductionSeries
        The only one that fits.

    Raises
    ------
    InputError
        Where none fits, or several; the sentence names them.
    """
    named = [one for one in table.series if one.quantity == quantity]
    if not named:
        known = ", ".join(dict.fromkeys(one.quantity for one in table.series))
        raise InputError(f"{table.source.path}: no column gives {quantity}; the table has {known}")
    fitting = [
        one
        for one in named
        if (not chosen.product or one.product.casefold() == chosen.product.casefold())
        and (chosen.condition is None or one.condition == chosen.condition)
        and (chosen.temperature_c is None or one.temperature_c in (None, chosen.temperature_c))
    ]
    if len(fitting) == 1:
        return fitting[0]
    shown = "; ".join(_series_words(one) for one in (fitting or named)[:6])
    if not fitting:
        raise InputError(f"{table.source.path}: no series of {quantity} is as asked for; there are {shown}")
    raise InputError(
        f"{table.source.path}: several series of {quantity}: {shown}; say which by --product, --condition or "
        "--at"
    )


def watched_property(
    series: ProductionSeries, *, scale: str = "", target: float | None = None
) -> WatchedProperty:
    """Give what is watched in a series.

    Parameters
    ----------
    series : ProductionSeries
        Of a table.
    scale : str
        ``log`` or ``linear``; empty for log with Jnr, linear otherwise.
    target : float or None
        What is aimed at, in the unit of the quantity.

    Raises
    ------
    InputError
        For another scale.
    """
    if scale not in ("", "log", "linear"):
        raise InputError(f"scale {scale!r}: log or linear is needed")
    usual = "log" if series.quantity in LOGARITHMIC else "linear"
    return WatchedProperty(
        product=series.product,
        quantity=series.quantity,
        unit=series.unit,
        condition=series.condition,
        temperature_c=series.temperature_c,
        scale=scale or usual,
        target=target,
    )


def _with_causes(
    chart: ControlChart, series: ProductionSeries, table: ProductionTable, set_up: SetUpChoice
) -> tuple[ChangePoint, ...]:
    """Look at what the other properties of the product did about the days of the changes."""
    found = {series.quantity: changes(chart)}
    if not found[series.quantity]:
        return ()
    for other in table.series:
        if other.product != series.product or other.quantity in found or len(other.results) < 2:
            continue
        names = {name for result in other.results for name in (result.lot, result.key)}
        excluded = {name: why for name, why in set_up.excluded.items() if name in names}
        try:
            beside = watch(
                other.results,
                watched_property(other),
                baseline_since=set_up.since,
                baseline_until=set_up.until,
                excluded=excluded,
            )
        except InputError:
            continue  # a property that cannot be charted says nothing about the change
        found[other.quantity] = changes(beside)
    return suggest_causes(found, results=series.results)[series.quantity]


def _series_words(series: ProductionSeries) -> str:
    parts = [series.product or "product not stated", str(series.condition)]
    if series.temperature_c is not None:
        parts.append(f"{series.temperature_c:g} °C")
    return ", ".join(parts)
