"""Numbers that tell how an amplitude sweep went, before anyone judges it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.damage.amplitude_sweep import LOSS_AT_FAILURE, AmplitudeRows
from resile.compute.rheology.damage.row_scatter import row_scatter
from resile.records.finding import Measure
from resile.records.models.amplitude_sweep import AmplitudeSweep

Floats = NDArray[np.float64]


def damage_measures(
    sweep: AmplitudeSweep,
    rows: AmplitudeRows,
    *,
    time_recorded: bool = True,
    frequency_part_c: float | None = None,
) -> tuple[Measure, ...]:
    """Measure how a linear amplitude sweep went.

    Parameters
    ----------
    sweep : AmplitudeSweep
        As analysed.
    rows : AmplitudeRows
        The amplitude part it was made of.
    time_recorded : bool
        False where the time was supposed from the nominal length.
    frequency_part_c : float or None
        Mean temperature of the frequency part; None where the slope was stated [°C].

    Returns
    -------
    tuple of Measure
        Peak, loss, counts, rises of the modulus, strain, frequency, temperatures, fit.
    """
    strain = 100.0 * rows.strain
    whole = np.array([point.integrity for point in sweep.points])
    law = sweep.laws[0] if sweep.laws else None
    asked = [life.strain_percent for life in law.lives] if law else []
    measures = [
        Measure("stress_peak_found", float(sweep.peak is not None)),
        Measure("modulus_lost_percent", 100.0 * (1.0 - float(whole.min())), "%"),
        Measure("failures_found", float(len(sweep.laws))),
        Measure("amplitude_rows", float(strain.size)),
        *_rises(whole, strain),
        Measure("strain_falls", float(np.count_nonzero(np.diff(strain) < 0.0))),
        Measure("first_strain_percent", float(strain[0]), "%"),
        Measure("last_strain_percent", float(strain[-1]), "%"),
        Measure("frequency_hz", rows.frequency_hz, "Hz"),
        Measure("time_recorded", float(time_recorded)),
        Measure("loss_at_failure_percent", 100.0 * LOSS_AT_FAILURE, "%"),
    ]
    if law is not None:
        measures += [
            Measure("damage_fit_points", float(law.fit.points)),
            Measure("damage_fit_scatter_percent", 100.0 * law.fit.scatter, "%"),
        ]
    outside = [s for s in asked if not float(strain.min()) <= s <= float(strain.max())]
    if outside:
        measures.append(Measure("asked_strain_outside", outside[0], "%"))
    slope = sweep.slope
    measures.append(Measure("slope_fitted", float(slope.standard is not None)))
    if slope.determination is not None:
        measures += [
            Measure("slope_points", float(slope.points)),
            Measure("slope_determination", slope.determination),
        ]
    if frequency_part_c is not None:
        apart = abs(frequency_part_c - rows.temperature_c)
        measures.append(Measure("parts_apart_c", apart, "°C"))
    return tuple(measures)


def _rises(whole: Floats, strain: Floats) -> list[Measure]:
    """Measure the largest rise of the modulus above its lowest so far, less three times its scatter."""
    rise = whole - np.minimum.accumulate(whole) - 3.0 * row_scatter(whole)
    worst = int(rise.argmax())
    return [
        Measure(
            "modulus_rise_percent", 100.0 * max(float(rise[worst]), 0.0), "%", f"{strain[worst]:.3g} % strain"
        )
    ]
