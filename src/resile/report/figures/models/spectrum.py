"""Pictures of what follows from a master curve: spectrum, relaxation and creep, and the Glover-Rowe lines."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.models.curve_reading import (
    CurveDerivation,
    CurveReading,
    ReadingStanding,
    ReadingThreshold,
    TimeResponse,
)
from resile.records.models.master_curve import MasterCurve
from resile.records.models.spectrum import RelaxationSpectrum, SpectrumPoint
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown

_HEIGHT = 250
_BLACK_HEIGHT = 290
_PANEL = 220
_LINE_STEP_DEG = 0.5
_POWER = "round(log(datum.value) / LN10)"
_RAISED = "substring('⁰¹²³⁴⁵⁶⁷⁸⁹', {digit}, {digit} + 1)"
_POWERS = (
    f"abs({_POWER}) <= 3 ? format(datum.value, '~g') : '10' + ({_POWER} < 0 ? '⁻' : '') + (abs({_POWER}) "
    "> 9 ? "
    + _RAISED.format(digit=f"floor(abs({_POWER}) / 10)")
    + " : '') + "
    + _RAISED.format(digit=f"(abs({_POWER}) % 10)")
)
"""Small powers of ten as numbers, others with a raised exponent."""
_DASHES = ([6, 3], [2, 2], [8, 2, 2, 2])


def figures_of_derivation(derivation: CurveDerivation, curve: MasterCurve) -> dict[str, Spec]:
    """Draw all that follows from one curve.

    Parameters
    ----------
    derivation : CurveDerivation
        What follows.
    curve : MasterCurve
        The curve it was read from.

    Returns
    -------
    dict of str to dict
        ``spectrum``, ``relaxation-and-creep`` and a Black diagram for each Glover-Rowe parameter that has
        lines, by its name; what does not exist is left out.
    """
    drawn = {
        one.name.replace("_", "-").replace(".", "-"): figure_glover_rowe(curve, one)
        for one in derivation.readings
        if one.thresholds and one.complex_modulus is not None
    }
    if derivation.spectrum is not None:
        drawn["spectrum"] = figure_spectrum(derivation.spectrum)
        drawn["relaxation-and-creep"] = figure_relaxation_and_creep(
            derivation.responses, reference_c=curve.reference_c
        )
    return drawn


def figure_spectrum(spectrum: RelaxationSpectrum) -> Spec:
    """Draw the relaxation spectrum with its interval.

    Parameters
    ----------
    spectrum : RelaxationSpectrum
        The spectrum.

    Returns
    -------
    dict
        Both axes logarithmic. Filled marks and the band lie within the span that was measured; open marks
        only make up the ends.
    """
    drawn = [point for point in spectrum.spectrum if point.density_kpa > 0.0]
    held = [point for point in drawn if point.supported]
    if not held:
        return empty_chart("The spectrum has no part within the span that was measured.", width=WIDTH)
    # What the ends make up is drawn one decade far: beyond it is a matter of the smoothing alone.
    first, last = held[0].relaxation_time_s / 10.0, held[-1].relaxation_time_s * 10.0
    drawn = [point for point in drawn if first * 0.999 <= point.relaxation_time_s <= last * 1.001]
    floor = min(point.density_kpa for point in drawn) / 3.0
    ceiling = 3.0 * max(point.density_kpa for point in drawn)
    x = _decades("time", "relaxation time (s)", first, last)
    y = _decades("density", "spectrum H (kPa)", floor, ceiling)
    band = {
        "data": rows(
            time=[point.relaxation_time_s for point in held],
            lower=[max(point.lower_kpa, floor) for point in held],
            upper=[min(point.upper_kpa, ceiling) for point in held],
        ),
        "mark": {"type": "area", "color": STRAIN, "opacity": 0.2, "clip": True},
        "encoding": {"x": x, "y": {**y, "field": "lower"}, "y2": {"field": "upper"}},
    }
    line = {
        "data": _points(held),
        "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.6},
        "encoding": {"x": x, "y": y},
    }
    marks = [
        {
            "data": _points([point for point in drawn if point.supported is inside]),
            "mark": {
                "type": "point",
                "filled": inside,
                "color": STRAIN if inside else MUTED,
                "size": 34,
                "opacity": 1,
                "strokeWidth": 1.2,
            },
            "encoding": {"x": x, "y": y},
        }
        for inside in (True, False)
    ]
    at = "" if spectrum.reference_c is None else f" at {fixed(spectrum.reference_c, 1)} °C"
    interval = f", band: {100 * spectrum.probability:g} % interval" if spectrum.draws else ""
    return chart(
        f"Relaxation spectrum{at}: modulus that relaxes for each unit of the natural logarithm of time, over "
        f"{_power(held[0].relaxation_time_s)} to {_power(held[-1].relaxation_time_s)} s{interval}. Open "
        "marks "
        "lie outside the span that was measured.",
        {
            "width": WIDTH - 90,
            "height": _HEIGHT,
            "layer": [*([band] if spectrum.draws else []), line, *marks],
        },
    )


def figure_relaxation_and_creep(responses: Sequence[TimeResponse], *, reference_c: float) -> Spec:
    """Draw relaxation modulus and creep compliance over time.

    Parameters
    ----------
    responses : sequence of TimeResponse
        By rising time.
    reference_c : float
        Temperature they hold at [°C].

    Returns
    -------
    dict
        Two panels, all axes logarithmic.
    """
    if len(responses) < 2:
        return empty_chart("There is no span of time within which the material is known.", width=WIDTH)
    times = [one.time_s for one in responses]
    relaxation = [one.relaxation_modulus_kpa for one in responses]
    creep = [one.creep_compliance for one in responses]
    panels = [
        _response_panel(times, values, title, colour)
        for values, title, colour in (
            (relaxation, "relaxation modulus G(t) (kPa)", SPRINGS_BACK),
            (creep, "creep compliance J(t) (1/kPa)", STAYS_BEHIND),
        )
    ]
    first, last = responses[0], responses[-1]
    return chart(
        f"Relaxation modulus and creep compliance at {fixed(reference_c, 1)} °C from "
        f"{_power(first.time_s)} to "
        f"{_power(last.time_s)} s: {shown(first.relaxation_modulus_kpa, '')} to "
        f"{shown(last.relaxation_modulus_kpa, '')} kPa, {shown(first.creep_compliance, '')} to "
        f"{shown(last.creep_compliance, '')} 1/kPa.",
        {"hconcat": panels, "spacing": 22},
    )


def figure_glover_rowe(curve: MasterCurve, reading: CurveReading) -> Spec:
    """Draw a Glover-Rowe parameter in the Black diagram, with the lines of its own condition alone.

    Parameters
    ----------
    curve : MasterCurve
        The curve: its measured points stand behind, in grey.
    reading : CurveReading
        The parameter at one condition, with modulus and phase angle.

    Returns
    -------
    dict
        The one mark is the binder at the condition; the lines hold for it and for no other point.
    """
    modulus, phase = reading.complex_modulus, reading.phase_angle
    if modulus is None or phase is None:
        return empty_chart(f"{reading.title}: there is no modulus and phase angle to draw.", width=WIDTH)
    moduli = [*(point.complex_modulus for point in curve.points), modulus]
    low, high = min(moduli) / 2.0, max(moduli) * 2.0
    x = {
        "field": "phase",
        "type": "quantitative",
        "scale": {"domain": [0, 90], "nice": False},
        "axis": number_axis("phase angle δ (°)", values=list(range(0, 91, 15)), grid=False),
    }
    y = _decades("modulus", "|G*| (kPa)", low, high)
    behind = {
        "data": rows(
            phase=[point.phase_angle for point in curve.points],
            modulus=[point.complex_modulus for point in curve.points],
        ),
        "mark": {"type": "point", "filled": True, "color": MUTED, "size": 14, "opacity": 0.55},
        "encoding": {"x": x, "y": y},
    }
    layers = [behind]
    for place, threshold in enumerate(reading.thresholds):
        # The highest line is named above itself, the others below: between two lines there is no room.
        above = threshold.limit == max(one.limit for one in reading.thresholds)
        layers += _limit_line(threshold, _DASHES[place % len(_DASHES)], x, y, (low, high), above=above)
    words = f"{shown(reading.value, '')} kPa ({reading.standing})"
    measured = reading.standing is ReadingStanding.MEASURED
    mark = {"type": "point", "shape": "diamond", "filled": measured, "color": INK, "size": 150, "opacity": 1}
    layers += [
        {
            "data": rows(phase=[phase], modulus=[modulus]),
            "mark": {**mark, "strokeWidth": 2.2},
            "encoding": {"x": x, "y": y},
        },
        {
            # Below the lines on the left no binder lies: the words of the mark have room there.
            "data": {"values": [{}]},
            "mark": text_mark(
                f"{'◆' if measured else '◇'} {words}",
                align="left",
                x=64,
                y=_BLACK_HEIGHT - 14,
                fontWeight=600,
            ),
        },
    ]
    lines = "; ".join(f"{one.limit:g} kPa, {one.meaning}" for one in reading.thresholds)
    return chart(
        f"{reading.title}: {words}, |G*| {shown(modulus, 'complex_modulus')} kPa at "
        f"{shown(phase, 'phase_angle')}°. Lines of this condition alone: {lines or 'none established'}. "
        "In grey, the measured points of all temperatures and frequencies, for which the lines do not hold.",
        {"width": WIDTH - 90, "height": _BLACK_HEIGHT, "layer": layers},
    )


def _limit_line(
    threshold: ReadingThreshold,
    dash: list[int],
    x: Spec,
    y: Spec,
    span: tuple[float, float],
    *,
    above: bool,
) -> list[Spec]:
    angles = [_LINE_STEP_DEG * place for place in range(1, int(90 / _LINE_STEP_DEG))]
    turned = [math.radians(angle) for angle in angles]
    moduli = [threshold.limit * math.sin(angle) / math.cos(angle) ** 2 for angle in turned]
    seen = [pair for pair in zip(angles, moduli, strict=True) if span[0] <= pair[1] <= span[1]]
    if not seen:
        return []
    data = rows(phase=[angle for angle, _ in seen], modulus=[modulus for _, modulus in seen])
    # Above the highest line there is room at its steep end, below the others at their flat one.
    named = next((pair for pair in seen if pair[0] >= 76.0), seen[-1]) if above else seen[len(seen) // 8]
    return [
        {
            "data": data,
            "mark": {
                "type": "line",
                "color": STAYS_BEHIND,
                "strokeDash": dash,
                "strokeWidth": 1.5,
                "clip": True,
            },
            "encoding": {"x": x, "y": y},
        },
        {
            "data": rows(phase=[named[0]], modulus=[named[1]]),
            "mark": text_mark(
                f"{threshold.limit:g} kPa, {threshold.meaning}",
                align="right" if above else "left",
                dx=-8 if above else 2,
                dy=-8 if above else 16,
                color=STAYS_BEHIND,
                fontSize=11.5,
            ),
            "encoding": {"x": x, "y": y},
        },
    ]


def _response_panel(times: list[float], values: list[float], title: str, colour: str) -> Spec:
    return {
        "data": rows(time=times, value=values),
        "width": _PANEL,
        "height": 200,
        "mark": {"type": "line", "color": colour, "strokeWidth": 1.8},
        "encoding": {
            "x": _decades("time", "time (s)", times[0], times[-1]),
            "y": _decades("value", title, min(values) / 1.5, max(values) * 1.5),
        },
    }


def _points(points: Sequence[SpectrumPoint]) -> Spec:
    return rows(
        time=[point.relaxation_time_s for point in points], density=[point.density_kpa for point in points]
    )


def _decades(field: str, title: str, low: float, high: float) -> Spec:
    """Give a logarithmic axis labelled in powers of ten, every decade or every few."""
    first, last = math.ceil(math.log10(low) - 1e-9), math.floor(math.log10(high) + 1e-9)
    step = max(1, -(-(last - first) // 6))
    powers = range(first + (-first) % step, last + 1, step)  # among them 1, where it is on the axis
    return {
        "field": field,
        "type": "quantitative",
        "scale": {"type": "log", "domain": [low, high], "nice": False},
        "axis": number_axis(
            title,
            values=[10.0**power for power in powers],
            grid=True,
            gridColor=HAIRLINE,
            labelExpr=_POWERS,
            **({} if field == "time" else {"minExtent": 40}),
        ),
    }


def _power(value: float) -> str:
    return f"{value:.2g}"
