"""Hot storage before use: what it leaves of recovery, as far as published, brought into the limits."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.compute.blending.rules.hot_storage import storage_loss
from resile.judge.wording import number_words
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import BlendLimit
from resile.records.finding import Finding, Severity
from resile.specifications.blending import load_polymer_effect
from resile.workflows.blending.surfaces import POLYMER, RECOVERIES

_SOURCE = "Singh, Kumar and Ravindranath, Polymer Degradation and Stability 147 (2018) 64-75 [read]"


@dataclass(frozen=True, slots=True)
class AfterStorage:
    """Limits with hot storage counted.

    Attributes
    ----------
    limits : tuple of BlendLimit
        A smallest recovery is divided by the share of the polymer's effect that storage leaves.
    lost : tuple of str
        Quantities whose effect counts as gone: no trial tells of them any more.
    findings : tuple of Finding
        What was done, and that other properties are taken as the trials were stored.
    """

    limits: tuple[BlendLimit, ...]
    lost: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def limits_after_storage(book: BlendBook, limits: tuple[BlendLimit, ...]) -> AfterStorage:
    """Raise the limits of recovery so that they are still kept after hot storage; tell what is not known.

    Parameters
    ----------
    book : BlendBook
        Its aim names the storage; its trials say how they were stored.
    limits : tuple of BlendLimit
        Of the aim.

    Returns
    -------
    AfterStorage
        Unchanged where the trials were stored as long, or there is no polymer.
    """
    hours, celsius = book.aim.storage_h, book.aim.storage_c
    polymer = any(one.polymer_percent > 0.0 or "polymer" in one.kind for one in book.components)
    longest = max((trial.storage_h or 0.0 for trial in book.trials), default=0.0)
    if hours is None or not polymer or hours <= longest:
        return AfterStorage(limits)
    points = load_polymer_effect(POLYMER).storage
    loss = None if celsius is None else storage_loss(points, hours=hours, temperature_c=celsius)
    retained = None if loss is None else loss.retained
    kept, severity = limits, Severity.CAUTION
    lost: tuple[str, ...] = ()
    if retained is None:
        why = "the temperature is not stated" if loss is None else loss.words
        words = f"what is left of the polymer's effect is not known ({why})"
    elif retained <= 0.0:
        lost = RECOVERIES
        words = "the polymer's effect counts as gone, so no trial tells of the recovery then"
    elif retained >= 1.0:
        words, severity = "no loss is published", Severity.NOTE
    else:
        kept = tuple(_raised(limit, retained) for limit in limits)
        words = f"recovery is asked for higher by 1/{retained:.3g}; other properties are taken as tested"
    where = "" if celsius is None else f" at {celsius:g} °C"
    return AfterStorage(kept, lost, (_told(hours, longest, where, words, severity),))


def _raised(limit: BlendLimit, retained: float) -> BlendLimit:
    if limit.response.quantity not in RECOVERIES or limit.bound != "minimum":
        return limit
    note = f"{number_words(limit.value)} raised for hot storage, which leaves {100.0 * retained:.0f} %"
    return replace(limit, value=limit.value / retained, note="; ".join(filter(None, (limit.note, note))))


def _told(hours: float, longest: float, where: str, words: str, severity: Severity) -> Finding:
    return Finding(
        code="storage-beyond-trials",
        severity=severity,
        message=f"The blend is to be stored hot for {hours:g} h{where}, the trials for {longest:g} h "
        f"at most: {words}.",
        rule="trials are stored as the blend will be before they are tested",
        value=hours,
        limit=longest,
        unit="h",
        source=_SOURCE,
        advice="Store a trial as long and as hot before testing it.",
    )
