"""Specifications, rules and published data in the terminal."""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING, Any

from resile.records.blending.polymer import PolymerEffect
from resile.records.blending.reclaimed import ReclaimedPractice
from resile.records.control.sampling import SamplingPlan
from resile.records.house_rule import HeatingRule, RetentionRule
from resile.records.laboratories import ComparisonPractice, DisputeRule
from resile.records.models.curve_reading import ReadingConditions
from resile.records.models.published_evidence import PublishedEvidence
from resile.records.price import PriceRule
from resile.records.slope_prior import BinderKind
from resile.records.specification import Specification
from resile.records.traffic_rule import TrafficRule
from resile.report.numbers import fixed
from resile.report.terminal.blend_data import render_blend_data
from resile.report.terminal.control.sampling import render_sampling_plan
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    heading_line,
    sheet_of,
    small_line,
    title_line,
)
from resile.report.terminal.house_rules import render_house_rule
from resile.report.terminal.prediction import render_binder_kind
from resile.report.terminal.price import render_price_rule
from resile.report.terminal.rules import render_specification
from resile.report.terminal.traffic import render_traffic_rule

if TYPE_CHECKING:
    from rich.console import Group

_IN_BETWEEN = {
    "accepted": "the material is accepted",
    "refused": "the material is refused",
    "limit": "the settled value is held against the limit as it stands",
}
_SETTLE = {
    "agreeing-mean": "the mean of all that agree with the referee",
    "referee": "the mean of the referee alone",
}


@singledispatch
def render_rule_file(rule: Any) -> Group:
    """Give a specification or rule as a sheet.

    Parameters
    ----------
    rule : RuleFile
        As loaded.

    Returns
    -------
    rich.console.Group
        What it says, with its sources and whether a second person checked it.
    """
    raise TypeError(f"no sheet for {type(rule).__name__}")


for _kind, _render in (
    (Specification, render_specification),
    (PriceRule, render_price_rule),
    (BinderKind, render_binder_kind),
    (TrafficRule, render_traffic_rule),
    (HeatingRule, render_house_rule),
    (RetentionRule, render_house_rule),
    (PolymerEffect, render_blend_data),
    (ReclaimedPractice, render_blend_data),
    (SamplingPlan, render_sampling_plan),
):
    render_rule_file.register(_kind, _render)


def _headed(identifier: str, title: str, kind: str) -> list[Any]:
    return [title_line(f"{identifier}: {title}" if title else identifier), small_line(kind), ""]


def _checked(checked: str) -> tuple[str, str]:
    return "checked", checked or "no"


@render_rule_file.register(DisputeRule)
def _dispute(rule: DisputeRule) -> Group:
    facts = (
        ("confidence", f"{fixed(100.0 * rule.confidence, 0)} %, one-sided"),
        ("once the referee has tested", _SETTLE[rule.settle]),
        ("neither failure nor conformity shown", _IN_BETWEEN[rule.in_between]),
        _checked(rule.checked),
    )
    return sheet_of(
        [
            *_headed(rule.name, rule.title, "rule for two laboratories in dispute"),
            rule.text,
            "",
            *fact_lines(facts),
            "",
            small_line(f"Source: {rule.source}"),
        ]
    )


@render_rule_file.register(ComparisonPractice)
def _practice(rule: ComparisonPractice) -> Group:
    numbers = (
        ("study: r and R are so many standard deviations", f"{rule.range_multiplier:g}"),
        ("study: significance of h and k", f"{100.0 * rule.consistency_significance:g} %"),
        ("study: significance of Cochran and Grubbs", f"{100.0 * rule.outlier_significance:g} %"),
        ("rounds: doubt of the assigned value negligible up to", f"{rule.negligible_share:g} of sd"),
        ("rounds: weight of the newest score", f"{rule.score_weight:g}"),
        ("rounds: limits of the weighted average", f"{rule.score_width:g} of its sd"),
        ("checks: multiplier of the tolerance zone", f"{rule.tolerance_factor:g}"),
        ("checks: figures and rounding of the zone", f"{rule.zone_figures}, {rule.zone_rounding}"),
        ("checks: fewest that stand in for a deviation", f"{rule.fewest_checks}"),
        ("own precision: significance beside the published", f"{100.0 * rule.comparison_significance:g} %"),
        ("components: coverage of intervals", f"{100.0 * rule.component_coverage:g} %"),
    )
    words = tuple(
        (
            f"score {one.kind}",
            f"satisfactory up to {one.satisfactory_to:g}, action from {one.action_from:g}",
        )
        for one in rule.scores.values()
    )
    sources = (f"{name.capitalize()}: {source}" for name, source in rule.sources.items())
    return sheet_of(
        [
            *_headed(rule.identifier, rule.title, "practice of comparing laboratories"),
            *fact_lines((*numbers, *words, _checked(rule.checked))),
            "",
            *(small_line(source) for source in sources),
        ]
    )


@render_rule_file.register(ReadingConditions)
def _reading(rule: ReadingConditions) -> Group:
    parts = _headed(rule.name, rule.title, "conditions at which a master curve is read")
    near = f"{rule.measured_within_c:g} °C and {rule.measured_within_decades:g} decades of frequency"
    parts += fact_lines((("counts as measured within", near), _checked(rule.checked)))
    for one in rule.glover_rowe:
        limits = (
            (
                one_limit.meaning,
                f"{'≤' if one_limit.bound == 'maximum' else '≥'} {one_limit.limit:g} kPa; {one_limit.source}",
            )
            for one_limit in one.thresholds
        )
        facts = (*limits, *((("note", one.note),) if one.note else ()), _source(one.source, one.evidence))
        parts += ["", heading_line(one.title), *fact_lines(facts)]
    for place in rule.phase:
        at = f"{place.phase_angle_deg:g}° at {place.angular_frequency_rad_s:.4g} rad/s"
        facts = (("at", at), _source(place.source, place.evidence))
        parts += ["", heading_line(place.title), *fact_lines(facts)]
    beam, plate = rule.beam, rule.small_plate
    temperatures = ", ".join(f"{one:g}" for one in beam.temperatures_c).replace("-", "−")
    parts += [
        "",
        heading_line("Beam from shear"),
        *fact_lines(
            (
                ("loading time", f"{beam.loading_time_s:g} s"),
                ("temperatures", f"{temperatures} °C"),
                ("limits", f"S {beam.stiffness_limit_mpa:g} MPa, m {beam.m_value_limit:g}"),
                _source(beam.source, beam.evidence),
            )
        ),
        "",
        heading_line("Plate of 4 mm"),
        *fact_lines(
            (
                ("loading time", f"{plate.loading_time_s:g} s"),
                (
                    "limits",
                    f"G(t) {plate.relaxation_modulus_mpa:g} MPa, slope {plate.slope:g}".replace("-", "−"),
                ),
                _source(plate.source, plate.evidence),
            )
        ),
    ]
    return sheet_of([*parts, "", small_line(f"SHA-256 {rule.sha256}")])


def _source(source: str, evidence: str) -> tuple[str, str]:
    return "source", f"{source} [{evidence}]"


@render_rule_file.register(PublishedEvidence)
def _evidence(rule: PublishedEvidence) -> Group:
    parts = _headed(rule.identifier, rule.title, "published evidence, with its weakness")
    parts += fact_lines((_checked(rule.checked),))
    for one in rule.statements:
        parts += ["", bullet_line(one.statement)]
        parts += [
            small_line(f"Weakness: {one.weakness}"),
            small_line(f"Source: {one.source} [{one.evidence}]"),
        ]
    return sheet_of(parts)
