"""The demand of a site as plain data for machines."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from resile.records.climate import Climate, YearlyExtreme
from resile.records.site import EndDemand, SiteDemand
from resile.report.machine.records import account_to_json, finding_to_json


def demand_to_json(demand: SiteDemand) -> dict[str, Any]:
    """Give a demand with glossary names.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.

    Returns
    -------
    dict
        Years, air, pavement by model (the chosen one first), grade, traffic class, findings, and the rest.
    """
    site, climate = demand.site, demand.climate
    return {
        "site": site.name,
        "latitude_deg": site.latitude_deg,
        "longitude_deg": site.longitude_deg,
        "layer": site.layer,
        "depth_mm": site.depth_mm,
        "reliability_percent": site.reliability_percent,
        "high_reliability_percent": site.reliability_of("high"),
        "low_reliability_percent": site.reliability_of("low"),
        "remark": site.remark,
        "traffic": None if site.traffic is None else asdict(site.traffic),
        "years": [asdict(year) for year in climate.years],
        "year_begins": climate.year_begins,
        "air": _air(climate),
        "model": demand.high.model if demand.high.model == demand.low.model else _both_models(demand),
        "pavement": _pavement(demand),
        "grade": demand.grade,
        "also_covering": list(demand.also_covering),
        "grade_high_c": demand.grade_high_c,
        "grade_low_c": demand.grade_low_c,
        "traffic_class": demand.service_class,
        "raised_by": demand.raised_by,
        "traffic_rule": demand.traffic_rule,
        "specification": demand.specification,
        "specification_sha256": demand.specification_sha256,
        "high": _end(demand.high),
        "low": _end(demand.low),
        "reasons": list(demand.reasons),
        "sensitivities": [asdict(one) for one in demand.sensitivities],
        "layers": [
            {
                "layer": one.layer,
                "depth_mm": one.depth_mm,
                "grade": one.grade,
                "high": _end(one.high),
                "low": _end(one.low),
            }
            for one in demand.layers
        ],
        "source": None
        if climate.source is None
        else {"path": climate.source.path, "sha256": climate.source.sha256},
        "account": None if climate.account is None else account_to_json(climate.account),
        "findings": [finding_to_json(finding) for finding in demand.findings],
    }


def demand_row(demand: SiteDemand) -> dict[str, Any]:
    """Give a demand as one row of a table.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.

    Returns
    -------
    dict
        Glossary names to plain values.
    """
    site = demand.site
    return {
        "site": site.name,
        "latitude_deg": site.latitude_deg,
        "longitude_deg": site.longitude_deg,
        "layer": site.layer,
        "depth_mm": site.depth_mm,
        "high_reliability_percent": site.reliability_of("high"),
        "low_reliability_percent": site.reliability_of("low"),
        "specification": demand.specification,
        "grade": demand.grade,
        "also_covering": "; ".join(demand.also_covering),
        "traffic_class": demand.service_class,
        "raised_by": demand.raised_by,
        "high_model": demand.high.model,
        "high_design_c": demand.high.design_c,
        "low_model": demand.low.model,
        "low_design_c": demand.low.design_c,
        "n_years": _air(demand.climate)["n_years"],
        "cautions": "; ".join(f.code for f in demand.findings if f.severity != "note"),
    }


def _both_models(demand: SiteDemand) -> str:
    return f"{demand.high.model} (high), {demand.low.model} (low)"


def _air(climate: Climate) -> dict[str, Any]:
    high, low = climate.high, climate.low
    counts = [extreme.n_years for extreme in (high, low) if extreme is not None]
    return {
        "high_mean_c": high.mean_c if high else None,
        "high_sd_c": high.sd_c if high else None,
        "low_mean_c": low.mean_c if low else None,
        "low_sd_c": low.sd_c if low else None,
        "n_years": min(counts, default=0),
        "degree_days": climate.degree_days,
        "monthly_decile_nine_c": climate.monthly_decile_nine_c,
        "high": _extreme(high),
        "low": _extreme(low),
    }


def _extreme(extreme: YearlyExtreme | None) -> dict[str, Any] | None:
    return None if extreme is None else asdict(extreme)


def _pavement(demand: SiteDemand) -> dict[str, dict[str, float]]:
    """Give the design temperatures by model; the model chosen comes first."""
    found: dict[str, dict[str, float]] = {}
    for end in (demand.high, demand.low, *demand.others):
        found.setdefault(end.model, {})[f"{end.end}_c"] = end.design_c
    return found


def _end(end: EndDemand) -> dict[str, Any]:
    return asdict(end)
