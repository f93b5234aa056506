"""Sampling of a product by a plan: where it stands, what is due, and lots from loads."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from resile.judge.sampling.lots import lots_of_loads
from resile.judge.sampling.state import judge_sampling
from resile.records.control.sampling import Load, LotOfLoads, LotOutcome, SamplingPlan, SamplingState
from resile.specifications.sampling import load_sampling_plan


def sampling_now(
    plan: SamplingPlan | str | Path,
    lots: Sequence[LotOutcome],
    *,
    begins_at: str = "",
    since: str = "",
    today: str = "",
    consented: Sequence[str] = (),
) -> SamplingState:
    """Say where sampling stands.

    Parameters
    ----------
    plan : SamplingPlan, str or Path
        The plan, its name, or its file.
    lots : sequence of LotOutcome
        In the order of production; an extra sample stands behind the lot it belongs to, with its name.
    begins_at : str
        Severity of the first lot; that of the plan where empty.
    since : str
        Day from which the plan holds.
    today : str
        Day, YYYY-MM-DD; lots are not asked for their age where empty.
    consented : sequence of str
        Lots after which somebody agreed to a change that needs consent.

    Returns
    -------
    SamplingState
        Severity with its history and reasons, lots to the next sample, what is due.

    Raises
    ------
    ResileError
        Where there is no such plan, or an outcome or severity is not known.
    """
    found = plan if isinstance(plan, SamplingPlan) else load_sampling_plan(plan)
    return judge_sampling(found, lots, begins_at=begins_at, since=since, today=today, consented=consented)


def lots_from_loads(
    plan: SamplingPlan | str | Path, loads: Sequence[Load], *, severity: str = ""
) -> tuple[LotOfLoads, ...]:
    """Gather loads into lots by a plan.

    Parameters
    ----------
    plan : SamplingPlan, str or Path
        The plan, its name, or its file.
    loads : sequence of Load
        In order of time.
    severity : str
        The size of a lot depends on it; that with which the plan begins where empty.

    Returns
    -------
    tuple of LotOfLoads
        In order.

    Raises
    ------
    ResileError
        Where there is no such plan, or a load cannot be used.
    """
    found = plan if isinstance(plan, SamplingPlan) else load_sampling_plan(plan)
    return lots_of_loads(found, loads, severity=severity or found.begins_at)
