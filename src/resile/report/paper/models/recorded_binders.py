"""Binders followed by the models of their records: slope, stress, and recovery between axles."""

from __future__ import annotations

import math

from resile.records.models.pulse_train import BinderUnderTraffic, TrafficComparison
from resile.report.figures.models.pulse_recovery import figure_pulse_recovery
from resile.report.figures.models.traffic import index_digits
from resile.report.numbers import fixed, shown_step
from resile.report.paper.models.model import RIGHT, Column, Picture, Section, Table, measured
from resile.report.words import joined

_STEP_C = 6.0
_NORMAL_95 = 1.96
_FROM = {"records": "its records", "results": "its results of Jnr", "kind": "kind of binder"}
_CAPTION = (
    "Strain that comes back late, after one passing wheel on a binder at rest, as so many times what that "
    "wheel leaves for good. What comes back at once is not drawn."
)


def modelled(comparison: TrafficComparison) -> list[BinderUnderTraffic]:
    """Give the binders whose index follows from models."""
    return [one for one in comparison.binders if one.recovery is not None]


def between_axles_sentence(comparison: TrafficComparison) -> str:
    """Say in one sentence what has not come back when the next axle comes; empty without models."""
    found = [(one, one.recovery) for one in modelled(comparison) if one.recovery is not None]
    if not found:
        return ""
    rest = measured(float(f"{comparison.train.rest_s:.2g}"))
    one, worst = max(found, key=lambda pair: pair[1].standing_pulses)
    return (
        f"At {fixed(worst.temperature_c, 0)} °C the next axle, {rest} s later, finds "
        f"{fixed(worst.still_percent, 0)} % of the delayed strain of the wheel before still in {one.name}; "
        f"in a long row of axles that stands at {index_digits(worst.standing_pulses)} times what a wheel "
        "leaves for good. It comes back when the axles stop, and is not in the index."
    )


def stress_words(comparison: TrafficComparison) -> str:
    """Say which level's compliance answers the stress of the load."""
    stress = comparison.train.stress_kpa
    told = []
    for levels in dict.fromkeys(one.record_levels_kpa for one in modelled(comparison)):
        same = [level for level in levels if math.isclose(level, stress, rel_tol=1e-3)]
        if same:
            told.append(f"the compliances fitted at {measured(same[0])} kPa")
            continue
        below = max(level for level in levels if level < stress)
        above = min(level for level in levels if level > stress)
        told.append(
            f"values between those fitted at {measured(below)} and {measured(above)} kPa, each compliance "
            "following a power of stress"
        )
    return f"{measured(stress)} kPa is answered by {joined(list(dict.fromkeys(told)))}."


def between_axles(comparison: TrafficComparison) -> tuple[Section, ...]:
    """Give the section of binders that are followed by models; none where there is no such binder."""
    binders = modelled(comparison)
    if not binders:
        return ()
    return (
        Section(
            key="between-axles",
            title="Between one axle and the next",
            paragraphs=(between_axles_sentence(comparison),),
            pictures=(Picture("between-axles", figure_pulse_recovery(comparison), _CAPTION),),
            tables=(recorded_table(comparison),),
        ),
    )


def recorded_table(comparison: TrafficComparison) -> Table:
    """Tabulate how each binder with records is followed."""
    return Table(
        "Binders followed by the springs and dashpots of their creep-recovery records.",
        (
            Column("Binder", share=1.8),
            Column("Records at", RIGHT, 1.1),
            Column("Flow for +6 °C", RIGHT, 1.7),
            Column("Known from", share=1.5),
            Column("Late strain left for the next axle", RIGHT, 1.3),
            Column("Standing in a long row", RIGHT, 1.2),
        ),
        tuple(_row(one) for one in modelled(comparison)),
        note=f"{stress_words(comparison)} Flow for +6 °C: what it is multiplied by, in brackets the 95 % "
        "interval. Standing: late strain before each axle, over the flow of one wheel. Retardation times "
        "move with flow.",
    )


def _row(one: BinderUnderTraffic) -> tuple[str, ...]:
    slope, doubt = one.slope_per_c or 0.0, one.slope_standard_per_c or 0.0
    ends = [math.exp(_STEP_C * (slope + side * _NORMAL_95 * doubt)) for side in (0.0, -1.0, 1.0)]
    value, low, high = (fixed(end, 1) for end in ends)
    found = one.recovery
    assert found is not None
    places = dict.fromkeys(shown_step(round(place, 1)) for place in one.records_at)
    return (
        one.name,
        f"{', '.join(places)} °C",
        f"× {value} ({low} to {high})",
        _FROM.get(one.slope_from, ""),
        f"{fixed(found.still_percent, 0)} %",
        index_digits(found.standing_pulses),
    )
