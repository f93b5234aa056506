"""What hot storage leaves of the effect of polymer, as far as published."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from resile.errors import MeasurementError
from resile.records.blending.polymer import StorageLoss, StoragePoint


def storage_loss(points: Sequence[StoragePoint], *, hours: float, temperature_c: float) -> StorageLoss:
    """Give the share of the polymer's effect that is left after hot storage.

    Parameters
    ----------
    points : sequence of StoragePoint
        Published statements.
    hours : float
        Time of storage [h].
    temperature_c : float
        Temperature of storage [°C].

    Returns
    -------
    StorageLoss
        Retained share, and in words what is published and what is read between.

    Raises
    ------
    MeasurementError
        Where time or temperature cannot be.

    Notes
    -----
    A published statement reaches further by reason alone: what is stable is so for shorter and cooler
    storage, what is lost is so for longer and hotter. Between them an own, cautious reading: the time to
    loss follows a straight line of its logarithm over temperature, through the statements of loss and,
    cooler, the last stable time; and the effect falls along a straight line from the whole at no time to
    nothing then. Longer than the stable time where no loss is published, and hotter than every statement,
    nothing is known.
    """
    if not (math.isfinite(hours) and hours >= 0.0 and math.isfinite(temperature_c)):
        raise MeasurementError("hot storage: needed are a time of zero or above and a temperature")
    stable = [one for one in points if one.outcome == "stable"]
    lost = [one for one in points if one.outcome == "lost"]
    to_loss = _hours_to_loss(stable, lost, temperature_c)
    for one in stable:
        if hours <= one.hours and temperature_c <= one.temperature_c:
            return StorageLoss(1.0, True, to_loss, f"published: {one.said}")
    for one in lost:
        if hours >= one.hours and temperature_c >= one.temperature_c:
            return StorageLoss(0.0, True, to_loss, f"published: {one.said}; counted as gone")
    if to_loss is None:
        return StorageLoss(None, False, None, "nothing is published for this time and temperature")
    return StorageLoss(
        max(0.0, 1.0 - hours / to_loss),
        False,
        to_loss,
        "read along straight lines between published statements (own, cautious choice): test after storage",
    )


def _hours_to_loss(
    stable: Sequence[StoragePoint], lost: Sequence[StoragePoint], temperature_c: float
) -> float | None:
    if not lost:
        return None
    coolest = min(one.temperature_c for one in lost)
    longest = max((one for one in stable if one.temperature_c < coolest), key=lambda s: s.hours, default=None)
    knots = sorted((one.temperature_c, one.hours) for one in (*lost, *([longest] if longest else [])))
    begins = longest.temperature_c if longest else coolest
    if temperature_c <= begins and temperature_c < coolest:
        return None
    for (cool, long), (hot, short) in itertools.pairwise(knots):
        if cool <= temperature_c <= hot:
            part = (temperature_c - cool) / (hot - cool)
            return math.exp((1.0 - part) * math.log(long) + part * math.log(short))
    return None
