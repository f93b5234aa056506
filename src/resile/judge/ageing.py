"""The short-term ageing record against the method in force."""

from __future__ import annotations

from resile.judge.wording import number_words
from resile.records.ageing import AgeingMethod, AgeingRecord, Tolerance
from resile.records.finding import Finding, Measure, Severity

# Measures that follow from the masses: without two bottles or a stated mean there is nothing to record.
FOLLOWING = ("bottle_difference_percent", "mass_change_misfit_percent", "mass_change_percent")


def findings_for_ageing(record: AgeingRecord, method: AgeingMethod) -> tuple[Finding, ...]:
    """Compare a reduced ageing record with what its method asks for.

    Parameters
    ----------
    record : AgeingRecord
        With the measures that `resile.compute.ageing.short_term.reduce_short_term_ageing` gives.
    method : AgeingMethod
        The method in force; durations differ between methods that are both standard.

    Returns
    -------
    tuple of Finding
        What lies outside, then what was not recorded, in the order of the method.
    """
    by_name: dict[str, list[Measure]] = {}
    for measure in record.measures:
        by_name.setdefault(measure.name, []).append(measure)
    if record.mass_change_percent is not None:
        by_name["mass_change_percent"] = [Measure("mass_change_percent", record.mass_change_percent, "%")]
    outside: list[Finding] = []
    silent: list[str] = []
    for tolerance in method.tolerances:
        measures = by_name.get(tolerance.measure, [])
        if not measures and tolerance.measure not in FOLLOWING:
            silent.append(tolerance.title)
        outside += [
            _outside(measure, tolerance, method) for measure in measures if not _holds(measure, tolerance)
        ]
    return (*outside, *_notes(record), *_not_recorded(silent, method))


def _holds(measure: Measure, tolerance: Tolerance) -> bool:
    low, high = tolerance.lowest, tolerance.highest
    return (low is None or measure.value >= low) and (high is None or measure.value <= high)


def _outside(measure: Measure, tolerance: Tolerance, method: AgeingMethod) -> Finding:
    low, high = tolerance.lowest, tolerance.highest
    below = low is not None and measure.value < low
    unit = f" {tolerance.unit}" if tolerance.unit else ""
    found = number_words(measure.value, *(end for end in (low, high) if end is not None))
    where = f" ({measure.where})" if measure.where else ""
    ends = " and ".join(
        words
        for words in (
            f"at least {number_words(low)}" if low is not None else "",
            f"at most {number_words(high)}" if high is not None else "",
        )
        if words
    )
    return Finding(
        code=f"ageing-{_bare(tolerance.measure)}-out-of-tolerance",
        severity=tolerance.severity,
        message=f"Short-term ageing: {tolerance.title}{where} is {found}{unit}; "
        f"needed: {ends}{unit} ({method.document}).{_in_fahrenheit(measure, tolerance)}",
        rule=f"{tolerance.title}: {ends}{unit}",
        value=measure.value,
        limit=low if below else high,
        unit=tolerance.unit,
        source=tolerance.source,
        advice=tolerance.advice,
    )


def _in_fahrenheit(measure: Measure, tolerance: Tolerance) -> str:
    """Offer the other unit where it would explain an oven that far off."""
    celsius = (measure.value - 32.0) / 1.8
    if measure.name != "temperature_c" or not _holds(Measure(measure.name, celsius), tolerance):
        return ""
    return f" {number_words(measure.value)} °F would be {number_words(celsius)} °C: is it in °F?"


def _bare(measure: str) -> str:
    """Give the name of a measure without its unit, as a code is written."""
    for suffix in ("_ml_min", "_r_min", "_min", "_percent", "_c", "_g"):
        if measure.endswith(suffix):
            return measure.removesuffix(suffix).replace("_", "-")
    return measure


def _notes(record: AgeingRecord) -> list[Finding]:
    """Carry on what was seen on a bottle: a doubtful film cannot be read from the masses."""
    return [
        Finding(
            code="ageing-bottle-note",
            severity=Severity.CAUTION,
            message=f"Short-term ageing: bottle {bottle.name}: {bottle.note}.",
            rule="anything seen on a bottle is carried to the result",
            source="common practice, no source",
            advice="Where binder crept or lumped a proper moving film is doubtful: "
            "the residue may be under-aged.",
        )
        for bottle in record.bottles
        if bottle.note
    ]


def _not_recorded(titles: list[str], method: AgeingMethod) -> list[Finding]:
    if not titles:
        return []
    return [
        Finding(
            code="ageing-not-recorded",
            severity=Severity.NOTE,
            message=f"Short-term ageing: not recorded: {', '.join(titles)}.",
            rule=f"the record shows what {method.document} prescribes",
            value=float(len(titles)),
            source=method.document,
            advice="Complete the record.",
        )
    ]
