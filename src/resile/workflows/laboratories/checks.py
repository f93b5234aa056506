"""Checks of instruments with a material of known value: the tolerance zone, and where each check fell."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence

from resile.compute.statistics.own.bias import tolerance_zone
from resile.errors import InputError
from resile.judge.laboratories.checks import check_findings, judge_checks, stated_zone
from resile.records.laboratories import CheckChart, ToleranceZone
from resile.records.register.laboratories import CheckMaterial, CheckResult
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.laboratories import load_comparison_practice

_EXPANDED = 2.0


def check_chart(material: CheckMaterial, checks: Sequence[CheckResult]) -> CheckChart:
    """Hold checks against the tolerance zone of their material.

    Parameters
    ----------
    material : CheckMaterial
        With its reference; the doubt of the reference counts as zero where it is not known.
    checks : sequence of CheckResult
        In any order; may be empty.

    Returns
    -------
    CheckChart
        Oldest first.

    Raises
    ------
    InputError
        Where no site deviation is stated and there are too few checks to stand in for it, or a number is not
        finite.
    """
    ordered = sorted(checks, key=lambda one: one.done)
    _check(material, ordered)
    zone = _zone(material, ordered)
    verdicts = judge_checks(zone, ordered)
    found = check_findings(
        material,
        verdicts,
        load_finding_rules("check_material"),
        site_deviation_known=material.site_deviation is not None or bool(material.tolerance),
    )
    mean = statistics.fmean(one.measured for one in ordered) - material.reference if ordered else None
    return CheckChart(material=material, zone=zone, verdicts=verdicts, mean_difference=mean, findings=found)


def _zone(material: CheckMaterial, ordered: Sequence[CheckResult]) -> ToleranceZone:
    """Give the zone: the difference that a method or maker states, as it stands; else 1.44 √(s² + SE²)."""
    if material.tolerance:
        return stated_zone(material.reference, material.tolerance)
    practice = load_comparison_practice()
    site = material.site_deviation
    if site is None:
        if len(ordered) < practice.fewest_checks:
            raise InputError(
                f"{material.name}: no site deviation is stated and {len(ordered)} checks are too few to "
                f"stand in for it; needed is their standard deviation from before, or "
                f"{practice.fewest_checks} checks"
            )
        site = statistics.stdev(one.measured for one in ordered)
    doubt = (material.reference_expanded or 0.0) / _EXPANDED
    half = float(tolerance_zone(site, doubt, factor=practice.tolerance_factor))
    if half <= 0.0:
        raise InputError(
            f"{material.name}: site deviation and doubt of the reference are zero: there is no zone"
        )
    return stated_zone(
        material.reference, half, figures=practice.zone_figures, rounding=practice.zone_rounding
    )


def _check(material: CheckMaterial, checks: Sequence[CheckResult]) -> None:
    numbers = (material.reference, material.reference_expanded or 0.0, material.site_deviation or 0.0)
    if not all(math.isfinite(number) for number in numbers) or min(numbers[1:]) < 0.0:
        raise InputError(
            f"{material.name}: reference, its expanded uncertainty and the site deviation must be finite, "
            "the last two not below zero"
        )
    for one in checks:
        if not math.isfinite(one.measured):
            raise InputError(f"{material.name}, {one.done}: what was measured must be a finite number")
