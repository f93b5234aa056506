"""The sheet of a site's demand: answer first, reasons, picture, tables, doubts, provenance."""

from __future__ import annotations

from resile.records.site import SiteDemand
from resile.report.figures.site_extremes import figure_extremes
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
from resile.report.paper.models.model import Page, Picture, Section, Table, finding_entry
from resile.report.paper.runs.reading import account_facts, refused_table
from resile.report.paper.statements.provenance import DISCLAIMER
from resile.report.words import heaviest_first

CAUTION = (
    "A demand rests on the weather of the past and on models that may miss the road by some degrees. "
    "Where there are "
    "measured pavement temperatures of the region, compare them. The limits belong to the contract "
    "and its edition."
)


def demand_page(demand: SiteDemand, *, date: str, package_version: str = "") -> Page:
    """Give the page of a demand.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.
    date : str
        Date of issue, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    answer, more = demand_answer(demand)
    site = demand.site
    return Page(
        title="What this site asks of the binder",
        number=site.name,
        date=date,
        sample=site.name,
        laboratory="",
        banner="",
        identity=_identity(demand, date),
        answer=answer,
        answer_more=more,
        sections=_sections(demand, package_version),
        signatures=(),
    )


def _identity(demand: SiteDemand, date: str) -> tuple[tuple[str, str], ...]:
    site, traffic = demand.site, demand.site.traffic
    place = f"{fixed(abs(site.latitude_deg), 2)}° {'north' if site.latitude_deg >= 0 else 'south'}"
    if site.longitude_deg is not None:
        place += f", {fixed(abs(site.longitude_deg), 2)}° {'east' if site.longitude_deg >= 0 else 'west'}"
    loads = "not given"
    if traffic is not None:
        speed = "speed not given" if traffic.speed_assumed else f"{traffic.speed_kmh:g} km/h"
        loads = f"{traffic.axle_loads / 1e6:.3g} million equivalent axle loads, {speed}"
    depth = "surface layer" if site.depth_mm <= 20 else f"top {site.depth_mm:g} mm below the surface"
    pairs = (
        ("Site", site.name),
        ("Place", place),
        ("Layer", f"{site.layer}, {depth}" if site.layer else depth),
        ("Reliability", f"{site.reliability_words} in a year"),
        ("Traffic", loads),
        ("Specification", demand.specification),
        ("Pavement model", " and ".join(dict.fromkeys((demand.high.model, demand.low.model)))),
        ("Made on", date),
        ("Remark", site.remark),
    )
    return tuple(pair for pair in pairs if pair[1])


def _sections(demand: SiteDemand, package_version: str) -> tuple[Section, ...]:
    findings = tuple(finding_entry(finding) for finding in heaviest_first(demand.findings))
    layers = layers_table(demand)
    years = years_table(demand)
    return (
        Section(
            key="chances",
            title="The years against the grade",
            pictures=(
                Picture(
                    "extremes",
                    figure_extremes(demand),
                    "The road in each year of the record, from the air of that year by the model, "
                    "against the "
                    "grade steps. Whisker: one standard error of the model. Tint: what the needed step "
                    "covers. Dashed: design temperature at the reliability asked for.",
                ),
            )
            if demand.climate.years
            else (),
            tables=(chances_table(demand),),
        ),
        Section(key="change", title="What would change it", tables=_kept(sensitivity_table(demand), layers)),
        Section(
            key="findings",
            title="Doubts",
            findings=findings,
            paragraphs=() if findings else ("No doubt was raised by the checks that were made.",),
        ),
        Section(key="why", title="How the grade was found", bullets=demand.reasons),
        Section(key="models", title="Other models", tables=(models_table(demand),)),
        Section(key="weather", title="The weather behind it", tables=_kept(air_table(demand), years)),
        _basis(demand, package_version),
        Section(key="cautions", title="Cautions", bullets=(CAUTION,), paragraphs=(DISCLAIMER,)),
    )


def _kept(*tables: Table | None) -> tuple[Table, ...]:
    return tuple(table for table in tables if table is not None and table.rows)


def _basis(demand: SiteDemand, package_version: str) -> Section:
    source, account = demand.climate.source, demand.climate.account
    facts: list[tuple[str, str]] = []
    tables: tuple[Table, ...] = ()
    remarks: tuple[str, ...] = ()
    if account is not None:
        facts += account_facts(source, account)
        refused = refused_table(account.rows_refused, account.rows_refused_count)
        tables = (refused,) if refused is not None else ()
        remarks = account.remarks
    if source is not None:
        facts.append(("SHA-256 of the weather record", source.sha256))
    facts += [
        ("Specification", demand.specification),
        ("SHA-256 of the specification", demand.specification_sha256),
        ("Traffic rule", demand.traffic_rule or "none applied"),
        ("Made with", f"resile {package_version}".strip()),
    ]
    return Section(
        key="basis",
        title="What this rests on",
        facts=tuple(facts),
        tables=tables,
        bullets=remarks,
        bullets_title="How the weather record was read" if remarks else "",
    )
