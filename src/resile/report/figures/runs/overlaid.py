"""Several creep-recovery runs in one picture, aligned by cycle at one stress."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.creep_recovery import CreepRecoveryRun, Cycle
from resile.report.figures.creep_recovery_cycle import curve_of_cycle
from resile.report.figures.creep_recovery_run import cycle_length
from resile.report.figures.decimation import MOST_POINTS
from resile.report.figures.series import MOST_SERIES, SHARED, series_lines, series_marks
from resile.report.figures.style import MUTED, WIDTH, Spec, chart, empty_chart, number_axis, rows, text_mark

_STRAIN_HEIGHT = 210
_HEIGHT = 150
_PANEL_WIDTH = 240
_LEAST_SPAN = 0.08
_MARKS_A_CURVE = 12


def figure_overlaid(
    runs: Sequence[CreepRecoveryRun], names: Sequence[str], *, stress_kpa: float, place: int = 1
) -> Spec:
    """Draw one cycle and all cycle values of up to six runs over each other.

    Parameters
    ----------
    runs : sequence of CreepRecoveryRun
        Reduced runs; one without this stress has its name in the legend and nothing drawn.
    names : sequence of str
        What tells them apart, one a run.
    stress_kpa : float
        Nominal stress [kPa].
    place : int
        Which evaluated cycle is magnified, counted from 1.

    Returns
    -------
    dict
        Above, strain over time in the cycle; below, Jnr and recovery over the evaluated cycles. Each run has
        a line, a mark and a colour of its own.

    Raises
    ------
    ValueError
        More than six runs cannot be told apart.
    """
    if len(runs) > MOST_SERIES:
        raise ValueError(f"{len(runs)} runs: at most {MOST_SERIES} can be told apart in one picture")
    values = _values(runs, names, stress_kpa)
    if not values:
        return empty_chart(f"None of these runs has cycles at {stress_kpa:g} kPa.", width=WIDTH)
    lower = {
        "hconcat": [
            _value_panel(names, values, "jnr", "Jnr (1/kPa)"),
            _value_panel(names, values, "recovery", "recovery (%)"),
        ],
        "spacing": 30,
    }
    upper = _curve_panel(runs, names, stress_kpa, place)
    told = "; ".join(dict.fromkeys(row["series"] for row in values))
    return chart(
        f"Strain in evaluated cycle {place} at {stress_kpa:g} kPa, and Jnr and recovery of every evaluated "
        f"cycle, of these runs: {told}.",
        {"vconcat": [upper, lower], "spacing": 16, "resolve": SHARED},
    )


def _cycles(run: CreepRecoveryRun, stress_kpa: float) -> tuple[Cycle, ...]:
    level = run.level(stress_kpa)
    return () if level is None else level.cycles


def _values(
    runs: Sequence[CreepRecoveryRun], names: Sequence[str], stress_kpa: float
) -> list[dict[str, Any]]:
    return [
        {"place": place, "jnr": cycle.jnr, "recovery": cycle.percent_recovery, "series": name}
        for run, name in zip(runs, names, strict=True)
        for place, cycle in enumerate(_cycles(run, stress_kpa), start=1)
    ]


def _curve(run: CreepRecoveryRun, cycle: Cycle, most: int) -> list[tuple[float, float]]:
    """Give time in the cycle [s] and strain above its start [%]."""
    length = cycle_length(run)
    creep = run.programme.creep_time_s if run.programme else 0.1 * length
    times, strain = curve_of_cycle(run, cycle, creep, length, most=most)
    return list(zip(times.tolist(), strain.tolist(), strict=True))


def _curve_panel(
    runs: Sequence[CreepRecoveryRun], names: Sequence[str], stress_kpa: float, place: int
) -> Spec:
    data: list[dict[str, Any]] = []
    marked: list[dict[str, Any]] = []
    for run, name in zip(runs, names, strict=True):
        cycles = _cycles(run, stress_kpa)
        if 0 < place <= len(cycles):
            curve = _curve(run, cycles[place - 1], MOST_POINTS // len(runs) - 8)
            own = [{"time": time, "strain": strain, "series": name} for time, strain in curve]
            data += own
            marked += own[:: max(1, len(own) // _MARKS_A_CURVE)]
    colour, shape = series_marks(names)
    x = {
        "field": "time",
        "type": "quantitative",
        "scale": {"nice": False},
        "axis": number_axis("time in the cycle (s)", tickCount=10, grid=False),
    }
    y = {
        "field": "strain",
        "type": "quantitative",
        "axis": number_axis("shear strain in the cycle (%)", tickCount=5, minExtent=38),
    }
    layers = [
        *series_lines(names, data, {"x": x, "y": y}, width=1.6),
        {
            "data": {"values": marked},
            "mark": {"type": "point", "filled": True, "size": 46, "opacity": 1},
            "encoding": {"x": x, "y": y, "color": colour, "shape": shape},
        },
    ]
    if not data:
        layers.append(
            {"data": rows(time=[0.0]), "mark": text_mark(f"no evaluated cycle {place}", color=MUTED)}
        )
    return {
        "width": WIDTH - 60,
        "height": _STRAIN_HEIGHT,
        "layer": layers,
        "title": {"text": f"evaluated cycle {place} at {stress_kpa:g} kPa", "anchor": "start"},
    }


def _value_panel(names: Sequence[str], values: list[dict[str, Any]], field: str, title: str) -> Spec:
    numbers = [row[field] for row in values]
    low, high = min(numbers), max(numbers)
    room = max(_LEAST_SPAN * max(abs(low), abs(high)), 0.12 * (high - low), 1e-9)
    most = max(row["place"] for row in values)
    colour, shape = series_marks(names)
    x = {
        "field": "place",
        "type": "quantitative",
        "scale": {"domain": [0.5, most + 0.5], "nice": False},
        "axis": number_axis("evaluated cycle", values=list(range(1, most + 1)), grid=False),
    }
    y = {
        "field": field,
        "type": "quantitative",
        "scale": {"domain": [low - room, high + room], "nice": False, "zero": False},
        "axis": number_axis(title, tickCount=5, minExtent=38),
    }
    return {
        "width": _PANEL_WIDTH,
        "height": _HEIGHT,
        "layer": [
            *series_lines(names, values, {"x": x, "y": y}, width=1.1),
            {
                "data": {"values": values},
                "mark": {"type": "point", "filled": True, "size": 46, "opacity": 1},
                "encoding": {"x": x, "y": y, "color": colour, "shape": shape},
            },
        ],
    }
