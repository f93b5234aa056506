"""Tasks by which programs keep rounds, check materials and checks, and work out the own precision."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Body, Query

from resile.interfaces.web.api.asking import Asked
from resile.interfaces.web.api.keeping import KeptKey
from resile.records.determination import Condition
from resile.records.register import CheckMaterial, CheckResult, RoundResult
from resile.workflows.laboratory.comparisons.check_materials import keep_check, keep_material
from resile.workflows.laboratory.comparisons.proposing import Question, keep_precision, propose
from resile.workflows.laboratory.comparisons.rounds_kept import keep_round_results

router = APIRouter(tags=["record"])

Day = Annotated[str, Query(max_length=32)]


@router.post("/rounds", summary="Keep results of a round", operation_id="keep_rounds", status_code=201)
def keep_rounds(asking: Asked, results: Annotated[list[RoundResult], Body(max_length=500)]) -> list[KeptKey]:
    """Keep results of a comparison round: all of them or none; scored as the page does."""
    kept = keep_round_results(asking.record, asking.actor, asking.at, results)
    return [KeptKey(key=one.key, revision=one.revision) for one in kept]


@router.post(
    "/check-materials", summary="Keep a check material", operation_id="keep_check_material", status_code=201
)
def keep_check_material(asking: Asked, material: CheckMaterial) -> KeptKey:
    """Keep a material of known value by which instruments are checked."""
    kept = keep_material(asking.record, asking.actor, asking.at, material)
    return KeptKey(key=kept.key, revision=kept.revision)


@router.post("/checks", summary="Keep a check", operation_id="keep_check", status_code=201)
def keep_one_check(asking: Asked, check: CheckResult) -> dict[str, Any]:
    """Keep what was found with a check material; `inside` tells whether the instrument passed."""
    kept, verified = keep_check(asking.record, asking.actor, asking.at, check)
    return {"key": kept.key, "verification": verified.key, "inside": verified.value.passed}


@router.get(
    "/own-precision-proposal", summary="Work out an own precision", operation_id="propose_own_precision"
)
def propose_own_precision(
    asking: Asked,
    quantity: Annotated[str, Query(max_length=64)],
    condition: Condition = Condition.UNKNOWN,
    since: Day = "",
    until: Day = "",
    relative: bool = True,
) -> dict[str, Any]:
    """Give what the record says of the precision of one property; nothing is kept."""
    question = Question(quantity, condition, since, until, relative=relative)
    proposal = propose(asking.record, asking.actor, question)
    return {"found": asdict(proposal.found), "compared": [asdict(one) for one in proposal.compared]}


@router.post(
    "/own-precisions", summary="Keep an own precision", operation_id="keep_own_precision", status_code=201
)
def keep_own_precision(
    asking: Asked,
    question: Question,
    reason: Annotated[str, Body(max_length=2000)],
    valid_until: Annotated[str, Body(max_length=32)] = "",
    lowest: Annotated[float | None, Body()] = None,
    highest: Annotated[float | None, Body()] = None,
) -> KeptKey:
    """Keep what the record says today as the laboratory's own precision, with the reason."""
    kept = keep_precision(
        asking.record,
        asking.actor,
        asking.at,
        question,
        reason=reason,
        valid_until=valid_until,
        lowest=lowest,
        highest=highest,
    )
    return KeptKey(key=kept.key, revision=kept.revision)
