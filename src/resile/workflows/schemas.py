"""The files a person writes, as JSON Schema: made from the very models that check them."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from resile.errors import InputError
from resile.records import (
    ageing,
    certificate,
    determination,
    laboratory,
    order,
    plan,
    price,
    revision,
    slope_prior,
    specification,
    traffic_rule,
)
from resile.records import range as binder_range
from resile.records.blending import book, limit
from resile.records.control import sampling

Json = dict[str, Any]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_ATTRIBUTE = re.compile(r"^ {4}(\w+(?:, \w+)*) : .*\n((?: {8}.*\n)+)", re.MULTILINE)
_RECORDS: dict[str, tuple[type, ...]] = {
    "specification": (specification.Specification, specification.Requirement, specification.ServiceClass),
    "bench-book": (
        plan.BenchBook,
        plan.BenchMethod,
        plan.ResiduePreparation,
        plan.PlanTolerance,
        plan.PlanCaution,
    ),
    "laboratory": (laboratory.Laboratory,),
    "order": (
        order.TestOrder,
        order.OrderedSample,
        order.OrderedRecord,
        order.Instrument,
        revision.Replacement,
    ),
    "certificate": (
        certificate.SupplierCertificate,
        certificate.CertificateLine,
        certificate.CertificateCheck,
    ),
    "price-rule": (price.PriceRule, price.PriceStep),
    "binder-kind": (slope_prior.BinderKind, slope_prior.PublishedSlope),
    "traffic-rule": (traffic_rule.TrafficRule, traffic_rule.TrafficBand),
    "range": (binder_range.BinderRange, binder_range.Binder, determination.Determination),
    "blend-book": (
        book.BlendBook,
        book.Component,
        book.TrialBlend,
        book.BlendAim,
        limit.BlendLimit,
        determination.Determination,
    ),
    "ageing-record": (ageing.AgeingRecord, ageing.LongTermAgeingRecord, ageing.Bottle, ageing.Pan),
    "sampling-plan": (sampling.SamplingPlan, sampling.SamplingLevel, sampling.SwitchingRule),
}
_ALIASES = {"class": "classes", "requirement": "requirements", "test": "methods", "caution": "cautions"}
_ALIASES |= {"preparation": "preparations", "tolerance": "tolerances", "record": "records", "file": "path"}
_ALIASES |= {
    "bottle": "bottles",
    "pan": "pans",
    "step": "steps",
    "line": "lines",
    "slope": "slopes",
    "band": "bands",
    "binder": "binders",
    "component": "components",
    "trial": "trials",
    "limit": "limits",
    "level": "levels",
}
KINDS = tuple(_RECORDS)


def schema_of(kind: str) -> Json:
    """Give the JSON Schema of a kind of file.

    Parameters
    ----------
    kind : str
        ``specification``, ``bench-book``, ``laboratory``, ``order``, ``certificate``, ``price-rule``,
        ``binder-kind``, ``traffic-rule``, ``range``, ``blend-book``, ``ageing-record`` or
        ``sampling-plan``.

    Returns
    -------
    dict
        Keys, kinds of value and what is needed, as JSON Schema (draft 2020-12); what a key means is said in
        its description. Rules that bind several keys (a waiver names a class that exists) are checked by
        `resile` only.

    Raises
    ------
    InputError
        No such kind.
    """
    if kind not in _RECORDS:
        raise InputError(f"there is no schema {kind!r}; known are {', '.join(KINDS)}")
    model = _models()[kind]()
    schema: Json = model.model_json_schema(by_alias=True)
    words = _words_of(_RECORDS[kind])
    parts = [(model.__name__, schema), *schema.get("$defs", {}).items()]
    for name, part in parts:
        part.pop("title", None)
        for key, entry in part.get("properties", {}).items():
            entry.pop("title", None)
            said = _said(words, name, key)
            if said and "description" not in entry:
                entry["description"] = said
    return {"$schema": _DIALECT, "title": f"resile {kind.replace('-', ' ')}", **schema}


def _models() -> dict[str, Callable[[], Any]]:
    from resile.readers import certificate as certificate_reader
    from resile.readers import laboratory as laboratory_reader
    from resile.readers import order as order_reader
    from resile.readers.ageing.ageing_toml import ageing_model
    from resile.readers.blends.model import blend_book_model
    from resile.readers.range import range_model
    from resile.specifications import plans, schema, schema_prices, schema_site, schema_slopes
    from resile.specifications import sampling as sampling_plans

    return {
        "specification": lambda: schema.SpecificationModel,
        "bench-book": plans._model,
        "laboratory": laboratory_reader._model,
        "order": order_reader._model,
        "certificate": certificate_reader._model,
        "price-rule": lambda: schema_prices.PriceRuleModel,
        "binder-kind": lambda: schema_slopes.BinderKindModel,
        "traffic-rule": lambda: schema_site.TrafficRuleModel,
        "range": range_model,
        "blend-book": blend_book_model,
        "ageing-record": ageing_model,
        "sampling-plan": lambda: sampling_plans.SamplingPlanModel,
    }


def _words_of(records: tuple[type, ...]) -> dict[str, dict[str, str]]:
    """Take what each key means from the records that the files become."""
    words: dict[str, dict[str, str]] = {}
    for record in records:
        found = words.setdefault(record.__name__, {})
        for names, text in _ATTRIBUTE.findall(f"{record.__doc__}\n"):
            for name in names.split(", "):
                found[name] = " ".join(text.split())
    return words


def _said(words: dict[str, dict[str, str]], model: str, key: str) -> str:
    """Give the words for a key: of the record its model becomes, else of any that has such a key."""
    stem = model.removesuffix("Model").removesuffix("Table").casefold()
    own = sorted(words, key=lambda record: stem not in record.casefold())
    named = [(record, name) for name in (key, _ALIASES.get(key, key)) for record in own]
    return next((words[record][name] for record, name in named if name in words[record]), "")
