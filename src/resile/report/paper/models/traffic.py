"""The page of binders under traffic: indices with intervals, the load, the hours, and the evidence."""

from __future__ import annotations

from resile.records.models.pulse_train import BinderUnderTraffic, RelativeIndex, TrafficComparison
from resile.report.figures.models.traffic import figure_traffic, index_digits
from resile.report.numbers import fixed, shown_step
from resile.report.paper.assemble import BANNER
from resile.report.paper.models.doubts import findings_section
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table, measured
from resile.report.paper.models.recorded_binders import between_axles
from resile.report.paper.statements.provenance import caution_section

NO_DEPTH = (
    "An index compares binders under one load; it is not the depth of a rut, and says nothing of a mixture."
)
_CAPTION = (
    "Left: permanent shear strain of each binder over that of the reference (diamond), whiskers "
    "the 95 % interval; "
    "to the left is less. Right: share of the reference's strain (bars) and of the hours "
    "(dashes) by pavement "
    "temperature."
)


_BY_MODEL = (
    " By the models of the records, flow alone stays; Jnr alone counts what is still coming back after nine "
    "seconds as flow."
)


def index_words(index: RelativeIndex | None) -> str:
    """Give an index with its interval."""
    if index is None:
        return "–"
    if index.low == index.high:
        return index_digits(index.value)
    return f"{index_digits(index.value)} ({index_digits(index.low)} to {index_digits(index.high)})"


def traffic_sentence(comparison: TrafficComparison) -> str:
    """Give the answer in one sentence: the binder that leaves least, and whether that is shown."""
    others = [b for b in comparison.binders if b.index is not None and b.name != comparison.reference]
    if not others:
        return f"No other binder can be compared with {comparison.reference}."
    best = others[0]
    index = best.index
    assert index is not None
    sure = index.high < 1.0 or index.low > 1.0
    tail = "" if sure else "; the interval holds 1, so no difference is shown"
    return (
        f"On {comparison.hours.site}, {best.name} leaves {index_words(index)} times the permanent "
        "shear strain of "
        f"{comparison.reference}{tail}."
    )


def binders_table(comparison: TrafficComparison) -> Table:
    """Tabulate the index of each binder, at the hours of the site and at one temperature."""
    constant = f"At {fixed(comparison.hours.mean_high_c, 0)} °C alone"
    by_model = any(one.by_jnr is not None for one in comparison.binders)
    beside = (Column("By Jnr alone", RIGHT, 1.9),) if by_model else ()
    return Table(
        f"Permanent shear strain, {comparison.reference} = 1; in brackets the 95 % interval.",
        (
            Column("Binder", share=2.2),
            Column("Hot hours of the site", RIGHT, 1.9),
            Column(constant, RIGHT, 1.9),
            *beside,
            Column("Tested", RIGHT, 1.2),
            Column("Strain beyond the tests", RIGHT, 1.2),
        ),
        tuple(_row(one, comparison.reference, beside=by_model) for one in comparison.binders),
        note="The interval holds the scatter of the tests of both binders and the slope of their lines; not "
        "the pavement model, the load or the mixture." + (_BY_MODEL if by_model else ""),
        strong=tuple(
            place for place, one in enumerate(comparison.binders) if one.name == comparison.reference
        ),
    )


def _row(one: BinderUnderTraffic, reference: str, *, beside: bool) -> tuple[str, ...]:
    name = f"{one.name} (reference)" if one.name == reference else one.name
    if one.index is None:
        return name, "cannot be told", "–", *(("–",) if beside else ()), "–", "–"
    ends = (one.coldest_c or 0.0, one.warmest_c or 0.0)
    tested = "–".join(dict.fromkeys(shown_step(round(end, 1)) for end in ends))
    beyond = f"{fixed(one.above_percent + one.below_percent, 0)} %"
    by_jnr = (index_words(one.by_jnr if one.by_jnr is not None else one.index),) if beside else ()
    found = index_words(one.index) if one.by_jnr is not None or not beside else "by Jnr alone"
    constant = index_words(one.at_mean_high) if one.by_jnr is not None or not beside else "–"
    return name, found, constant, *by_jnr, f"{tested} °C", beyond


def load_facts(comparison: TrafficComparison) -> tuple[tuple[str, str], ...]:
    """Say load and hours in words."""
    train, hours = comparison.train, comparison.hours
    return (
        (
            "Pulse",
            f"{fixed(1000 * train.pulse_s, 1)} ms: {measured(train.loaded_length_m)} m of loaded length at "
            f"{fixed(train.speed_kmh, 0)} km/h (length by convention of our own)",
        ),
        ("Shear stress", f"{measured(train.stress_kpa)} kPa in the binder, the same for all"),
        (
            "Axles",
            f"{fixed(train.pulses_per_hour, 0)} an hour, rest {measured(train.rest_s)} s; "
            f"{fixed(comparison.pulses, 0)} pulses in all",
        ),
        (
            "Days",
            f"{fixed(hours.days, 0)} of {fixed(hours.days_of_record, 0)}: air maximum within "
            f"{measured(hours.within_c)} °C of the mean hottest week, {fixed(hours.hottest_week_c, 1)} °C "
            f"({hours.years} years)",
        ),
        (
            "Pavement",
            f"{hours.model.upper()} high at {fixed(hours.depth_mm, 0)} mm: highest "
            f"{fixed(hours.highest_c, 1)} °C, "
            f"mean of the days' highest {fixed(hours.mean_high_c, 1)} °C; a cosine through each day",
        ),
    )


def evidence_table(comparison: TrafficComparison) -> Table:
    """Tabulate what was published on compliance and rutting, with its weakness."""
    return Table(
        "What was published on the compliance of binders and rutting, and how weak it is.",
        (Column("Statement", share=3.0), Column("Its weakness", share=3.0), Column("Source", share=2.2)),
        tuple((one.statement, one.weakness, f"{one.source} [{one.evidence}]") for one in comparison.evidence),
    )


def untold(comparison: TrafficComparison) -> tuple[str, ...]:
    """Say which binders cannot be followed, or not by the model of their records, and why."""
    told = [(one.name, one.reason if one.index is None else one.model_reason) for one in comparison.binders]
    return tuple(f"{name}: {reason}." for name, reason in told if reason)


def traffic_page(comparison: TrafficComparison, *, date: str, package_version: str = "") -> Page:
    """Give the page of a comparison.

    Parameters
    ----------
    comparison : TrafficComparison
        As computed.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    facts = tuple((one.path, f"SHA-256 {one.sha256}") for one in comparison.sources)
    return Page(
        title="Binders under traffic, compared",
        number=comparison.hours.site,
        date=date,
        sample=comparison.hours.site,
        laboratory="",
        banner=BANNER if comparison.invented else "",
        identity=(
            ("Site", comparison.hours.site),
            ("Reference", comparison.reference),
            ("Binders", fixed(len(comparison.binders), 0)),
            ("Date", date),
        ),
        answer=traffic_sentence(comparison),
        answer_more=(NO_DEPTH,),
        sections=(
            Section(
                key="index",
                title="Index of each binder",
                pictures=(Picture("traffic", figure_traffic(comparison), _CAPTION),),
                tables=(binders_table(comparison),),
                closing=untold(comparison),
            ),
            *between_axles(comparison),
            findings_section(comparison.findings),
            Section(key="load", title="Load and hours", facts=load_facts(comparison)),
            Section(
                key="evidence", title="What such an index is worth", tables=(evidence_table(comparison),)
            ),
            Section(
                key="basis",
                title="What this rests on",
                facts=(*facts, ("Made with", f"resile {package_version}".strip())),
            ),
            caution_section(),
        ),
        signatures=(),
    )
