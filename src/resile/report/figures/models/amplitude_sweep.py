"""Pictures of a linear amplitude sweep: stress and what is left whole, and the fatigue law."""

from __future__ import annotations

import math

from resile.records.models.amplitude_sweep import AmplitudeSweep, DamagePoint, FatigueLaw
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    decade_ticks,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, three_figures
from resile.report.paper.models.model import measured

_PANEL = 236
_HEIGHT = 200
_MOST_POINTS = 400


def figures_of_sweep(sweep: AmplitudeSweep) -> dict[str, Spec]:
    """Give the pictures of a sweep by name: ``damage``, and ``fatigue`` where there is a law."""
    figures = {"damage": figure_damage(sweep)}
    if sweep.laws and len(sweep.laws[0].lives) > 1:
        figures["fatigue"] = figure_fatigue(sweep.laws[0])
    return figures


def figure_damage(sweep: AmplitudeSweep) -> Spec:
    """Draw the stress against strain with its peak, and what is left whole against damage with its fit.

    Parameters
    ----------
    sweep : AmplitudeSweep
        As analysed.

    Returns
    -------
    dict
        Two panels side by side.
    """
    points = _thinned(sweep)
    peak = None if sweep.peak is None else sweep.points[sweep.peak]
    law = sweep.laws[0] if sweep.laws else None
    told = (
        f"Highest stress {fixed(peak.stress_kpa, 1)} kPa at {fixed(peak.strain_percent, 1)} % strain."
        if peak
        else "The stress has no peak."
    )
    fitted = (
        f" C = {measured(law.fit.initial)} - {measured(law.fit.loss_coefficient)} "
        f"D^{fixed(law.fit.loss_exponent, 3)}, failure at D = {measured(law.damage_at_failure)}."
        if law
        else ""
    )
    body = {"hconcat": [_stress_panel(points, peak), _integrity_panel(points, law)], "spacing": 22}
    return chart(f"Shear stress against strain, and share of |G*| left against damage. {told}{fitted}", body)


def _thinned(sweep: AmplitudeSweep) -> list[DamagePoint]:
    step = max(1, math.ceil(len(sweep.points) / _MOST_POINTS))
    kept = set(range(0, len(sweep.points), step)) | {len(sweep.points) - 1}
    if sweep.peak is not None:
        kept.add(sweep.peak)
    return [sweep.points[place] for place in sorted(kept)]


def _axis(field: str, title: str, **scale: object) -> Spec:
    return {
        "field": field,
        "type": "quantitative",
        "scale": {"nice": True, **scale},
        "axis": number_axis(title, tickCount=5),
    }


def _stress_panel(points: list[DamagePoint], peak: DamagePoint | None) -> Spec:
    x = {**_axis("strain", "strain amplitude (%)", zero=True)}
    x["axis"] = number_axis("strain amplitude (%)", tickCount=6, grid=False)
    y = _axis("stress", "stress amplitude (kPa)", zero=True)
    data = rows(strain=[p.strain_percent for p in points], stress=[p.stress_kpa for p in points])
    layers: list[Spec] = [
        {
            "data": data,
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.6},
            "encoding": {"x": x, "y": y, "order": {"field": "strain", "type": "quantitative"}},
        }
    ]
    if peak is not None:
        at = rows(strain=[peak.strain_percent], stress=[peak.stress_kpa])
        mark = {
            "type": "point",
            "filled": True,
            "color": STAYS_BEHIND,
            "size": 70,
            "opacity": 1,
            "shape": "diamond",
        }
        words = text_mark(
            f"peak {fixed(peak.stress_kpa, 1)} kPa at {fixed(peak.strain_percent, 1)} %",
            align="left",
            baseline="bottom",
            dx=4,
            dy=-8,
            color=INK,
        )
        layers += [
            {"data": at, "mark": mark, "encoding": {"x": x, "y": y}},
            {"data": at, "mark": words, "encoding": {"x": x, "y": y}},
        ]
    return {"width": _PANEL, "height": _HEIGHT, "layer": layers}


def _integrity_panel(points: list[DamagePoint], law: FatigueLaw | None) -> Spec:
    x = _axis("damage", "damage D", zero=True)
    x["axis"] = number_axis("damage D", tickCount=5, grid=False)
    y = _axis("whole", "|G*|/initial |G*|", domain=[0, 1.05], nice=False)
    data = rows(damage=[p.damage for p in points], whole=[p.integrity for p in points])
    marks = {"type": "point", "filled": True, "color": STRAIN, "size": 12, "opacity": 0.7}
    layers: list[Spec] = [{"data": data, "mark": marks, "encoding": {"x": x, "y": y}}]
    if law is not None:
        last = max(p.damage for p in points)
        grid = [last * place / 80 for place in range(81)]
        fit = law.fit
        values = [
            fit.initial - fit.loss_coefficient * d**fit.loss_exponent if d else fit.initial for d in grid
        ]
        inside = [(d, c) for d, c in zip(grid, values, strict=True) if c >= 0.0]
        curve = rows(damage=[d for d, _ in inside], whole=[c for _, c in inside])
        line = {"type": "line", "color": INK, "strokeWidth": 1.2, "strokeDash": [5, 3]}
        order = {"field": "damage", "type": "quantitative"}
        layers.append({"data": curve, "mark": line, "encoding": {"x": x, "y": y, "order": order}})
        at = rows(damage=[law.damage_at_failure], whole=[fit.initial - law.loss_at_failure])
        mark = {
            "type": "point",
            "filled": True,
            "color": STAYS_BEHIND,
            "size": 70,
            "opacity": 1,
            "shape": "diamond",
        }
        words = text_mark("failure", align="left", baseline="bottom", dx=8, dy=-3, color=INK)
        layers += [
            {"data": at, "mark": mark, "encoding": {"x": x, "y": y}},
            {"data": at, "mark": words, "encoding": {"x": x, "y": y}},
        ]
    return {"width": _PANEL, "height": _HEIGHT, "layer": layers}


def figure_fatigue(law: FatigueLaw) -> Spec:
    """Draw cycles to failure against strain with the interval at the strains asked for.

    Parameters
    ----------
    law : FatigueLaw
        With two strains or more.

    Returns
    -------
    dict
        Both axes logarithmic, the band where there are intervals.
    """
    lives = law.lives
    low = min(life.low or life.cycles for life in lives)
    high = max(life.high or life.cycles for life in lives)
    first, last = lives[0].strain_percent / 1.25, lives[-1].strain_percent * 1.25
    ends = [first, last]
    line = rows(strain=ends, cycles=[law.coefficient_a * s**-law.exponent_b for s in ends])
    domain = [low * 1.25**-law.exponent_b / 1.3, high * 1.25**law.exponent_b * 1.3]
    x = {
        "field": "strain",
        "type": "quantitative",
        "scale": {"type": "log", "domain": ends, "nice": False},
        "axis": number_axis(
            "strain amplitude (%)", values=[life.strain_percent for life in lives], grid=False
        ),
    }
    y = {
        "field": "cycles",
        "type": "quantitative",
        "scale": {"type": "log", "domain": domain, "nice": False},
        "axis": number_axis("cycles to failure", values=decade_ticks(*domain)),
    }
    points = rows(
        strain=[life.strain_percent for life in lives],
        cycles=[life.cycles for life in lives],
        low=[life.low or life.cycles for life in lives],
        high=[life.high or life.cycles for life in lives],
        words=[three_figures(life.cycles) for life in lives],
    )
    dots = {"type": "point", "filled": True, "color": STRAIN, "size": 56, "opacity": 1}
    text = {"type": "text", "align": "left", "dx": 8, "dy": -8, "color": INK}
    layers: list[Spec] = []
    if law.a_low is not None:
        band = {"type": "area", "color": SPRINGS_BACK_TINT, "opacity": 1}
        layers.append(
            {
                "data": points,
                "mark": band,
                "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
            }
        )
    layers += [
        {
            "data": line,
            "mark": {"type": "line", "color": MUTED, "strokeWidth": 1.3},
            "encoding": {"x": x, "y": y},
        },
        {"data": points, "mark": dots, "encoding": {"x": x, "y": y}},
        {
            "data": points,
            "mark": text,
            "encoding": {"x": x, "y": y, "text": {"field": "words", "type": "nominal"}},
        },
    ]
    told = "; ".join(f"{three_figures(life.cycles)} at {measured(life.strain_percent)} %" for life in lives)
    return chart(
        f"Cycles to failure against strain amplitude: {told}.",
        {"width": WIDTH - 90, "height": 190, "layer": layers},
    )
