"""Results with their uncertainty, and all determinations behind them."""

from __future__ import annotations

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Determination, Result
from resile.report.numbers import (
    NOT_KNOWN,
    fixed,
    shown,
    shown_temperature,
    shown_with_uncertainty,
)
from resile.report.paper.models.model import LEFT, RIGHT, Column, Table
from resile.report.words import (
    CONDITION_WORDS,
    EXTERNAL_MARK,
    coverage_words,
    expanded_uncertainty,
    external_mark,
    external_note,
    symbol_of,
    title_of,
)

_NONE_PUBLISHED = "no published precision"


def value_with_uncertainty(result: Result) -> str:
    """Show ``value ± U``, or the value alone where no uncertainty is stated."""
    expanded = expanded_uncertainty(result)
    if result.value is None or expanded is None:
        return shown(result.value, result.quantity)
    return shown_with_uncertainty(result.value, expanded, result.quantity)


def results_table(results: tuple[Result, ...]) -> Table:
    """Tabulate results.

    Parameters
    ----------
    results : tuple of Result
        As handed over.

    Returns
    -------
    Table
        Value ± U with k = 2, number of determinations, spread, basis of the uncertainty.
    """
    notes: dict[str, list[str]] = {}
    for result in results:
        source, band = _basis_note(result)
        if source:
            bands = notes.setdefault(source, [])
            bands += [band] if band and band not in bands else []
    rows = tuple(_result_row(result, tuple(notes)) for result in results)
    listed = " ".join(
        f"({place}) {_sentence(': '.join([source, '; '.join(bands)] if bands else [source]))}"
        for place, (source, bands) in enumerate(notes.items(), start=1)
    )
    return Table(
        f"Results. U is the expanded uncertainty, {coverage_words(results)}, about 95 %.",
        (
            Column("Property", share=1.0),
            Column("Residue"),
            Column("Temperature", RIGHT),
            Column("Value ± U", RIGHT),
            Column("Unit"),
            Column("Counted", RIGHT),
            Column("Basis of U"),
        ),
        rows,
        "Counted: determinations that enter the value, of all that were made. Where the basis is log-normal "
        "the interval is one of ratios and reaches a little further up than down. "
        + " ".join(part for part in (external_note(results), listed) if part),
        dense=True,
    )


def _result_row(result: Result, notes: tuple[str, ...]) -> tuple[str, ...]:
    counts = result.counted or (True,) * len(result.determinations)
    counted = f"{sum(counts)} of {len(counts)}" if counts else NOT_KNOWN
    return (
        f"{_property(result.quantity)}{external_mark(result)}",
        CONDITION_WORDS[result.condition],
        shown_temperature(result.temperature_c),
        value_with_uncertainty(result),
        result.unit,
        counted,
        _basis(result, notes),
    )


def _property(quantity: str) -> str:
    symbol, title = symbol_of(quantity), title_of(quantity)
    return title if title.startswith(symbol) else f"{symbol}, {title}"


def _basis_note(result: Result) -> tuple[str, str]:
    """Give what a basis rests on, document and band: too long for a cell, it stands once under the table."""
    note = result.precision_note if result.uncertainty is None else result.uncertainty.note
    if note.startswith(_NONE_PUBLISHED):
        return (note, "") if ": " in note else (_NONE_PUBLISHED, "")
    source, _, band = note.rpartition(": ")
    return (source, band) if source else (note, "")


def _basis(result: Result, notes: tuple[str, ...]) -> str:
    note, _ = _basis_note(result)
    mark = f" ({notes.index(note) + 1})" if note else ""
    if result.uncertainty is None:
        return f"none stated{mark}"
    shape = "" if result.uncertainty.distribution == "normal" else f", {result.uncertainty.distribution}"
    return f"{result.uncertainty.basis}{shape}{mark}"


def _sentence(note: str) -> str:
    return note if note.endswith(".") else f"{note}."


def determinations_table(results: tuple[Result, ...]) -> Table | None:
    """Tabulate every determination, counted or not; None where there are none."""
    rows: list[tuple[str, ...]] = []
    strong: list[int] = []
    for result in results:
        counts = result.counted or (True,) * len(result.determinations)
        for one, counted in zip(result.determinations, counts, strict=True):
            rows.append(_determination_row(one, counted))
        if len(result.determinations) > 1:
            strong.append(len(rows))
            spread = (
                "" if result.spread is None else f"standard deviation {shown(result.spread, result.quantity)}"
            )
            rows.append(
                (
                    symbol_of(result.quantity),
                    shown_temperature(result.temperature_c),
                    "reported",
                    shown(result.value, result.quantity),
                    result.unit,
                    f"{sum(counts)} counted",
                    spread,
                )
            )
    if not rows:
        return None
    return Table(
        "All determinations, in the order they were made. None is left out.",
        (
            Column("Property"),
            Column("Temperature", RIGHT),
            Column("Replicate"),
            Column("Value", RIGHT),
            Column("Unit"),
            Column("Counted"),
            Column("Hangs on", LEFT, 1.0),
        ),
        tuple(rows),
        strong=tuple(strong),
        dense=True,
    )


def _determination_row(one: Determination, counted: bool) -> tuple[str, ...]:
    source = one.source.path if one.source else "typed"
    place = f", {one.place}" if one.place else ""
    kind = "raw record" if one.raw else "summary, no raw record"
    kind += f"; made by {one.laboratory}" if one.laboratory else ""
    return (
        f"{symbol_of(one.quantity)}{f' {EXTERNAL_MARK}' if one.laboratory else ''}",
        shown_temperature(one.temperature_c),
        one.replicate or NOT_KNOWN,
        shown(one.value, one.quantity) if one.value is not None else one.text,
        one.unit,
        "yes" if counted else "no",
        f"{source}{place} ({kind})",
    )


def run_results_table(run: CreepRecoveryRun) -> Table:
    """Tabulate the levels of a run and the numbers that compare them.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.

    Returns
    -------
    Table
        Mean, standard deviation and trend for each stress.
    """
    rows = [
        (
            f"{level.stress_kpa:g} kPa",
            shown(level.measured_stress_kpa, "jnr_3.2"),
            shown(level.percent_recovery, "percent_recovery_3.2"),
            fixed(level.percent_recovery_sd, 2),
            shown(level.jnr, "jnr_3.2"),
            shown(level.jnr_sd, "jnr_3.2") if level.jnr_sd is None or level.jnr_sd >= 5e-7 else "0",
            _trend(level.jnr_trend_percent),
            str(len(level.cycles)) if level.cycles else "summary",
        )
        for level in run.levels
    ]
    place = f" at {shown_temperature(run.temperature_c)}" if run.temperature_c is not None else ""
    return Table(
        f"Means over the evaluated cycles{place}; s is the standard deviation between cycles.",
        (
            Column("Stress", share=1.1),
            Column("Measured (kPa)", RIGHT, 1.4),
            Column("Recovery (%)", RIGHT, 1.3),
            Column("s (%)", RIGHT, 0.8),
            Column("Jnr (1/kPa)", RIGHT, 1.2),
            Column("s (1/kPa)", RIGHT, 1.2),
            Column("Trend of Jnr (%)", RIGHT, 1.5),
            Column("Cycles", RIGHT, 1.0),
        ),
        tuple(rows),
    )


def _trend(trend: float | None) -> str:
    return fixed(trend, 1, signed=True)


def comparison_facts(run: CreepRecoveryRun) -> tuple[tuple[str, str], ...]:
    """Give the numbers that compare the levels, as label and value."""
    pairs = (
        ("Jnr,diff", run.jnr_difference_percent, "jnr_difference_percent", " %"),
        ("Rdiff", run.recovery_difference_percent, "recovery_difference_percent", " %"),
        ("Jnr,slope", run.jnr_slope_percent, "jnr_slope_percent", " %/kPa"),
        ("Elastic-response minimum", run.elastic_response_minimum_percent, "percent_recovery_3.2", " %"),
    )
    return tuple(
        (label, NOT_KNOWN if value is None else f"{shown(value, quantity)}{unit}")
        for label, value, quantity, unit in pairs
    )
