"""What the record holds, kind by kind: page by page, one by its key, and its revisions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from pydantic import create_model

from resile.interfaces.web.api.asking import Asked
from resile.records import register
from resile.workflows.laboratory.record.looking import MOST_AT_ONCE, look_back, look_through, look_up

router = APIRouter()

KINDS: dict[str, tuple[type[Any], tuple[str, ...]]] = {
    "samples": (register.Sample, ("number", "customer", "product", "stage", "lot", "parent")),
    "runs": (register.Run, ("sample", "specimen", "test", "worst", "instrument", "file")),
    "results": (register.Result, ("run", "sample", "worst")),
    "verdicts": (register.Verdict, ("sample", "specification", "outcome")),
    "statements": (register.Statement, ("number", "sample", "customer", "state")),
    "conditionings": (register.Conditioning, ("sample",)),
    "specimens": (register.Specimen, ("sample",)),
    "cans": (register.Can, ("sample",)),
    "heatings": (register.Heating, ("sample", "can")),
    "custody": (register.Custody, ("sample",)),
    "retentions": (register.Retention, ("sample",)),
    "instruments": (register.Instrument, ("name",)),
    "verifications": (register.Verification, ("instrument",)),
    "customers": (register.Customer, ("name",)),
    "products": (register.Product, ("name",)),
    "tanks": (register.Tank, ("product",)),
    "sites": (register.SiteRecord, ("name", "customer")),
    "ranges": (register.RangeRecord, ("name",)),
    "blends": (register.BlendBookRecord, ("name", "site")),
    "rounds": (register.RoundResult, ("scheme", "round", "quantity")),
    "check-materials": (register.CheckMaterial, ("name", "kind")),
    "checks": (register.CheckResult, ("material", "instrument")),
    "own-precisions": (register.OwnPrecision, ("quantity", "condition")),
    "control-watches": (register.ControlWatch, ("product", "quantity")),
    "sampling": (register.SamplingInForce, ("product", "plan")),
    "deliveries": (register.Delivery, ("number", "product", "lot", "customer", "certificate")),
}
"""Address, class of the noun, and the columns by which a page can be chosen."""

_ONE = {"deliveries": "delivery"}

Key = Annotated[str, Path(pattern=r"^[A-Z]{1,2}-[0-9]{1,12}$", description="Key of the record, as S-000012")]


def _add(address: str, noun: type[Any], columns: tuple[str, ...]) -> None:
    one = create_model(
        f"Kept{noun.__name__}",
        key=(str, ...),
        revision=(int, ...),
        seq=(int, ...),
        at=(str, ...),
        by=(str, ...),
        reason=(str, ...),
        value=(noun, ...),
    )
    name = address.replace("-", "_")
    word = _ONE.get(name, name[:-1] if name.endswith("s") else name)
    many = create_model(f"Page{noun.__name__}", items=(list[one], ...), next=(str, ...))  # type: ignore[valid-type]
    router.get(
        f"/{address}",
        response_model=many,
        tags=["record"],
        summary=f"Look through {address}",
        description="In the order of their keys; `next` is the key to go on `after`, empty at the end. "
        f"Chosen by: {', '.join(columns)}.",
        operation_id=f"look_through_{name}",
        openapi_extra={"parameters": [_chosen_by(column) for column in columns]},
    )(_page_of(noun, columns))
    router.get(
        f"/{address}/{{key}}",
        response_model=one,
        tags=["record"],
        summary=f"Give one of the {address} by its key",
        operation_id=f"look_up_{word}",
    )(_one_of(noun))
    router.get(
        f"/{address}/{{key}}/revisions",
        response_model=list[one],  # type: ignore[valid-type]
        tags=["record"],
        summary=f"Give every revision of one of the {address}",
        operation_id=f"look_back_{word}",
    )(_revisions_of(noun))


def _chosen_by(column: str) -> dict[str, Any]:
    return {"name": column, "in": "query", "required": False, "schema": {"type": "string", "maxLength": 200}}


def _page_of(noun: type[Any], columns: tuple[str, ...]) -> Callable[..., Any]:
    def page(
        asking: Asked,
        request: Request,
        after: Annotated[str, Query(max_length=16)] = "",
        limit: Annotated[int, Query(ge=1, le=MOST_AT_ONCE)] = 50,
    ) -> dict[str, Any]:
        chosen = {name: request.query_params[name] for name in columns if name in request.query_params}
        kept = look_through(asking.record, asking.actor, noun, after=after, limit=limit, **chosen)
        full = len(kept) == limit
        return {"items": [asdict(one) for one in kept], "next": kept[-1].key if full else ""}

    return page


def _one_of(noun: type[Any]) -> Callable[..., Any]:
    def one(asking: Asked, key: Key, revision: Annotated[int | None, Query(ge=1, le=10**6)] = None) -> Any:
        return asdict(look_up(asking.record, asking.actor, key, revision, kind=noun))

    return one


def _revisions_of(noun: type[Any]) -> Callable[..., Any]:
    def revisions(asking: Asked, key: Key) -> Any:
        return [asdict(kept) for kept in look_back(asking.record, asking.actor, key, kind=noun)]

    return revisions


for _address, (_noun, _columns) in KINDS.items():
    _add(_address, _noun, _columns)
