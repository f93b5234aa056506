"""Binders of a kept range compared under the traffic of a kept road."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, whole
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none
from resile.workflows.laboratory.offer.ranges import list_ranges
from resile.workflows.laboratory.offer.sites_seen import list_sites
from resile.workflows.laboratory.offer.traffic import samples_with_records, traffic_on_road
from resile.workflows.modelling.traffic import LOADED_LENGTH_M, STRESS_KPA, TrafficQuestion

_MODELS = (("ltpp", "LTPP"), ("shrp", "SHRP"))


def traffic(visit: Visit) -> Response:
    """Show the index of each binder of a range on a road."""
    offered = list_ranges(visit.record, visit.actor)
    wanted = visit.text("range") or (offered[0].key if offered else "")
    names = next((one.value.binders for one in offered if one.key == wanted), ())
    values: dict[str, Any] = {"ranges": offered, "wanted": wanted, "names": names, "models": _MODELS}
    values |= {"roads": list_sites(visit.record, visit.actor), "report": None, "page": None}
    samples = samples_with_records(visit.record, visit.actor)
    chosen = visit.texts("samples")
    values |= {"samples": samples, "chosen": chosen}
    names = (*names, *(number for key, number in samples if key in chosen))
    values["names"] = names
    values |= {"length": LOADED_LENGTH_M, "stress": STRESS_KPA}
    if not (wanted and visit.text("site")):
        return visit.show("models/traffic.html.j2", **values)
    try:
        report = traffic_on_road(
            visit.record, visit.actor, wanted, visit.text("site"), _question(visit, names), chosen
        )
    except ResileError as error:
        return visit.again("models/traffic.html.j2", spoken(error), **values)
    page = report.page(date=visit.at[:10])
    return visit.show("models/traffic.html.j2", **(values | {"report": report, "page": page}))


def _question(visit: Visit, names: tuple[str, ...]) -> TrafficQuestion:
    stress = hand_number_or_none(visit.text("stress"), "shear stress")
    length = hand_number_or_none(visit.text("length"), "loaded length")
    # The reference of another range may still stand in the address after the range was changed.
    reference = visit.text("reference")
    return TrafficQuestion(
        reference=reference if reference in names else "",
        stress_kpa=STRESS_KPA if stress is None else stress,
        speed_kmh=hand_number_or_none(visit.text("speed"), "speed"),
        loaded_length_m=LOADED_LENGTH_M if length is None else length,
        axles_per_hour=whole(visit.text("axles")),
        model=visit.text("model") or "ltpp",
    )


routes = [get("/traffic", traffic)]
