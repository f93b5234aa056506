"""One cycle magnified: what springs back and what stays behind, shaded, bracketed and named."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.errors import RecordNotFoundError
from resile.records.creep_recovery import CreepRecoveryRun, Cycle
from resile.report.figures.creep_recovery_run import levels_in_order
from resile.report.figures.decimation import kept_points
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STAYS_BEHIND_TINT,
    STRAIN,
    STRESS,
    Spec,
    chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown

_WIDTH = 570
_HEIGHT = 236
_WORDS_ROOM = 0.52  # share of a cycle left free on the right for brackets and words
_HATCH_LINES = 46


def figure_cycle(run: CreepRecoveryRun, stress_kpa: float, number: int) -> Spec:
    """Draw one cycle with its recovered and its unrecovered part.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run; without its signal the three decisive points are joined.
    stress_kpa : float
        Nominal stress of the level [kPa].
    number : int
        Number of the cycle within that level.

    Returns
    -------
    dict
        A Vega-Lite specification.

    Raises
    ------
    RecordNotFoundError
        If the run has no such cycle.
    """
    cycle = cycle_of(run, stress_kpa, number)
    creep = run.programme.creep_time_s if run.programme else 1.0
    length = creep + (run.programme.recovery_time_s if run.programme else 9.0)
    times, strain = curve_of_cycle(run, cycle, creep, length)
    peak = 100.0 * (cycle.creep_strain - cycle.initial_strain)
    left = 100.0 * (cycle.recovered_strain - cycle.initial_strain)
    x_domain = [0.0, length * (1.0 + _WORDS_ROOM)]
    y_domain = [min(0.0, 1.1 * left), 1.17 * max(peak, left, float(strain.max()))]
    x = {"field": "time", "type": "quantitative", "scale": {"domain": x_domain, "nice": False}}
    y = {"field": "strain", "type": "quantitative", "scale": {"domain": y_domain, "nice": False}}
    x["axis"] = number_axis(
        "time in the cycle (s)",
        values=list(range(int(length) + 1)),
        grid=False,
        domain=False,
        titleAnchor="start",
    )
    y["axis"] = number_axis("shear strain in the cycle (%)", tickCount=5, grid=False)
    layers = [
        *_shading(times, strain, creep, (peak, left), x, y),
        {
            "data": rows(time=times.tolist(), strain=strain.tolist()),
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 2},
            "encoding": {"x": x, "y": y},
        },
        *_guides(creep, length, (peak, left), x, y),
        *_brackets(cycle, stress_kpa, length, (peak, left), x, y),
        *_load_words(stress_kpa, creep, length, y_domain[1], x, y),
    ]
    return chart(
        f"Cycle {number} at {stress_kpa:g} kPa: strain rises to {fixed(peak, 1)} % while loaded, "
        f"{shown(cycle.percent_recovery, 'percent_recovery_3.2')} % of it springs back, "
        f"{fixed(left, 1)} % strain stays behind (Jnr = {shown(cycle.jnr, 'jnr_3.2')} 1/kPa).",
        {"width": _WIDTH, "height": _HEIGHT, "layer": layers},
    )


def cycle_of(run: CreepRecoveryRun, stress_kpa: float, number: int) -> Cycle:
    """Give a cycle of a run, a conditioning one as well.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.
    stress_kpa : float
        Nominal stress [kPa].
    number : int
        Number of the cycle at that stress.

    Returns
    -------
    Cycle
        As reduced.

    Raises
    ------
    RecordNotFoundError
        Says which cycles the run has at this stress.
    """
    cycles = dict(levels_in_order(run)).get(stress_kpa, ())
    for cycle in cycles:
        if cycle.number == number:
            return cycle
    had = f"cycles {cycles[0].number} to {cycles[-1].number}" if cycles else "no cycles"
    raise RecordNotFoundError(f"Cycle {number} at {stress_kpa:g} kPa: the run has {had} at this stress.")


def curve_of_cycle(
    run: CreepRecoveryRun, cycle: Cycle, creep: float, length: float, *, most: int = 500
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give the strain of one cycle above its start.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run; without its signal the three decisive points are given.
    cycle : Cycle
        One of its cycles.
    creep, length : float
        How long it is loaded, and how long it lasts [s].
    most : int
        Most points between the decisive ones.

    Returns
    -------
    tuple of ndarray of float, shape (n,)
        Time in the cycle [s] and strain [%], both ends and the peak included.
    """
    ends = np.array([0.0, creep, length])
    at_ends = np.array([cycle.initial_strain, cycle.creep_strain, cycle.recovered_strain])
    if run.signal is None:
        return ends, 100.0 * (at_ends - cycle.initial_strain)
    times = run.signal.columns["time_s"] - cycle.start_s
    inside = (times > 0.0) & (times < length) & (np.abs(times - creep) > 1e-6)
    kept = kept_points(times[inside], run.signal.columns["strain"][inside], [creep], most=most)
    all_times = np.concatenate([ends, times[inside][kept]])
    all_strain = np.concatenate([at_ends, run.signal.columns["strain"][inside][kept]])
    order = np.argsort(all_times, kind="stable")
    return all_times[order], 100.0 * (all_strain[order] - cycle.initial_strain)


def _shading(
    times: NDArray[np.float64],
    strain: NDArray[np.float64],
    creep: float,
    ends: tuple[float, float],
    x: Spec,
    y: Spec,
) -> list[Spec]:
    """A plain tint for what stays behind; a tint with upright hatching for what springs back."""
    peak, left = ends
    let_go = times >= creep
    hatch_times = np.linspace(creep, float(times[-1]), _HATCH_LINES + 1)[1:]
    hatch = np.interp(hatch_times, times, strain)
    return [
        {
            "data": rows(
                time=times.tolist(), strain=np.minimum(strain, left).tolist(), floor=[0.0] * len(times)
            ),
            "mark": {"type": "area", "color": STAYS_BEHIND_TINT},
            "encoding": {"x": x, "y": y, "y2": {"field": "floor"}},
        },
        {
            "data": rows(
                time=times[let_go].tolist(), strain=strain[let_go].tolist(), peak=[peak] * int(let_go.sum())
            ),
            "mark": {"type": "area", "color": SPRINGS_BACK_TINT},
            "encoding": {"x": x, "y": y, "y2": {"field": "peak"}},
        },
        {
            "data": rows(time=hatch_times.tolist(), strain=hatch.tolist(), peak=[peak] * len(hatch_times)),
            "mark": {"type": "rule", "color": SPRINGS_BACK, "strokeWidth": 0.6, "opacity": 0.75},
            "encoding": {"x": x, "y": y, "y2": {"field": "peak"}},
        },
    ]


def _guides(creep: float, length: float, ends: tuple[float, float], x: Spec, y: Spec) -> list[Spec]:
    """Fine lines that carry the peak, the residue and the origin over to the brackets."""
    peak, left = ends
    reach = length * 1.015
    lines = rows(
        time=[creep, length, 0.0], until=[reach, reach, reach], strain=[peak, left, 0.0], kind=["a", "a", "b"]
    )
    return [
        {
            "data": lines,
            "mark": {"type": "rule", "color": MUTED, "strokeWidth": 0.8},
            "encoding": {"x": x, "x2": {"field": "until"}, "y": y},
        },
        {
            "data": rows(time=[0.0, creep, length], strain=[0.0, peak, left]),
            "mark": {"type": "point", "filled": True, "size": 34, "color": INK, "opacity": 1},
            "encoding": {"x": x, "y": y},
        },
    ]


def _brackets(
    cycle: Cycle, stress_kpa: float, length: float, ends: tuple[float, float], x: Spec, y: Spec
) -> list[Spec]:
    peak, left = ends
    recovery = shown(cycle.percent_recovery, "percent_recovery_3.2")
    parts = (
        (
            left,
            peak,
            SPRINGS_BACK,
            f"springs back {recovery} %",
            f"of the {fixed(peak, 1)} % strain under load",
        ),
        (
            0.0,
            left,
            STAYS_BEHIND,
            f"stays behind: Jnr = {shown(cycle.jnr, 'jnr_3.2')} 1/kPa",
            f"{fixed(left, 1)} % strain (ratio {shown(left / 100.0, 'jnr_3.2')}) over {stress_kpa:g} kPa",
        ),
    )
    at, tip, words = length * 1.035, length * 1.02, length * 1.055
    layers: list[Spec] = []
    for low, high, colour, first, second in parts:
        layers += [
            {
                "data": rows(time=[tip, at, at, tip], strain=[low, low, high, high], step=[1, 2, 3, 4]),
                "mark": {"type": "line", "color": colour, "strokeWidth": 2},
                "encoding": {"x": x, "y": y, "order": {"field": "step", "type": "quantitative"}},
            },
            *(
                {
                    "data": rows(time=[words], strain=[0.5 * (low + high)]),
                    "mark": text_mark(
                        text, align="left", baseline="middle", dy=shift, fontSize=size, **style
                    ),
                    "encoding": {"x": x, "y": y},
                }
                for text, shift, size, style in (
                    (first, -8, 13, {"color": colour, "fontWeight": 600}),
                    (second, 9, 11.5, {"color": MUTED}),
                )
            ),
        ]
    return layers


def _load_words(stress_kpa: float, creep: float, length: float, top: float, x: Spec, y: Spec) -> list[Spec]:
    """A bar over the curve: loaded, then let go."""
    return [
        {
            "data": rows(time=[0.0], until=[creep], strain=[top]),
            "mark": {"type": "rule", "color": STRESS, "strokeWidth": 6},
            "encoding": {"x": x, "x2": {"field": "until"}, "y": y},
        },
        {
            "data": rows(time=[creep], until=[length], strain=[top]),
            "mark": {"type": "rule", "color": STRESS, "strokeWidth": 1, "strokeDash": [4, 3]},
            "encoding": {"x": x, "x2": {"field": "until"}, "y": y},
        },
        {
            "data": rows(time=[0.0], strain=[top]),
            "mark": text_mark(
                f"loaded {creep:g} s at {stress_kpa:g} kPa (thick bar), then let go {length - creep:g} s",
                align="left",
                baseline="bottom",
                dy=-6,
                color=STRESS,
            ),
            "encoding": {"x": x, "y": y},
        },
    ]
