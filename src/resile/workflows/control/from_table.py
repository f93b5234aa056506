"""Control charts from a table of production, with changes, causes and pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.production import ProductionSeries, ProductionTable, WatchedProperty
from resile.version import __version__
from resile.workflows.control.causes import suggest_causes
from resile.workflows.control.changing import changes
from resile.workflows.control.joint import FALSE_ALARM, joint_watch
from resile.workflows.control.series import ProductionFile, pick_series, watched_in, watched_property
from resile.workflows.control.watching import watch
from resile.workflows.control.who_tested import MeasuredProperty


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
        """Write the page to .html or .pdf files, its picture to .svg, its lots to .xlsx or .csv.

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
        from resile.report.machine.control.tables import tables_of_chart
        from resile.report.paper.control.chart import control_chart_page
        from resile.workflows.control.files import write_control_files

        page = control_chart_page(
            self.chart,
            date=date,
            changes=self.changes,
            source=self.table.source,
            findings=self.table.findings,
            package_version=__version__,
        )
        return write_control_files(
            page,
            targets,
            tables=tables_of_chart(self.chart, self.changes),
            findings=(*self.table.findings, *self.chart.findings),
            read=(self.table.source.path,),
        )


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
    file: ProductionFile,
    asked: WatchedProperty,
    *,
    set_up: SetUpChoice,
    chart: str = "individuals",
    run_rules: Sequence[str] = (),
    parameters: Mapping[str, float] | None = None,
    anew_after: Sequence[str] = (),
) -> WatchedTable:
    """Put one property of a table of production on a chart.

    Parameters
    ----------
    file : ProductionFile
        Table of lots.
    asked : WatchedProperty
        What is watched, on which scale, with which target; product, residue and temperature tell series apart
        where the table holds several.
    set_up : SetUpChoice
        Which lots the chart is set up from.
    chart, run_rules, parameters, anew_after
        As in `watch`.

    Returns
    -------
    WatchedTable
        The chart; changes of level with causes that fit what every other property of the product did.

    Raises
    ------
    InputError
        Where the table has no such property, or several and it is not said which.
    """
    table = file.read()
    series = pick_series(table, asked)
    made = watch(
        series.results,
        watched_in(series, asked),
        chart=chart,
        run_rules=run_rules,
        baseline_since=set_up.since,
        baseline_until=set_up.until,
        excluded=set_up.excluded,
        parameters=parameters,
        anew_after=anew_after,
    )
    return WatchedTable(made, _with_causes(made, series, table, set_up), table)


def watch_table_together(
    file: ProductionFile,
    quantities: Sequence[str],
    *,
    set_up: SetUpChoice,
    product: str = "",
    condition: str = "",
    temperature_c: float | None = None,
    false_alarm: float = FALSE_ALARM,
) -> WatchedTable:
    """Put several properties of a table of production on one chart of their joint distance.

    Parameters
    ----------
    file : ProductionFile
        Table of lots.
    quantities : sequence of str
        Names from the glossary; every numeric property of the product where empty.
    set_up : SetUpChoice
        Which lots the chart is set up from.
    product, condition, temperature_c
        Which series are meant, where the table holds several of a property.
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
    table = file.read()
    names = list(quantities) or list(dict.fromkeys(series.quantity for series in table.series))
    wanted = [
        watched_property(name, product=product, condition=condition, temperature_c=temperature_c)
        for name in names
    ]
    picked = [(asked, pick_series(table, asked)) for asked in wanted]
    made = joint_watch(
        [(watched_in(series, asked), series.results) for asked, series in picked],
        baseline_since=set_up.since,
        baseline_until=set_up.until,
        excluded=set_up.excluded,
        false_alarm=false_alarm,
    )
    return WatchedTable(made, (), table)


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
                watched_in(other, watched_property(other.quantity)),
                baseline_since=set_up.since,
                baseline_until=set_up.until,
                excluded=excluded,
            )
        except InputError:
            continue  # a property that cannot be charted says nothing about the change
        found[other.quantity] = changes(beside)
    left_out = set(set_up.excluded)
    counted = [one for one in series.results if not {one.lot, one.key} & left_out]
    measured = {series.quantity: MeasuredProperty(chart.property, counted)}
    return suggest_causes(found, results=series.results, measured=measured)[series.quantity]
