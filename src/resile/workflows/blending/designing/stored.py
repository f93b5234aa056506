"""Hot storage before use: what it leaves of recovery, as far as published, counted in limits and surfaces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.compute.blending.rules.hot_storage import storage_loss
from resile.compute.blending.surfaces.recovery_surface import FORM as RECOVERY_CURVE
from resile.judge.wording import property_words
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import BlendLimit
from resile.records.blending.polymer import PolymerEffect
from resile.records.blending.surface import Surface
from resile.records.finding import Finding, Severity
from resile.workflows.blending.designing.polymers import effect_of_book
from resile.workflows.blending.designing.surfaces import RECOVERIES


@dataclass(frozen=True, slots=True)
class AfterStorage:
    """Limits and their surfaces with hot storage counted.

    Attributes
    ----------
    limits : tuple of BlendLimit
        A smallest recovery without a curve over polymer is divided by the share of the effect that is left.
    surfaces : tuple of Surface or None
        One for each limit: a recovery curve is read at the polymer that is left; None where the effect
        counts as gone, or no trial tells.
    findings : tuple of Finding
        What was done, and which other properties are taken as the trials were stored.
    """

    limits: tuple[BlendLimit, ...]
    surfaces: tuple[Surface | None, ...]
    findings: tuple[Finding, ...] = ()


def after_storage(
    book: BlendBook, limits: Sequence[BlendLimit], surfaces: Sequence[Surface | None]
) -> AfterStorage:
    """Count hot storage against recovery, and tell what is not known.

    Parameters
    ----------
    book : BlendBook
        Its aim names the storage; its trials say how they were stored.
    limits : sequence of BlendLimit
        Of the aim.
    surfaces : sequence of Surface or None
        One for each limit.

    Returns
    -------
    AfterStorage
        Unchanged where the trials were stored as long, or there is no polymer.
    """
    hours, celsius = book.aim.storage_h, book.aim.storage_c
    longest = max((trial.storage_h or 0.0 for trial in book.trials), default=0.0)
    if hours is None or not _has_polymer(book) or hours <= longest:
        return AfterStorage(tuple(limits), tuple(surfaces))
    effect = effect_of_book(book)
    retained, why = _left(effect, hours, celsius)
    pairs = [
        _counted(limit, surface, retained) if limit.response.quantity in RECOVERIES else (limit, surface)
        for limit, surface in zip(limits, surfaces, strict=True)
    ]
    others = dict.fromkeys(
        property_words(limit.response.quantity)
        for limit in limits
        if limit.response.quantity not in RECOVERIES
    )
    where = "" if celsius is None else f" at {celsius:g} °C"
    as_tested = f"Taken as tested, though storage may change them too: {', '.join(others) or 'nothing'}."
    words = why if retained is None else _words(retained, pairs)
    told = Finding(
        code="storage-beyond-trials",
        severity=Severity.NOTE if retained is not None and retained >= 1.0 else Severity.CAUTION,
        message=f"The blend is to be stored hot for {hours:g} h{where}, the trials for {longest:g} h at "
        f"most: {words}. {as_tested}",
        rule="trials are stored as the blend will be before they are tested",
        value=hours,
        limit=longest,
        unit="h",
        source=effect.storage_source,
        advice="Store a trial as long and as hot before testing it.",
    )
    return AfterStorage(tuple(one for one, _ in pairs), tuple(one for _, one in pairs), (told,))


def _has_polymer(book: BlendBook) -> bool:
    return any(one.polymer_percent > 0.0 or "polymer" in one.kind for one in book.components)


def _left(effect: PolymerEffect, hours: float, celsius: float | None) -> tuple[float | None, str]:
    """Give the share of the polymer's effect that is left, and why it is not known where it is not."""
    if celsius is None:
        return None, "what is left of the polymer's effect is not known (the temperature is not stated)"
    loss = storage_loss(effect.storage, hours=hours, temperature_c=celsius)
    return loss.retained, f"what is left of the polymer's effect is not known ({loss.words})"


def _counted(
    limit: BlendLimit, surface: Surface | None, retained: float | None
) -> tuple[BlendLimit, Surface | None]:
    """Count what is left of the polymer in a recovery: in its curve where there is one, else in the limit."""
    if retained is None or retained >= 1.0:
        return limit, surface
    stored = replace(limit, title=f"{limit.title}, after hot storage")
    if retained <= 0.0 or surface is None:
        return stored, None
    if surface.form == RECOVERY_CURVE:
        polymer = tuple(retained * percent for percent in surface.component_values)
        return stored, replace(surface, component_values=polymer)
    if limit.bound != "minimum":
        return limit, surface
    return replace(limit, value=limit.value / retained, asked=limit.value), surface


def _words(retained: float, pairs: Sequence[tuple[BlendLimit, Surface | None]]) -> str:
    if retained >= 1.0:
        return "no loss of recovery is published"
    if retained <= 0.0:
        return "the polymer's effect counts as gone, so no trial tells of the recovery then"
    read = any(one is not None and one.form == RECOVERY_CURVE for _, one in pairs)
    raised = any(limit.asked is not None for limit, _ in pairs)
    done = []
    if read:
        done.append(f"recovery is read from its curve at {100.0 * retained:.0f} % of the net polymer")
    if raised:
        done.append(
            f"recovery without a curve is asked for higher, by 1/{retained:.2f}, "
            f"as {100.0 * retained:.0f} % of the polymer's effect is left"
        )
    return " and ".join(done) or "no recovery is asked for"
