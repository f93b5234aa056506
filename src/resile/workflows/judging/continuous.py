"""Continuous temperatures of a sample: where each property meets its limit, and what governs each end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.findings import judge_measures
from resile.judge.grades.selection import BEAM_OFFSET_C, limit_for
from resile.judge.results.conformity import meets
from resile.judge.wording import residue_words
from resile.records.correlation import ErrorCorrelation
from resile.records.critical_temperature import CriticalTemperature
from resile.records.determination import Result
from resile.records.finding import Finding, Measure, Severity, worst_severity
from resile.records.specification import Requirement, Specification
from resile.records.verdict import ContinuousEnd, ContinuousTemperature
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.judging.limit_temperature import INTERPOLATION_RULES, temperature_at_limit

ENDS = {"high": "high", "intermediate": "intermediate", "low + 10": "low"}
"""End of the grade by temperature rule."""


def continuous_temperatures(
    results: Sequence[Result],
    specification: Specification,
    *,
    correlation: ErrorCorrelation,
    both_rules: bool = False,
    allow_extrapolation: bool = False,
) -> tuple[ContinuousTemperature, ...]:
    """Give the temperature at which each property meets its limit.

    Parameters
    ----------
    results : sequence of Result
        Results of one sample; invalid ones do not count.
    specification : Specification
        Gives the limits.
    correlation : ErrorCorrelation
        What the errors at two temperatures share.
    both_rules : bool
        Give the temperature by the other interpolation rule as well.
    allow_extrapolation : bool
        Extend the line by up to one grade step where the limit is not bracketed; marked where done.

    Returns
    -------
    tuple of ContinuousTemperature
        One a requirement and class (one for all where the limit is the same), for every property with
        results at two temperatures or more; without a temperature, and with the reason, where the data do
        not carry one.

    Notes
    -----
    Uncertainty: `resile.workflows.judging.limit_temperature`.
    """
    found: list[ContinuousTemperature] = []
    for requirement in specification.requirements:
        points = points_of(requirement, results)
        if len(points) < 2:
            continue
        for name, limit in _limits(requirement, specification):
            critical = temperature_at_limit(
                points, limit, correlation, both_rules=both_rules, allow_extrapolation=allow_extrapolation
            )
            end = ENDS[str(requirement.temperature)]
            found.append(ContinuousTemperature(requirement, name, critical, _grade_scale(critical, end), end))
    return tuple(found)


def continuous_ends(
    continuous: Sequence[ContinuousTemperature], results: Sequence[Result], specification: Specification
) -> tuple[ContinuousEnd, ...]:
    """Give the continuous grade at the high and the low end.

    Parameters
    ----------
    continuous : sequence of ContinuousTemperature
        As made by `continuous_temperatures`.
    results : sequence of Result
        Results of the sample: a property that still passes beyond the governing one cannot govern.
    specification : Specification
        Gives requirements and classes.

    Returns
    -------
    tuple of ContinuousEnd
        Lowest of the high temperatures, highest of the low ones (after taking off 10 °C).
    """
    found: list[ContinuousEnd] = []
    for end in ("high", "low"):
        here = [one for one in continuous if one.end == end]
        if not here:
            continue
        apart = any(one.service_class for one in here)
        for name in [c.name for c in specification.classes] if apart else [""]:
            found.append(_end(end, name, here, results, specification))
    return tuple(found)


def continuous_findings(
    continuous: Sequence[ContinuousTemperature], results: Sequence[Result]
) -> tuple[Finding, ...]:
    """Say which continuous temperatures were extrapolated, have a doubtful slope, or rest on another residue.

    Parameters
    ----------
    continuous : sequence of ContinuousTemperature
        As made by `continuous_temperatures`.
    results : sequence of Result
        Results they were made from.

    Returns
    -------
    tuple of Finding
        Cautions.
    """
    found: list[Finding] = []
    for one in continuous:
        if one.critical.extrapolated:
            found.append(_extrapolated(one))
        found += _slope_in_doubt(one)
        points = points_of(one.requirement, results)
        if points and points[0].condition is not one.requirement.condition:
            found.append(_stand_in(one, points[0]))
    return tuple(dict.fromkeys(found))


def points_of(requirement: Requirement, results: Sequence[Result]) -> list[Result]:
    """Give the results a line is drawn through: all of one residue, the one asked for if it has any."""
    if requirement.temperature not in ENDS or requirement.quantity not in INTERPOLATION_RULES:
        return []
    for condition in (requirement.condition, *requirement.also_accepts):
        points = [
            r
            for r in results
            if r.quantity == requirement.quantity
            and r.condition is condition
            and r.value is not None
            and r.temperature_c is not None
            and worst_severity(r.findings) is not Severity.INVALID
        ]
        if points:
            return points
    return []


def _limits(requirement: Requirement, specification: Specification) -> Iterator[tuple[str, float]]:
    limits = [(c.name, limit_for(requirement, c.name)) for c in specification.classes]
    kept = [(name, limit) for name, limit in limits if limit is not None]
    if len(kept) == len(limits) and len({limit for _, limit in kept}) == 1:
        kept = [("", kept[0][1])]
    yield from kept


def _grade_scale(critical: CriticalTemperature, end: str) -> float | None:
    if critical.temperature_c is None or end == "intermediate":
        return None
    return critical.temperature_c - (BEAM_OFFSET_C if end == "low" else 0.0)


def _end(
    end: str,
    name: str,
    here: Sequence[ContinuousTemperature],
    results: Sequence[Result],
    specification: Specification,
) -> ContinuousEnd:
    ours = {
        one.requirement.name: one.grade_temperature_c
        for one in here
        if one.service_class in ("", name) and one.grade_temperature_c is not None
    }
    asked = [
        r
        for r in specification.requirements
        if ENDS.get(str(r.temperature)) == end
        and r.quantity in INTERPOLATION_RULES
        and limit_for(r, name or specification.classes[0].name) is not None
    ]
    missing = [r for r in asked if r.name not in ours]
    if not ours:
        return ContinuousEnd(end, name, None, missing=tuple(r.name for r in missing))
    sign = 1.0 if end == "high" else -1.0
    governing = min(ours, key=lambda one: sign * ours[one])
    at = ours[governing]
    test_c = at + (BEAM_OFFSET_C if end == "low" else 0.0)
    still = tuple(
        r.name
        for r in missing
        if not _passes_beyond(r, limit_for(r, name or specification.classes[0].name), results, test_c, sign)
    )
    return ContinuousEnd(end, name, None if still else at, "" if still else governing, still)


def _passes_beyond(
    requirement: Requirement, limit: float | None, results: Sequence[Result], at_c: float, sign: float
) -> bool:
    """Tell whether a property was seen to pass at or beyond a temperature, so that it does not govern."""
    return limit is not None and any(
        r.value is not None
        and r.temperature_c is not None
        and sign * (r.temperature_c - at_c) >= 0.0
        and meets(r.value, limit, requirement.bound)
        for r in points_of(requirement, results)
    )


def _slope_in_doubt(one: ContinuousTemperature) -> tuple[Finding, ...]:
    """Ask the rules whether the line through the tests may as well run the other way."""
    share = one.critical.reversed_share
    if share is None:
        return ()
    return judge_measures(
        (
            Measure("reversed_share", share, where=one.requirement.title),
            Measure("reversed_percent", 100.0 * share, "%"),
        ),
        load_finding_rules("continuous"),
    )


def _extrapolated(one: ContinuousTemperature) -> Finding:
    critical = one.critical
    return Finding(
        code="continuous-temperature-extrapolated",
        severity=Severity.CAUTION,
        message=f"{one.requirement.title}: the limit lies {critical.extrapolated_c:.1f} °C outside the "
        "tested temperatures; the continuous temperature was extrapolated.",
        rule="a continuous temperature is interpolated between two tests that bracket the limit",
        value=critical.extrapolated_c,
        unit="°C",
        source="ASTM D7643-16, 6.2.2, read in extract: interpolation only",
        advice="Test at a temperature on the other side of the limit.",
    )


def _stand_in(one: ContinuousTemperature, point: Result) -> Finding:
    residue = residue_words(point.condition)
    return Finding(
        code="continuous-temperature-of-another-residue",
        severity=Severity.CAUTION,
        message=f"{one.requirement.title}: the continuous temperature is that of {residue} binder, "
        f"at the limit for {residue_words(one.requirement.condition)} binder.",
        rule="limits were written for RTFO residue",
        source="practice of the FHWA Turner-Fairbank rutting data set (2025): recovered binder at 2.20 kPa "
        "without RTFO",
        advice="Read it as a comparison, not as a grade for delivery.",
    )
