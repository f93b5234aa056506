"""Reported conclusions against the reported results: derived values, classes, pass or fail, temperatures.

The temperatures themselves are computed elsewhere and come in by interpolation rule.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Mapping, Sequence

from resile.judge.grades.selection import limit_for
from resile.judge.results.conformity import meets
from resile.judge.summaries.class_letter import reported_class_findings
from resile.judge.summaries.consistency import DERIVED, derived_finding, place_words
from resile.judge.summaries.intervals import Printed, overlaps, printed, span_of
from resile.judge.summaries.plausibility import Where, finding_of
from resile.judge.wording import number_words, property_words, span_words
from resile.records.check import SummaryCheck
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.quantity import QUANTITIES
from resile.records.reported import Computed, ReportedComparison
from resile.records.specification import Requirement, Specification

DIFFERS = "reported-value-differs"
OTHER_RULE = "reported-value-by-another-rule"
NOT_CHECKED = "reported-value-not-checked"
OUTCOME = "reported-outcome-does-not-follow"
MEAN = "mean"


def compare_specimen(
    determinations: Sequence[Determination],
    checks: Sequence[SummaryCheck],
    specifications: Sequence[Specification],
) -> tuple[ReportedComparison, ...]:
    """Compare derived values, class and outcome of one specimen with what its other values give.

    Parameters
    ----------
    determinations : sequence of Determination
        Of one sample, residue, temperature and replicate; the first of each quantity counts.
    checks : sequence of SummaryCheck
        Severities and sources.
    specifications : sequence of Specification
        The first that limits Jnr gives the classes; the first that limits a beam gives pass and fail.

    Returns
    -------
    tuple of ReportedComparison
        One a conclusion that these values can be compared with.
    """
    table = {check.code: check for check in checks}
    reported: dict[str, Determination] = {}
    for determination in determinations:
        reported.setdefault(determination.quantity, determination)
    numbers = {name: item for name, d in reported.items() if (item := printed(d)) is not None}
    where = place_words(reported)
    found = _derived(reported, numbers, table, where)
    if "traffic_class" in reported:
        found.append(_class(reported, numbers, table, specifications, where))
    if "reported_outcome" in reported:
        found.append(_outcome(reported, numbers, table, specifications, where))
    return tuple(found)


def _derived(
    reported: Mapping[str, Determination],
    numbers: Mapping[str, Printed],
    table: Mapping[str, SummaryCheck],
    where: Where,
) -> list[ReportedComparison]:
    found = []
    for rule in DERIVED:
        first, second = (numbers.get(name) for name in rule.inputs)
        if first is None or second is None or rule.quantity not in numbers:
            continue
        finding = derived_finding(rule, numbers, table, where)
        lowest, highest = span_of(rule.formula, (first, second))
        computed = Computed(rule.formula(first.value, second.value), lowest, highest)
        told = () if finding is None else (finding,)
        found.append(
            ReportedComparison(
                reported[rule.quantity], computed, "", "neither" if told else "definition", told
            )
        )
    return found


def _class(
    reported: Mapping[str, Determination],
    numbers: Mapping[str, Printed],
    table: Mapping[str, SummaryCheck],
    specifications: Sequence[Specification],
    where: Where,
) -> ReportedComparison:
    stated = reported["traffic_class"]
    limiting = [s for s in specifications if any(r.quantity == "jnr_3.2" for r in s.requirements)]
    if "jnr_3.2" not in numbers or not limiting:
        return not_checked(stated, table.values(), "no Jnr3.2 beside it, or no specification that limits it")
    told = tuple(reported_class_findings(reported, numbers, table, limiting[0], where))
    rule = "neither" if told else "limits"
    return ReportedComparison(stated, None, "" if told else stated.text, rule, told)


def _outcome(
    reported: Mapping[str, Determination],
    numbers: Mapping[str, Printed],
    table: Mapping[str, SummaryCheck],
    specifications: Sequence[Specification],
    where: Where,
) -> ReportedComparison:
    stated, check = reported["reported_outcome"], table.get(OUTCOME)
    lines = next((found for s in specifications if (found := _beam_lines(s, numbers))), [])
    if not lines:
        return not_checked(stated, table.values(), "no result beside it that a specification limits")
    # A print on the limit may stand for a pass or a fail: both are then allowed.
    ends = [{meets(end, limit, r.bound) for end in (*item.ends, item.value)} for r, limit, item in lines]
    allowed = {all(False not in one for one in ends), all(True in one for one in ends)}
    words = "pass" if all(meets(item.value, limit, r.bound) for r, limit, item in lines) else "fail"
    if bool(stated.value) in allowed or check is None:
        return ReportedComparison(stated, None, words, "limits")
    shown = ", ".join(f"{property_words(r.quantity)} {number_words(i.value, n)}" for r, n, i in lines)
    message = f"{where('reported_outcome')}: '{stated.text}' is reported, but {shown} give a {words}."
    finding = finding_of(check, message, float(stated.value or 0.0), None, "")
    return ReportedComparison(stated, None, words, "neither", (finding,))


def _beam_lines(
    specification: Specification, numbers: Mapping[str, Printed]
) -> list[tuple[Requirement, float, Printed]]:
    """Give the requirements of the low end that the row has a value for, with limit and value."""
    found = []
    for requirement in specification.requirements:
        limit = limit_for(requirement, specification.classes[0].name)
        item = numbers.get(requirement.quantity)
        if requirement.temperature == "low + 10" and limit is not None and item is not None:
            found.append((requirement, limit, item))
    return found


def compare_number(
    stated: Determination,
    by_rule: Mapping[str, Computed],
    declared: str,
    checks: Iterable[SummaryCheck],
    what: str,
) -> ReportedComparison:
    """Compare a reported number with what each rule gives.

    Parameters
    ----------
    stated : Determination
        The conclusion.
    by_rule : mapping of str to Computed
        What the results give by rule; the declared one among them.
    declared : str
        The rule that counts.
    checks : iterable of SummaryCheck
        Severities, tolerance and sources.
    what : str
        What it was computed from, for the sentence.

    Returns
    -------
    ReportedComparison
        Its rule is the one that reproduces the number, ``"both"`` where each does, ``"neither"``.
    """
    table = {check.code: check for check in checks}
    item = printed(stated)
    differs = table.get(DIFFERS)
    slack = differs.limits["beyond_rounding"] if differs is not None else 0.0
    fitting = [
        name
        for name, one in by_rule.items()
        if item is not None and overlaps((one.lowest - slack, one.highest + slack), item.ends)
    ]
    rule = "neither" if not fitting else "both" if len(fitting) == len(by_rule) > 1 else fitting[0]
    computed = by_rule[declared]
    if declared in fitting or differs is None or item is None:
        return ReportedComparison(stated, computed, "", rule)
    finding = _difference(stated, item, by_rule, declared, fitting, table, what)
    return ReportedComparison(stated, computed, "", rule, (finding,))


def _difference(
    stated: Determination,
    item: Printed,
    by_rule: Mapping[str, Computed],
    declared: str,
    fitting: Sequence[str],
    table: Mapping[str, SummaryCheck],
    what: str,
) -> Finding:
    own = by_rule[declared]
    where = place_words({stated.quantity: stated})(stated.quantity)
    name, unit = property_words(stated.quantity), QUANTITIES[stated.quantity].unit
    shown = number_words(item.value, own.value)
    gives = "; ".join(
        f"{span_words((one.lowest, one.highest), item.value)} {unit} by the {rule} rule"
        if len(by_rule) > 1
        else f"{span_words((one.lowest, one.highest), item.value)} {unit}"
        for rule, one in by_rule.items()
    )
    check = table[OTHER_RULE] if fitting and OTHER_RULE in table else table[DIFFERS]
    verb = f"follows by the {fitting[0]} rule only" if fitting else "does not follow"
    message = f"{where}: {name} of {shown} {unit} is reported and {verb}: {what} gives {gives}."
    return finding_of(check, message, item.value, own.value, unit)


def compare_means(
    stated: Sequence[Determination], checks: Iterable[SummaryCheck]
) -> tuple[ReportedComparison, ...]:
    """Compare values reported as a mean with the replicates reported beside them.

    Parameters
    ----------
    stated : sequence of Determination
        Of one sample, residue and quantity.
    checks : iterable of SummaryCheck
        Severities and sources.

    Returns
    -------
    tuple of ReportedComparison
        One a mean; empty where fewer than two replicates stand beside it.
    """
    single = [item for d in stated if d.replicate != MEAN and (item := printed(d)) is not None]
    if len(single) < 2:
        return ()
    middle = statistics.fmean(item.value for item in single)
    half = statistics.fmean(item.half for item in single)
    of_all = {"mean": Computed(middle, middle - half, middle + half)}
    return tuple(
        compare_number(d, of_all, "mean", checks, f"the mean of {len(single)} replicates")
        for d in stated
        if d.replicate == MEAN
    )


def not_checked(stated: Determination, checks: Iterable[SummaryCheck], reason: str) -> ReportedComparison:
    """Say why a conclusion could not be compared with anything.

    Parameters
    ----------
    stated : Determination
        The conclusion.
    checks : iterable of SummaryCheck
        Holds severity and source; without its check nothing is said.
    reason : str
        Part of a sentence.

    Returns
    -------
    ReportedComparison
        Not checked.
    """
    check = next((one for one in checks if one.code == NOT_CHECKED), None)
    if check is None:
        return ReportedComparison(stated)
    where = place_words({stated.quantity: stated})(stated.quantity)
    known, value = QUANTITIES[stated.quantity], stated.value
    name = known.title.partition(" (")[0].removesuffix(" as reported").rstrip(",")
    shown = stated.text if value is None or not known.unit else f"{number_words(value)} {known.unit}"
    message = f"{where}: {name}, {shown}, was not checked: {reason}."
    return ReportedComparison(stated, findings=(finding_of(check, message, stated.value or 0.0, None, ""),))
