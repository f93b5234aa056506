"""The choice of a binder as JSON, CSV and GeoJSON."""

from __future__ import annotations

import csv
import io
import math
from typing import Any

from resile.records.choice import BinderOffer, Choice, SiteNeed, ValuedTest
from resile.records.product_set import ProductPlan
from resile.records.standing import GradeStanding, PropertyStanding
from resile.report.choice_words import why_not

CSV_HEADINGS = (
    "site",
    "grade",
    "binder",
    "rank",
    "price_per_tonne",
    "amount_t",
    "cost",
    "under",
    "standing",
    "counted_probability",
    "probability",
    "latitude_deg",
    "longitude_deg",
)


def choice_to_json(choice: Choice) -> dict[str, Any]:
    """Give a choice as the fixed interface of ``resile match --json`` names it.

    Parameters
    ----------
    choice : Choice
        The choice.

    Returns
    -------
    dict
        Sites name their grade; the ranking of binders stands once a grade.
    """
    return {
        "specification": choice.specification,
        "required_probability": choice.required_probability,
        "measured_with_uncertainty": choice.measured_with_uncertainty,
        "currency": choice.currency,
        "sites": [_site(choice, place) for place in range(len(choice.sites))],
        "grades": [
            {
                "grade": grade.grade,
                "sites": grade.sites,
                "amount_t": grade.amount_t,
                "offers": [_offer(offer, choice.required_probability) for offer in grade.offers],
            }
            for grade in choice.grades
        ],
        "labels": [
            {"binder": row[0].binder, "labels": [_standing(one) for one in row]}
            for row in choice.labels
            if row
        ],
        "never_needed": list(choice.never_needed),
        "idle_grades": list(choice.idle_grades),
        "unserved": list(choice.unserved),
        "next_tests": [_test(one) for one in choice.next_tests],
        "plans": [_plan(one) for one in choice.plans],
        "suppositions": [
            {
                "change": one.change,
                "served": one.served,
                "switched": one.switched,
                "cost_change": one.cost_change,
            }
            for one in choice.suppositions
        ],
        "findings": [_finding(choice, place) for place in range(len(choice.findings))],
    }


def choice_csv(choice: Choice) -> str:
    """Give every site and every binder that serves it as separated text.

    Parameters
    ----------
    choice : Choice
        The choice.

    Returns
    -------
    str
        One row a site and binder, cheapest first; a site that nobody serves has one row without a binder.
    """
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(CSV_HEADINGS)
    serving = {grade.grade: grade.serving for grade in choice.grades}
    for site in choice.sites:
        offers = serving.get(site.grade, ())
        writer.writerows(_row(site, offer, rank) for rank, offer in enumerate(offers, 1))
        if not offers:
            writer.writerow(_row(site, None, None))
    return file.getvalue()


def choice_geojson(choice: Choice) -> dict[str, Any]:
    """Give the sites that have coordinates as points (RFC 7946: longitude before latitude, WGS 84).

    Parameters
    ----------
    choice : Choice
        The choice.

    Returns
    -------
    dict
        A feature collection; the binder is null where nobody serves.
    """
    features = []
    for place, site in enumerate(choice.sites):
        if site.latitude_deg is None or site.longitude_deg is None:
            continue
        properties = _site(choice, place)
        for name in ("latitude_deg", "longitude_deg"):
            properties.pop(name)
        features.append(
            {
                "type": "Feature",
                "geometry": {"type": "Point", "coordinates": [site.longitude_deg, site.latitude_deg]},
                "properties": properties,
            }
        )
    return {"type": "FeatureCollection", "features": features}


def _row(site: SiteNeed, offer: BinderOffer | None, rank: int | None) -> tuple[object, ...]:
    """Give one row; a name that a spreadsheet would take for a formula stays text."""
    price = offer.price_per_tonne if offer else None
    return (
        _as_text(site.name),
        site.grade,
        _as_text(offer.binder) if offer else "",
        rank,
        price,
        site.amount_t,
        price * site.amount_t if price is not None else None,
        offer.under if offer else "",
        str(offer.standing) if offer else "",
        offer.counted_probability if offer else None,
        offer.probability if offer else None,
        site.latitude_deg,
        site.longitude_deg,
    )


def _as_text(name: str) -> str:
    return f"'{name}" if name[:1] in "=+-@" else name


def _site(choice: Choice, place: int) -> dict[str, Any]:
    site, binder = choice.sites[place], choice.chosen[place]
    first = None
    if binder:
        first = next(grade for grade in choice.grades if grade.grade == site.grade).serving[0]
    price = first.price_per_tonne if first else None
    return {
        "name": site.name,
        "grade": site.grade or None,
        "latitude_deg": site.latitude_deg,
        "longitude_deg": site.longitude_deg,
        "amount_t": site.amount_t,
        "binder": binder or None,
        "under": first.under if first else None,
        "price_per_tonne": price,
        "cost": price * site.amount_t if price is not None else None,
        "counted_probability": first.counted_probability if first else None,
        "remark": site.remark,
    }


def _offer(offer: BinderOffer, required: float) -> dict[str, Any]:
    return {
        "binder": offer.binder,
        "price_per_tonne": offer.price_per_tonne,
        "serves": offer.serves,
        "under": offer.under,
        "standing": str(offer.standing),
        "counted_probability": offer.counted_probability,
        "probability": offer.probability,
        "available": offer.available,
        "governs_high": _property(offer.governs_high),
        "governs_low": _property(offer.governs_low),
        "why_not": why_not(offer, required),
    }


def _property(one: PropertyStanding | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "requirement": one.requirement,
        "quantity": one.quantity,
        "temperature_c": one.temperature_c,
        "value": one.value,
        "limit": one.limit,
        "bound": one.bound,
        "unit": one.unit,
        "standing": str(one.standing),
        "probability": one.probability,
        "tested_at_c": one.tested_at_c,
        "reason": one.reason,
    }


def _standing(one: GradeStanding) -> dict[str, Any]:
    return {
        "grade": one.grade.label,
        "standing": str(one.standing),
        "probability": one.probability,
        "governs_high": _property(one.weakest("high")),
        "governs_low": _property(one.weakest("low")),
    }


def _test(one: ValuedTest) -> dict[str, Any]:
    return {
        "binder": one.binder,
        "requirement": one.requirement,
        "quantity": one.quantity,
        "temperature_c": one.temperature_c,
        "limit": one.limit,
        "bound": one.bound,
        "unit": one.unit,
        "probability": one.probability,
        "expected_saving": one.expected_saving,
        "expected_sites": one.expected_sites,
    }


def _plan(one: ProductPlan) -> dict[str, Any]:
    return {
        "title": one.title,
        "binders": list(one.binders),
        "cost": one.cost,
        "sites_of": [
            {"binder": name, "sites": sites, "amount_t": amount} for name, sites, amount in one.sites_of
        ],
        "gap": None if math.isnan(one.gap) else one.gap,
        "proven": one.proven,
    }


def _finding(choice: Choice, place: int) -> dict[str, Any]:
    from resile.report.machine.records import finding_to_json

    return finding_to_json(choice.findings[place])
