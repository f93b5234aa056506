"""Production under control for programs: charts, products, sampling, loads, months."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, File, Path, Query, UploadFile
from pydantic import BaseModel

from resile.interfaces.web.api.asking import Asked, held
from resile.workflows.laboratory.control.deliveries import keep_load_table
from resile.workflows.laboratory.control.left_out import leave_out
from resile.workflows.laboratory.control.month import month_report
from resile.workflows.laboratory.control.products import chart_controlled, product_control
from resile.workflows.laboratory.control.reconciliation import reconcile_deliveries
from resile.workflows.laboratory.control.shown import see_charts

router = APIRouter(tags=["control"])

ChartKey = Annotated[str, Path(pattern=r"^J-[0-9]{1,12}$", description="Key of a chart, as J-000001")]
ProductKey = Annotated[str, Path(pattern=r"^B-[0-9]{1,12}$", description="Key of a product, as B-000001")]
Day = Annotated[str, Query(max_length=10, description="ISO 8601; empty without a bound")]


class LeftOut(BaseModel):
    """Results to be left out of the set-up of a chart, with the cause that was found."""

    results: list[str]
    reason: str
    seen: int


class TableKept(BaseModel):
    """What became of a table of loads."""

    kept: int
    known: int
    unused: list[str]


@router.get("/control", summary="Give every chart that goes on", operation_id="see_charts")
def charts(asking: Asked, product: Annotated[str, Query(max_length=16)] = "") -> list[dict[str, Any]]:
    """Give key, product, property, state and open signals of each chart."""
    return [
        {
            "key": one.kept.key,
            "product": one.kept.value.product,
            "title": one.title,
            "state": one.state,
            "words": one.words,
            "open_lots": list(one.open_lots),
        }
        for one in see_charts(asking.record, asking.actor, product=product)
    ]


@router.get("/control/{key}", summary="Give one chart", operation_id="see_chart")
def chart(asking: Asked, key: ChartKey) -> dict[str, Any]:
    """Give the points, signals and changes of a chart, its capability and target.

    Control limits that do not exist are null; plotted values are on the watched scale.
    """
    found = chart_controlled(asking.record, asking.actor, key, asking.at)
    return _plain(
        {
            "key": key,
            "watch": asdict(found.seen.kept.value),
            "state": found.seen.state,
            "words": found.seen.words,
            "chart": asdict(found.seen.chart) if found.seen.chart else None,
            "changes": [asdict(one) for one in found.changes],
            "capability": asdict(found.margin.capability) if found.margin.capability else None,
            "target": asdict(found.margin.target) if found.margin.target else None,
        }
    )


@router.post("/control/{key}/left-out", summary="Leave results out of a set-up", operation_id="leave_out")
def leave_results_out(asking: Asked, key: ChartKey, left: LeftOut) -> dict[str, Any]:
    """Leave results out of the set-up of a chart; each needs the cause that was found."""
    kept = leave_out(
        asking.record, asking.actor, asking.at, key, left.results, seen=left.seen, reason=left.reason
    )
    return {"key": kept.key, "revision": kept.revision}


@router.get(
    "/control/products/{key}", summary="Give what is watched of a product", operation_id="see_product"
)
def product(asking: Asked, key: ProductKey) -> dict[str, Any]:
    """Give what to do, the joint chart, quick tests, sampling and loads of a product."""
    found = product_control(asking.record, asking.actor, key, asking.at)
    return _plain(
        {
            "key": key,
            "to_do": list(found.to_do),
            "charts": [one.kept.key for one in found.seen],
            "joint": asdict(found.joint) if found.joint else None,
            "quick": asdict(found.quick) if found.quick else None,
            "sampling": asdict(found.sampling.state) if found.sampling and found.sampling.state else None,
            "loads": asdict(found.loads),
        }
    )


@router.get("/control/months/{month}", summary="Give what a month brought", operation_id="month_report")
def month(
    asking: Asked, month: Annotated[str, Path(pattern=r"^\d{4}-\d{2}$", description="As 2026-03")]
) -> dict[str, Any]:
    """Give signals, changes, failures, sampling and loads of a month, as ``resile watch month --json``."""
    return _plain(month_report(asking.record, asking.actor, month, asking.at).to_json())


@router.get(
    "/deliveries/reconciliation", summary="Lay loads, lots and certificates side by side",
    operation_id="reconcile_deliveries",
)  # fmt: skip
def reconciliation(
    asking: Asked, product: Annotated[str, Query(max_length=16)] = "", since: Day = "", until: Day = ""
) -> dict[str, Any]:
    """Give what does not fit, each with what to do."""
    found = reconcile_deliveries(asking.record, asking.actor, product=product, since=since, until=until)
    return asdict(found)


@router.post("/deliveries", summary="Keep a table of loads", operation_id="keep_loads", status_code=201)
def loads(
    asking: Asked, file: Annotated[UploadFile, File(description="Table of loads, text or workbook")]
) -> TableKept:
    """Keep every load of a table, or none; the same table sent again changes nothing."""
    taken = keep_load_table(asking.record, asking.actor, asking.at, held(file))
    return TableKept(kept=taken.kept, known=taken.known, unused=list(taken.unused))


def _plain(content: dict[str, Any]) -> dict[str, Any]:
    """Give numbers that JSON knows: a limit that does not exist is null."""
    return {name: _known(value) for name, value in content.items()}


def _known(content: Any) -> Any:
    if isinstance(content, float):
        return content if math.isfinite(content) else None
    if isinstance(content, dict):
        return _plain(content)
    return [_known(one) for one in content] if isinstance(content, list | tuple) else content
