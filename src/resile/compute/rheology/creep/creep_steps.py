"""Find the pushes and recoveries of a creep-recovery record from its stress and strain.

What is in here: `find_cycles` turns time, stress and strain into arrays with one entry a cycle (where it
starts, its strain at the start, at the end of creep and at the end of recovery). It trusts the signal only:
cycle or step numbers written in a file are not needed. `creep_recovery.reduce_creep_recovery` builds on it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.creep.creep_cycles import CYCLE_ARRAYS, Cycles
from resile.compute.rheology.creep.creep_pushes import find_pushes, over_cycles
from resile.errors import MeasurementError
from resile.records.creep_recovery import CreepRecoveryProgramme

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]

TIME_TOLERANCE_S = 2e-3
"""Two times nearer than this are the same point: printed times carry two or three decimals. Where the rows
themselves stand closer, it is `SAME_POINT` of their distance."""

SAME_POINT = 0.4

LOST_RECOVERY_S = 1.0
"""A cycle whose record stops more than this before the end of recovery is incomplete, not extrapolated."""


NOT_ZEROED = 0.5
"""A first point off by more than this share of the second cycle's first rise had another origin than zero."""


def find_cycles(
    time_s: Floats, stress_kpa: Floats, strain: Floats, *, programme: CreepRecoveryProgramme
) -> Cycles:
    """Find every cycle of a record and the three strains that decide it.

    Parameters
    ----------
    time_s, stress_kpa, strain : ndarray, shape (n,)
        Running time [s] in order, stress [kPa] and strain [ratio].
    programme : CreepRecoveryProgramme
        Nominal times and stresses.

    Returns
    -------
    Cycles
        In the order of the record.

    Raises
    ------
    MeasurementError
        When no push is found, or no cycle is complete.

    Notes
    -----
    A row that stands exactly at a switch belongs to the old stress in some records and to the new one in
    others. The strain tells: if it has not yet risen at the first loaded row, that row is the start.
    """
    first, last = find_pushes(time_s, stress_kpa, programme)
    restarts = _strain_restarts(strain, stress_kpa, first, last)
    new_at_switch = _switch_row_carries_new_stress(strain, stress_kpa, first, last, restarts=restarts)
    tolerance = _time_tolerance(time_s, first, last)
    start, width = _cycle_starts(time_s, first, last, programme, tolerance, new_at_switch=new_at_switch)
    shift = 1 if new_at_switch else 0
    count = len(time_s)
    creep_end = np.minimum(last + shift, count - 1)
    # Where the strain restarts, the row at the switch already shows the new cycle's zero.
    recovery_end = np.append(first[1:] - 1 + (0 if restarts else shift), count - 1)

    creep, creep_gap, creep_between = _strain_at(
        time_s, strain, start + programme.creep_time_s, tolerance, lowest=first, highest=creep_end
    )
    cycle_time = programme.creep_time_s + programme.recovery_time_s
    recovered, recovery_gap, recovery_between = _strain_at(
        time_s,
        strain,
        start + cycle_time,
        tolerance,
        lowest=np.minimum(last + 1, count - 1),
        highest=recovery_end,
    )
    at_start = np.abs(time_s[first] - start) <= tolerance
    initial, assumed = _initial_strain(strain, at_start, first, new=new_at_switch, restarts=restarts)
    stress = _mean_stress(time_s, stress_kpa, start, first, last)
    if assumed and len(first) > 1 and abs(stress[1] - stress[0]) < 0.1 * stress[0]:
        initial[0] = _assumed_origin(time_s, strain, start, initial, creep, np.array([first[1], last[1]]))
    whole = recovery_gap <= LOST_RECOVERY_S
    if not whole.any():
        raise MeasurementError(
            f"the first recovery lasts {time_s[recovery_end[0]] - start[0] - programme.creep_time_s:.3g} s; "
            f"this method needs {programme.recovery_time_s:g} s at zero stress "
            "(is the time in its right unit?)"
        )
    columns = dict(
        zip(
            CYCLE_ARRAYS,
            (
                first,
                last,
                recovery_end,
                start,
                stress,
                initial,
                creep,
                recovered,
                creep_gap,
                recovery_gap,
                creep_between,
                recovery_between,
                width,
            ),
            strict=True,
        )
    )
    return Cycles(
        **{name: values[whole] for name, values in columns.items()},
        origin_assumed=assumed,
        strain_restarts=restarts,
        incomplete=int(len(whole) - np.count_nonzero(whole)),
    )


def _time_tolerance(time_s: Floats, first: Integers, last: Integers) -> float:
    """Give how near two times must be to be one point, by the distance of the rows in the first push."""
    rows = int(last[0] - first[0])
    step = float(time_s[last[0]] - time_s[first[0]]) / rows if rows else np.inf
    return min(TIME_TOLERANCE_S, SAME_POINT * step)


def _strain_restarts(strain: Floats, stress: Floats, first: Integers, last: Integers) -> bool:
    """Tell whether the record sets the strain back to zero in each cycle.

    The first loaded point of a later cycle lies where the first cycle's did if the strain restarts, and
    higher by what the cycle before has left behind if it runs on. Only cycles of the first stress are asked.
    A record that was not zeroed before the test is told from one that restarts by the row before the first
    push or, where it begins loaded, by its growth: where the strain runs on, the starts of the cycles climb
    with what is left behind.
    """
    later = first[1:][np.abs(stress[first[1:]] - stress[first[0]]) < 0.1 * stress[first[0]]]
    if not len(later):
        return False
    begin, left_behind = strain[later], strain[later - 1]
    if first[0] == 0 and _climbs_with(begin, left_behind, push=float(strain[last[0]] - strain[first[0]])):
        return False
    origin = strain[first[0] - 1] if first[0] > 0 else 0.0
    rise = strain[first[0]] - origin
    if_restarted = np.abs(begin - rise).sum()
    if_running_on = np.abs(begin - left_behind - rise).sum()
    return bool(if_restarted < if_running_on)


def _climbs_with(begin: Floats, left_behind: Floats, *, push: float) -> bool:
    """Tell whether the starts of the cycles rise as much as the ends of the cycles before them.

    Where a push has one row only, its own height is not known: then every start must lie above the last.
    """
    climb = begin[-1] - begin[0]
    steady = climb > 0.1 * abs(push) if push else bool((np.diff(begin) > 0).all())
    much = climb > 1e-6 * abs(begin[0])
    return bool(steady and much and abs(climb - (left_behind[-1] - left_behind[0])) < 0.3 * climb)


def _switch_row_carries_new_stress(
    strain: Floats, stress: Floats, first: Integers, last: Integers, *, restarts: bool
) -> bool:
    """Tell whether the first loaded row still shows the strain from before the push."""
    usable = last > first if restarts else (first > 0) & (last > first)
    begin = first[usable]
    if not len(begin):
        return False
    begin = begin[stress[begin + 1] > 0.5 * stress[begin + 1].max()]  # the strongest push has the least noise
    jump = strain[begin] if restarts else strain[begin] - strain[begin - 1]
    rise = strain[begin + 1] - strain[begin]
    known = rise > 0
    share = np.sort(jump[known] / rise[known])
    # The middle value; numpy's own median would load its masked arrays, a tenth of a second at the start.
    return bool(len(share) and share[len(share) // 2] < 0.15)


def _cycle_starts(
    time_s: Floats,
    first: Integers,
    last: Integers,
    programme: CreepRecoveryProgramme,
    tolerance: float,
    *,
    new_at_switch: bool,
) -> tuple[Floats, Floats]:
    """Give the start of each cycle [s] and the width of the interval it lies in [s].

    The start lies between the last unloaded and the first loaded point, and one creep time before the
    interval in which the stress is taken off. Cycles without pauses share one grid, which narrows it further.
    """
    creep, cycle = programme.creep_time_s, programme.creep_time_s + programme.recovery_time_s
    before = np.where(first > 0, time_s[np.maximum(first - 1, 0)], -np.inf)
    on = time_s[first]
    after = np.where(last + 1 < len(time_s), time_s[np.minimum(last + 1, len(time_s) - 1)], np.inf)
    low = np.maximum(before, time_s[last] - creep)
    high = np.minimum(on, after - creep)
    number = np.rint((on - on[0]) / cycle)
    earliest, latest = float((low - cycle * number).max()), float((high - cycle * number).min())
    if earliest <= latest + tolerance:
        own_clock = bool(time_s[0] <= creep)
        phase = _grid_phase(earliest, latest, tolerance, own_clock=own_clock, new_at_switch=new_at_switch)
        return phase + cycle * number, np.full(len(first), max(latest - earliest, 0.0))
    crossed = low > high + tolerance  # the push itself is longer or shorter than nominal
    edge_old = np.where(np.isfinite(before), before, low)
    start = np.where(crossed, on if new_at_switch else edge_old, high if new_at_switch else low)
    return start, np.where(crossed, on - edge_old, np.maximum(high - low, 0.0))


def _grid_phase(
    earliest: float, latest: float, tolerance: float, *, own_clock: bool, new_at_switch: bool
) -> float:
    """Give the start of the first cycle [s] out of the interval in which it lies."""
    if new_at_switch:
        return latest
    whole_second = float(np.ceil(earliest - tolerance))
    # A programme starts on its own clock; the latest time itself already carries the new stress.
    if own_clock and whole_second < latest - tolerance:
        return whole_second
    return min(earliest, latest)


def _strain_at(
    time_s: Floats,
    strain: Floats,
    wanted_s: Floats,
    tolerance: float,
    *,
    lowest: Integers,
    highest: Integers,
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Give the strain at wanted times, using only points ``lowest`` to ``highest`` of each cycle.

    Returns the strain, the gap to the last point where that lies before the wanted time, and whether the
    value lies between two points. Beyond the last point the line through the last two is carried on.
    """
    lowest = np.minimum(lowest, highest)
    right = np.searchsorted(time_s, wanted_s - tolerance)
    right = np.clip(right, np.minimum(lowest + 1, highest), highest)
    left = np.maximum(right - 1, lowest)
    span = time_s[right] - time_s[left]
    exact = np.abs(time_s[right] - wanted_s) <= tolerance
    slope = np.where(span > 0, (strain[right] - strain[left]) / np.where(span > 0, span, 1.0), 0.0)
    value = np.where(exact, strain[right], strain[right] + slope * (wanted_s - time_s[right]))
    gap = np.maximum(wanted_s - time_s[highest], 0.0)
    gap[gap <= tolerance] = 0.0
    return value, gap, ~exact & (gap == 0.0)


def _initial_strain(
    strain: Floats, at_start: NDArray[np.bool_], first: Integers, *, new: bool, restarts: bool
) -> tuple[Floats, bool]:
    """Give the strain at the start of each cycle, and whether that of the first one had to be assumed."""
    if restarts:
        initial = np.where(at_start, strain[first], 0.0)
    else:
        initial = np.where(at_start & (new | (first == 0)), strain[first], strain[np.maximum(first - 1, 0)])
    assumed = bool(first[0] == 0 and not at_start[0])
    if assumed:
        initial[0] = 0.0
    return initial, assumed


def _assumed_origin(
    time_s: Floats, strain: Floats, start: Floats, initial: Floats, creep: Floats, rows: Integers
) -> float:
    """Give the strain at the start of the first cycle where no point stands there.

    It is zero, as programmes start, unless both the first point and the end of creep lie far above where the
    second cycle of the same stress has them over its own start: then the record was not zeroed, or begins in
    the middle of the test.
    """
    first, last = rows
    times = np.concatenate((start[1:2], time_s[first : last + 1]))
    strains = np.concatenate((initial[1:2], strain[first : last + 1]))
    rise = float(np.interp(start[1] + time_s[0] - start[0], times, strains)) - float(initial[1])
    offset = float(strain[0]) - rise
    offset_at_end = float(creep[0] - (creep[1] - initial[1]))
    agree = offset * offset_at_end > 0.0 and abs(offset_at_end) > NOT_ZEROED * abs(offset)
    return offset if agree and abs(offset) > NOT_ZEROED * abs(rise) else 0.0


def _mean_stress(time_s: Floats, stress: Floats, start: Floats, first: Integers, last: Integers) -> Floats:
    """Mean stress of each push, its first 0.03 s and drop-outs left out where other points exist."""
    begin = np.clip(np.searchsorted(time_s, start + 0.03 - 1e-9), first, last)
    count = last + 1 - begin
    means: Floats = over_cycles(np.add, stress, begin, last) / count
    if (over_cycles(np.minimum, stress, begin, last) >= 0.5 * means).all():
        return means
    points = np.diff(np.concatenate(([0], first[1:], [len(stress)])))
    standing = stress > 0.5 * np.repeat(means, points)
    share = over_cycles(np.add, standing.astype(float), begin, last) / count
    return over_cycles(np.add, stress * standing, begin, last) / count / np.maximum(share, 1e-9)
