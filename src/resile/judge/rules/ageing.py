"""An ageing record, short-term or long-term, against the method in force."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.wording import number_words, residue_words
from resile.records.ageing import AgeingMethod, AgeingRecord, LongTermAgeingRecord, Tolerance
from resile.records.determination import Condition
from resile.records.finding import Finding, Measure, Severity, worst_severity
from resile.units import convert, find_unit

# Measures that follow from others: where those are missing there is nothing to record.
FOLLOWING = (
    "bottle_difference_percent",
    "mass_change_misfit_percent",
    "mass_change_percent",
    "feed_age_days",
    "temperature_from_grade_c",
)


def findings_for_ageing(
    record: AgeingRecord | LongTermAgeingRecord, method: AgeingMethod
) -> tuple[Finding, ...]:
    """Compare a reduced ageing record with what its method asks for.

    Parameters
    ----------
    record : AgeingRecord or LongTermAgeingRecord
        With the measures that `resile.compute.ageing` gives.
    method : AgeingMethod
        The method in force; durations differ between methods that are all standard.

    Returns
    -------
    tuple of Finding
        What lies outside, then what was seen, then what was not recorded, in the order of the method.
    """
    by_name: dict[str, list[Measure]] = {}
    for measure in record.measures:
        by_name.setdefault(measure.name, []).append(measure)
    if isinstance(record, AgeingRecord) and record.mass_change_percent is not None:
        by_name["mass_change_percent"] = [Measure("mass_change_percent", record.mass_change_percent, "%")]
    outside: list[Finding] = []
    silent: list[str] = []
    for tolerance in method.tolerances:
        measures = by_name.get(tolerance.measure, [])
        if not measures and tolerance.measure not in FOLLOWING:
            silent.append(tolerance.title)
        outside += [
            outside_tolerance(one, tolerance, method) for one in measures if not holds(one, tolerance)
        ]
    if isinstance(record, AgeingRecord):
        seen = _bottle_notes(record)
    else:
        outside += _feed(record, method)
        seen = _pan_notes(record)
        if record.feed is Condition.UNKNOWN and method.feed is not None:
            silent.append("binder that was put into the pans")
    return (*outside, *seen, *_not_recorded(silent, method))


def holds(measure: Measure, tolerance: Tolerance) -> bool:
    """Tell whether a measure lies within a tolerance, both ends included."""
    low, high = tolerance.lowest, tolerance.highest
    return (low is None or measure.value >= low) and (high is None or measure.value <= high)


def outside_tolerance(
    measure: Measure, tolerance: Tolerance, method: AgeingMethod, *, found_words: str = ""
) -> Finding:
    """Say that a measure lies outside a tolerance.

    Parameters
    ----------
    measure : Measure
        What was found.
    tolerance : Tolerance
        What is asked.
    method : AgeingMethod
        Where it is asked.
    found_words : str
        Words added to what was found.

    Returns
    -------
    Finding
        With the weight of the tolerance; names the unit that would explain it, where one does.
    """
    low, high = tolerance.lowest, tolerance.highest
    below = low is not None and measure.value < low
    unit = f" {tolerance.unit}" if tolerance.unit else ""
    found = number_words(measure.value, *(end for end in (low, high) if end is not None))
    where = f" ({measure.where})" if measure.where else ""
    ends = _ends_words(low, high)
    return Finding(
        code=f"{_prefix(method)}-{_bare(tolerance.measure)}-out-of-tolerance",
        severity=tolerance.severity,
        message=f"{_head(method)}: {tolerance.title}{where} is {found}{unit}{found_words}; "
        f"needed: {ends}{unit} ({method.document}).{_slip(measure, tolerance)}",
        rule=f"{tolerance.title}: {ends}{unit}",
        value=measure.value,
        limit=low if below else high,
        unit=tolerance.unit,
        source=tolerance.source,
        advice=tolerance.advice,
    )


def _ends_words(low: float | None, high: float | None) -> str:
    words = (
        f"at least {number_words(low)}" if low is not None else "",
        f"at most {number_words(high)}" if high is not None else "",
    )
    return " and ".join(word for word in words if word)


def _head(method: AgeingMethod) -> str:
    return f"{method.kind.capitalize()} ageing"


def _prefix(method: AgeingMethod) -> str:
    return "ageing" if method.kind == "short-term" else f"{method.kind}-ageing"


def _slip(measure: Measure, tolerance: Tolerance) -> str:
    """Offer another unit where it would explain a number that far off."""
    kept = find_unit(tolerance.unit)
    for name in tolerance.slips:
        unit = find_unit(name)
        if unit is None or kept is None:
            continue
        meant = (convert(measure.value, unit) - kept.offset) / kept.factor
        if holds(Measure(measure.name, meant), tolerance):
            return (
                f" {number_words(measure.value)} {name} would be {number_words(meant)} {tolerance.unit}: "
                f"is it in {name}?"
            )
    return ""


def _bare(measure: str) -> str:
    """Give the name of a measure without its unit, as a code is written."""
    for suffix in ("_ml_min", "_r_min", "_min", "_percent", "_c", "_g", "_mpa", "_kpa", "_mm", "_days", "_h"):
        if measure.endswith(suffix):
            return measure.removesuffix(suffix).replace("_", "-")
    return measure.replace("_", "-")


def _feed(record: LongTermAgeingRecord, method: AgeingMethod) -> list[Finding]:
    if method.feed is None or record.feed in (method.feed, Condition.UNKNOWN):
        return []
    asked, found = residue_words(method.feed), residue_words(record.feed)
    return [
        Finding(
            code="long-term-ageing-of-the-wrong-residue",
            severity=Severity.INVALID,
            message=f"{_head(method)}: {found} binder was put into the pans; "
            f"needed: {asked} binder ({method.document}).",
            rule=f"the pans are filled with {asked} binder",
            source=method.feed_source,
            advice="Age a fresh portion in the thin film oven first, then under pressure.",
        )
    ]


def _bottle_notes(record: AgeingRecord) -> list[Finding]:
    """Carry on what was seen on a bottle: a doubtful film cannot be read from the masses."""
    return [
        _seen(
            "ageing-bottle-note",
            f"Short-term ageing: bottle {bottle.name}: {bottle.note}.",
            "anything seen on a bottle is carried to the result",
            "Where binder crept or lumped a proper moving film is doubtful: the residue may be under-aged.",
        )
        for bottle in record.bottles
        if bottle.note
    ]


def _pan_notes(record: LongTermAgeingRecord) -> list[Finding]:
    """Carry on what was seen, and what the laboratory declares to have done otherwise."""
    told = [(f"pan {pan.name}: {pan.note}", "long-term-ageing-pan-note") for pan in record.pans if pan.note]
    if record.note:
        told.append((record.note.rstrip("."), "long-term-ageing-note"))
    found = [
        _seen(
            code,
            f"Long-term ageing: {words}.",
            "anything seen in ageing is carried to the result",
            "Judge whether the film was level and whole; spilt or foamed binder ages otherwise.",
        )
        for words, code in told
    ]
    if record.departure:
        found.append(
            _seen(
                "long-term-ageing-departure-declared",
                f"Long-term ageing: declared departure from the method: {record.departure.rstrip('.')}.",
                "a departure from the method is stated beside the result",
                "Do not compare the results with limits written for the method as it stands.",
            )
        )
    return found


def _seen(code: str, message: str, rule: str, advice: str) -> Finding:
    return Finding(
        code=code,
        severity=Severity.CAUTION,
        message=message,
        rule=rule,
        source="common practice, no source",
        advice=advice,
    )


def _not_recorded(titles: Sequence[str], method: AgeingMethod) -> list[Finding]:
    if not titles:
        return []
    return [
        Finding(
            code=f"{_prefix(method)}-not-recorded",
            severity=Severity.NOTE,
            message=f"{_head(method)}: not recorded: {', '.join(titles)}.",
            rule=f"the record shows what {method.document} prescribes",
            value=float(len(titles)),
            source=method.document,
            advice="Complete the record.",
        )
    ]


def findings_for_feed(
    record: LongTermAgeingRecord, *, ordered: AgeingRecord | None, linked: AgeingRecord | None
) -> tuple[Finding, ...]:
    """Compare a long-term record with the short-term record of what was put into the pans.

    Parameters
    ----------
    record : LongTermAgeingRecord
        Reduced.
    ordered : AgeingRecord or None
        Short-term record that the test order names.
    linked : AgeingRecord or None
        Short-term record that the long-term record names.

    Returns
    -------
    tuple of Finding
        Invalid where the feed was aged wrongly; cautions where two records are not of one residue.
    """
    feed = linked if linked is not None else ordered
    if feed is None:
        return ()
    found: list[Finding] = []
    if linked is not None and worst_severity(linked.findings) is Severity.INVALID:
        codes = ", ".join(f.code for f in linked.findings if f.severity is Severity.INVALID)
        found.append(
            Finding(
                code="long-term-ageing-of-the-wrong-residue",
                severity=Severity.INVALID,
                message=f"Long-term ageing: the short-term ageing of the feed is invalid ({codes}).",
                rule="long-term ageing starts from a residue that was aged as the method asks",
                source="R 28-12 (2016), 4.1, read: rolling thin film residue",
                advice="Age a fresh portion in the thin film oven first, then under pressure.",
            )
        )
    if ordered is not None and linked is not None and _hash(ordered) != _hash(linked):
        found.append(
            _of_another(
                "the short-term record that it names is another than the one of the test order",
                "Name the record of the residue that was put into the pans.",
            )
        )
    if record.sample and feed.sample and record.sample != feed.sample:
        found.append(
            _of_another(
                f"sample '{record.sample}' was aged, but the short-term record is of sample '{feed.sample}'",
                "Check which residue was put into the pans.",
            )
        )
    return tuple(found)


def _hash(record: AgeingRecord) -> str:
    return record.source.sha256 if record.source else ""


def _of_another(words: str, advice: str) -> Finding:
    return Finding(
        code="long-term-ageing-feed-differs",
        severity=Severity.CAUTION,
        message=f"Long-term ageing: {words}.",
        rule="both ageing records are of one residue",
        source="own rule",
        advice=advice,
    )
