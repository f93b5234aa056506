"""Short-term (rolling thin-film) ageing: mass change, and the measures that tell how the oven was run.

Use `mass_change_percent` for bare masses and `reduce_short_term_ageing` for a whole record.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.ageing import AgeingRecord, Bottle
from resile.records.finding import Measure

_MEASURED_FIELDS = (
    ("temperature_c", "°C"),
    ("duration_min", "min"),
    ("air_flow_ml_min", "mL/min"),
    ("rotation_r_min", "r/min"),
    ("recovery_min", "min"),
)


def mass_change_percent(empty_g: ArrayLike, before_g: ArrayLike, after_g: ArrayLike) -> NDArray[np.float64]:
    """Give the mass change of binder in short-term ageing.

    Parameters
    ----------
    empty_g : array_like of float, shape (n,) or scalar
        Mass of the empty bottle [g].
    before_g : array_like of float, shape (n,) or scalar
        Mass of the bottle with binder before ageing [g].
    after_g : array_like of float, shape (n,) or scalar
        Mass of the bottle with binder after ageing [g].

    Returns
    -------
    ndarray of float, shape (n,) or ()
        Change in % of the binder, gain positive, loss negative [%]; unrounded.

    Raises
    ------
    MeasurementError
        Where a mass is not finite, there is no binder, or more binder was lost than was there.

    Notes
    -----
    ``100 (after - before)/(before - empty)``, reported to the nearest 0.001 %.

    References
    ----------
    AASHTO T 240 / ASTM D2872, from memory (high).

    Examples
    --------
    >>> round(float(mass_change_percent(100.0, 135.0, 134.65)), 6)
    -1.0
    """
    empty = np.asarray(empty_g, dtype=float)
    before = np.asarray(before_g, dtype=float)
    after = np.asarray(after_g, dtype=float)
    if not (np.isfinite(empty).all() and np.isfinite(before).all() and np.isfinite(after).all()):
        raise MeasurementError(
            "bottle masses: a mass is missing or not a number; three masses a bottle are needed"
        )
    binder = before - empty
    if np.any(binder <= 0.0):
        raise MeasurementError(
            "bottle masses: the bottle with binder is not heavier than the empty one; "
            "were the two exchanged, or is the mass of the binder alone given?"
        )
    if np.any(after < empty):
        raise MeasurementError(
            "bottle masses: after ageing the bottle is lighter than when it was empty; check the masses"
        )
    return np.asarray(100.0 * (after - before) / binder)


def reduce_short_term_ageing(record: AgeingRecord) -> AgeingRecord:
    """Work out the mass changes and measures of an ageing record.

    Parameters
    ----------
    record : AgeingRecord
        As read; bottles with a missing mass are kept and left out of the mean.

    Returns
    -------
    AgeingRecord
        The same record with `mass_change_percent` for each weighed bottle and their mean, and with
        `measures`: what was recorded, the binder in each bottle, the number of weighed bottles and their
        largest difference.

    Raises
    ------
    MeasurementError
        Where masses are impossible; names the bottle.

    Notes
    -----
    A mean given in the record without bottle masses is kept as it stands; one given beside them is replaced
    by the mean of the bottles, and the measure ``mass_change_misfit_percent`` tells how far it was off.

    References
    ----------
    AASHTO T 240 / ASTM D2872 and EN 12607-1, from memory (high).
    """
    bottles = tuple(_reduced(bottle) for bottle in record.bottles)
    changes = [b.mass_change_percent for b in bottles if b.mass_change_percent is not None]
    mean = float(np.mean(changes)) if changes else record.mass_change_percent
    measures = [
        Measure(name, float(value), unit)
        for name, unit in _MEASURED_FIELDS
        if (value := getattr(record, name)) is not None
    ]
    measures += [
        Measure("bottle_mass_g", bottle.before_g - bottle.empty_g, "g", f"bottle {bottle.name}")
        for bottle in bottles
        if bottle.before_g is not None and bottle.empty_g is not None
    ]
    measures.append(Measure("bottles", float(len(changes))))
    if len(changes) > 1:
        measures.append(Measure("bottle_difference_percent", max(changes) - min(changes), "%"))
    if mean is not None and changes and record.mass_change_percent is not None:
        measures.append(Measure("mass_change_misfit_percent", abs(record.mass_change_percent - mean), "%"))
    return replace(record, bottles=bottles, mass_change_percent=mean, measures=tuple(measures))


def _reduced(bottle: Bottle) -> Bottle:
    if bottle.empty_g is None or bottle.before_g is None or bottle.after_g is None:
        return bottle
    try:
        change = float(mass_change_percent(bottle.empty_g, bottle.before_g, bottle.after_g))
    except MeasurementError as error:
        raise MeasurementError(f"bottle {bottle.name}: {error}") from error
    return replace(bottle, mass_change_percent=change)
