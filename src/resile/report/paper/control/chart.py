"""The page of one control chart: what to look at, the picture, changes, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.finding import Finding
from resile.records.reading import SourceFile
from resile.report.control_words import (
    LOOK,
    change_sentence,
    chart_answer,
    chart_facts,
    chart_name,
    left_out,
    suggestion_lines,
)
from resile.report.figures.control.chart import figure_control_chart
from resile.report.figures.control.chart_points import signal_mark
from resile.report.numbers import three_figures
from resile.report.paper.assemble import BANNER
from resile.report.paper.models.doubts import findings_section
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.paper.statements.provenance import caution_section

_CAPTION = (
    "Dots are lots in order of time; a diamond with a number is a signal of the list; a hollow circle is "
    "left out. The tinted part is the set-up from which the dashed limits come."
)


def control_chart_page(
    chart: ControlChart,
    *,
    date: str,
    changes: Sequence[ChangePoint] = (),
    source: SourceFile | None = None,
    findings: Sequence[Finding] = (),
    invented: bool = False,
    package_version: str = "",
) -> Page:
    """Give the page of a control chart.

    Parameters
    ----------
    chart : ControlChart
        Points, limits, signals.
    date : str
        Date on the page, YYYY-MM-DD.
    changes : sequence of ChangePoint
        Changes of level, with suggested causes.
    source : SourceFile or None
        The table it was made from.
    findings : sequence of Finding
        Doubts about the table.
    invented : bool
        True for demonstration data.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    name = chart_name(chart)
    return Page(
        title=f"Control chart: {name}",
        number=chart.property.product or name,
        date=date,
        sample=chart.property.product or name,
        laboratory="",
        banner=BANNER if invented else "",
        identity=(
            ("Product", chart.property.product or "not stated"),
            ("Property", chart.title),
            ("Date", date),
        ),
        answer=chart_answer(chart),
        answer_more=(LOOK,),
        sections=(
            _signals(chart, changes),
            *_changes(chart, changes),
            _left_out(chart),
            findings_section((*findings, *chart.findings)),
            _basis(chart, source, package_version),
            _values(chart),
            caution_section(),
        ),
        signatures=(),
    )


def _signals(chart: ControlChart, changes: Sequence[ChangePoint]) -> Section:
    picture = Picture("control-chart", figure_control_chart(chart, changes=changes), _CAPTION)
    beside = chart.beside.signals if chart.beside is not None else ()
    table = Table(
        "Signals, by the numbers of the picture.",
        (Column("No.", RIGHT, 0.5), Column("What was seen", share=6.5), Column("Rule", share=2.6)),
        tuple((str(n), signal.text, signal.rule) for n, signal in enumerate(chart.signals, 1)),
    )
    return Section(
        key="chart",
        title="Chart",
        paragraphs=() if chart.signals else ("No rule that is on holds anywhere on the chart.",),
        pictures=(picture,),
        tables=(table,) if chart.signals else (),
        bullets=tuple(f"{signal_mark(chart.beside, n)}: {signal.text}" for n, signal in enumerate(beside, 1))
        if chart.beside is not None
        else (),
        bullets_title="On the lower panel" if beside else "",
    )


def _changes(chart: ControlChart, changes: Sequence[ChangePoint]) -> tuple[Section, ...]:
    if chart.kind == "joint":
        return ()
    suggestions = suggestion_lines(changes)
    found = tuple(change_sentence(change, chart.property.unit) for change in changes)
    return (
        Section(
            key="changes",
            title="Changes of level",
            paragraphs=found or ("One level fits all lots: no change is found.",),
            bullets=suggestions,
            bullets_title="What may lie behind it (suggestions, not findings)" if suggestions else "",
        ),
    )


def _left_out(chart: ControlChart) -> Section:
    rows = left_out(chart)
    table = Table(
        "Lots left out of the set-up and of every rule.",
        (Column("Lot", share=1.2), Column("Day", share=1.2), Column("Reason", share=5.0)),
        rows,
    )
    return Section(
        key="left-out",
        title="Left out",
        paragraphs=() if rows else ("No lot is left out.",),
        tables=(table,) if rows else (),
    )


def _basis(chart: ControlChart, source: SourceFile | None, version: str) -> Section:
    facts = [*chart_facts(chart)]
    if source is not None:
        facts += [("Table", source.path), ("SHA-256 of the table", source.sha256)]
    facts.append(("resile", version or "not stated"))
    return Section(key="basis", title="What it rests on", facts=tuple(facts))


def _values(chart: ControlChart) -> Section:
    unit = f", {chart.property.unit}" if chart.property.unit else ""
    table = Table(
        "Every lot as it stands on the chart.",
        (
            Column("Lot", share=1.4),
            Column("Day", share=1.6),
            Column(f"Results{unit}", RIGHT, 2.2),
            Column("Plotted", RIGHT, 1.2),
            Column("Part", share=1.0),
        ),
        tuple(
            (
                point.label,
                point.when,
                "; ".join(three_figures(value) for value in point.values),
                three_figures(point.plotted),
                "left out" if point.excluded else point.phase,
            )
            for point in chart.points
        ),
        note="Where the logarithm is watched, the plotted value is the decadic logarithm."
        if chart.property.scale == "log"
        else "",
        dense=True,
    )
    return Section(key="values", title="Lots", tables=(table,), new_page=True)
