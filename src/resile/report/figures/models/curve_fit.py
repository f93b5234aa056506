"""Pictures of how a master curve fits: shifts against temperature, and residuals by isotherm."""

from __future__ import annotations

from resile.records.models.master_curve import MasterCurve
from resile.report.figures.models.master_curve import (
    PANEL,
    WIDE,
    figure_master_curve,
    figure_spaces,
    isotherm_name,
    thinned,
)
from resile.report.figures.style import INK, MUTED, STAYS_BEHIND, STRAIN, Spec, chart, number_axis, rows
from resile.report.numbers import fixed


def figures_of_curve(curve: MasterCurve) -> dict[str, Spec]:
    """Give the pictures of a curve by name: ``curve``, ``shifts``, ``spaces`` and ``residuals``."""
    return {
        "curve": figure_master_curve(curve),
        "spaces": figure_spaces(curve),
        "shifts": figure_shifts(curve),
        "residuals": figure_residuals(curve),
    }


def figure_shifts(curve: MasterCurve) -> Spec:
    """Draw the shift of the fit against temperature, and the shifts that join the sweeps without a shape.

    Parameters
    ----------
    curve : MasterCurve
        As fitted.

    Returns
    -------
    dict
        One panel.
    """
    warm = sorted({(p.temperature_c, p.log_shift) for p in curve.points})
    line = rows(t=[t for t, _ in warm], shift=[shift for _, shift in warm])
    free = rows(
        t=list(curve.smooth.nodes_c),
        shift=[parameter.value for parameter in curve.smooth.shift_parameters],
        words=[fixed(parameter.value, 2) for parameter in curve.smooth.shift_parameters],
    )
    x = {
        "field": "t",
        "type": "quantitative",
        "scale": {"zero": False, "padding": 24},
        "axis": number_axis("temperature (°C)", grid=False),
    }
    y = {
        "field": "shift",
        "type": "quantitative",
        "scale": {"padding": 18},
        "axis": number_axis("shift log aT"),
    }
    dots = {"type": "point", "color": STAYS_BEHIND, "shape": "diamond", "size": 60, "strokeWidth": 1.6}
    label = {"type": "text", "align": "left", "dx": 9, "dy": -9, "color": INK}
    body = {
        "width": WIDE,
        "height": 210,
        "layer": [
            {
                "data": line,
                "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.6, "interpolate": "monotone"},
                "encoding": {"x": x, "y": y},
            },
            {"data": free, "mark": dots, "encoding": {"x": x, "y": y}},
            {
                "data": free,
                "mark": label,
                "encoding": {"x": x, "y": y, "text": {"field": "words", "type": "nominal"}},
            },
        ],
    }
    return chart(
        f"Shift against temperature: line {curve.shift}, diamonds free shifts without a shape.", body
    )


def figure_residuals(curve: MasterCurve) -> Spec:
    """Draw the residuals of modulus and phase angle, isotherm by isotherm.

    Parameters
    ----------
    curve : MasterCurve
        As fitted.

    Returns
    -------
    dict
        Two panels side by side: rows of marks, nothing means a perfect fit.
    """
    points, names = thinned(curve), [isotherm_name(one) for one in curve.isotherms]
    data = rows(
        isotherm=[names[p.isotherm] for p in points],
        modulus=[p.modulus_residual_decades for p in points],
        phase=[p.phase_residual_deg for p in points],
    )
    titles = (
        ("modulus", "log |G*| measured less fitted (decades)"),
        ("phase", "δ measured less fitted (°)"),
    )
    panels: list[Spec] = []
    for field, title in titles:
        reach = 1.08 * max(max(abs(row[field]) for row in data["values"]), 1e-6)
        x = {
            "field": field,
            "type": "quantitative",
            "scale": {"domain": [-reach, reach], "nice": True},
            "axis": number_axis(title, tickCount=5),
        }
        y = {
            "field": "isotherm",
            "type": "nominal",
            "sort": names,
            "axis": {"title": None, "labels": not panels, "ticks": False, "grid": True, "labelLimit": 150},
        }
        zero = {
            "data": {"values": [{}]},
            "mark": {"type": "rule", "color": MUTED},
            "encoding": {"x": {"datum": 0}},
        }
        tick = {"type": "tick", "color": STRAIN, "thickness": 1.4, "opacity": 0.75}
        panels.append(
            {
                "width": PANEL,
                "height": {"step": 24},
                "layer": [zero, {"data": data, "mark": tick, "encoding": {"x": x, "y": y}}],
            }
        )
    return chart("Residuals of modulus and phase angle by isotherm.", {"hconcat": panels, "spacing": 16})
