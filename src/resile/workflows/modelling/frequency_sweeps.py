"""Whether the points of a run are frequency sweeps that a master curve can be made of."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from resile.compute.rheology.master_curve.fitting.sweep_rows import arrange_sweeps
from resile.compute.rheology.master_curve.forms.shifts import SHIFTS
from resile.errors import MeasurementError
from resile.records.models.master_curve import CurveShift
from resile.records.oscillation import OscillationPoint

_FEWEST_FREQUENCIES = 3


def holds_frequency_sweeps(points: Sequence[OscillationPoint]) -> bool:
    """Tell whether a master curve can be made of the points of one run.

    Parameters
    ----------
    points : sequence of OscillationPoint
        In any order.

    Returns
    -------
    bool
        True where every row states its frequency, and there are as many frequencies and temperatures as the
        least demanding shift needs.
    """
    frequencies = {point.angular_frequency_rad_s for point in points}
    if None in frequencies or len(frequencies) < _FEWEST_FREQUENCIES:
        return False
    try:
        rows = arrange_sweeps(
            *np.array(
                [
                    (p.temperature_c, p.angular_frequency_rad_s, p.complex_modulus, p.phase_angle)
                    for p in points
                ]
            ).T
        )
    except MeasurementError:
        return False
    return len(rows.nodes_c) >= SHIFTS[CurveShift.FREE].temperatures
