"""From single determinations to results: replicates, the declared retest rule, precision and uncertainty."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterable, Sequence

from resile.errors import MeasurementError
from resile.judge.results.own_precision import BASIS, InForce, none_in_force, precision_of_result
from resile.judge.results.precision import Precision, precision_at
from resile.judge.results.retest import counted_places, replicate_findings, where_words
from resile.judge.results.uncertainty import needs_budget, uncertainty_of_mean
from resile.records.ageing import AgeingRecord
from resile.records.determination import Condition, Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.own_precision import KeyedPrecision
from resile.records.quantity import QUANTITIES, REPORTED_QUANTITIES
from resile.records.specification import PrecisionStatement, RetestRule
from resile.records.uncertainty import UncertaintyBudget


def results_from_determinations(
    determinations: Iterable[Determination],
    precision: Sequence[PrecisionStatement],
    retest_rule: RetestRule,
    *,
    basis: str,
    budgets: Sequence[UncertaintyBudget] = (),
    own: Sequence[KeyedPrecision] = (),
    tested: str = "",
    temperature_tolerance_c: float = 0.1,
) -> tuple[Result, ...]:
    """Make one result of all determinations of a property of a sample at a temperature.

    Parameters
    ----------
    determinations : iterable of Determination
        In the order they were made; reported conclusions (a traffic class) are left out: see
        `reported_class` and `resile.judge.summaries.reported`.
    precision : sequence of PrecisionStatement
        The first one with a row for a quantity is used.
    retest_rule : RetestRule
        Which determinations count.
    basis : str
        ``"repeatability"``, ``"reproducibility"``, ``"replicates"``, ``"budget"``, ``"combined"`` or
        ``"own"``; several with commas: the first that gives an uncertainty is taken, result by result.
    budgets : sequence of UncertaintyBudget
        Needed for the bases ``"budget"`` and ``"combined"``.
    own : sequence of KeyedPrecision
        Own precision of the laboratory, for the basis ``"own"``; where none was in force on the day of the
        test, a finding says so.
    tested : str
        Day or days of the tests, for determinations that state none.
    temperature_tolerance_c : float
        Determinations whose temperatures differ by no more than this are of one temperature [°C].

    Returns
    -------
    tuple of Result
        In the order of first appearance. Every determination is kept, whether or not it counts.

    Raises
    ------
    MeasurementError
        Where the basis asks for a budget and none is given, or units differ within one result.
    """
    bases = tuple(one.strip() for one in basis.split(","))
    if needs_budget(basis) and not budgets:
        raise MeasurementError("the uncertainty is to rest on a budget, but no budget was given")
    groups = _grouped(determinations, temperature_tolerance_c)

    def in_force(counted: Sequence[Determination], value: float) -> InForce | None:
        return precision_of_result(counted, value, own, tested) if BASIS in bases else None

    return tuple(_result(group, precision, retest_rule, bases, budgets, in_force) for group in groups)


def reported_class(determinations: Iterable[Determination], sample: str) -> str:
    """Give the traffic class a laboratory reported for a sample; differing ones are joined with commas.

    Parameters
    ----------
    determinations : iterable of Determination
        Of any number of samples.
    sample : str
        Name of the sample.

    Returns
    -------
    str
        The word as printed; empty where none was reported.
    """
    words = [
        d.text.strip()
        for d in determinations
        if d.sample == sample and d.quantity == "traffic_class" and d.text
    ]
    return ", ".join(dict.fromkeys(words))


def determination_of_mass_change(record: AgeingRecord) -> Determination | None:
    """Give the mean mass change of an ageing record as a determination; None where no bottle was weighed.

    Parameters
    ----------
    record : AgeingRecord
        Reduced record.

    Returns
    -------
    Determination or None
        With the findings of the record.
    """
    if record.mass_change_percent is None:
        return None
    return Determination(
        sample=record.sample,
        condition=Condition.SHORT_TERM_AGED,
        temperature_c=None,
        quantity="mass_change_percent",
        value=record.mass_change_percent,
        unit=QUANTITIES["mass_change_percent"].unit,
        raw=True,
        source=record.source,
        place="mean of the weighed bottles",
        findings=record.findings,
    )


def _grouped(determinations: Iterable[Determination], tolerance_c: float) -> list[list[Determination]]:
    families: dict[tuple[str, Condition, str], list[list[Determination]]] = {}
    for determination in determinations:
        if determination.value is None or determination.quantity in REPORTED_QUANTITIES:
            continue
        family = families.setdefault(
            (determination.sample, determination.condition, determination.quantity), []
        )
        for group in family:
            if _same_temperature(group[0].temperature_c, determination.temperature_c, tolerance_c):
                group.append(determination)
                break
        else:
            family.append([determination])
    return [group for family in families.values() for group in family]


def _same_temperature(first: float | None, second: float | None, tolerance_c: float) -> bool:
    if first is None or second is None:
        return first is second
    return abs(first - second) <= tolerance_c + 1e-9


def _result(
    group: list[Determination],
    statements: Sequence[PrecisionStatement],
    rule: RetestRule,
    bases: Sequence[str],
    budgets: Sequence[UncertaintyBudget],
    in_force: Callable[[Sequence[Determination], float], InForce | None],
) -> Result:
    head = group[0]
    units = sorted({d.unit for d in group})
    if len(units) > 1:
        raise MeasurementError(
            f"{head.sample}: {head.quantity} is given in several units: {', '.join(units)}"
        )
    usable = [i for i, d in enumerate(group) if not _is_invalid(d)] or list(range(len(group)))
    values = [_number(group[i]) for i in usable]
    level = precision_at(statistics.fmean(values), head.quantity, head.condition, statements)
    chosen, findings = counted_places(values, rule, level, head)
    counted = {usable[i] for i in chosen}
    kept = [_number(group[i]) for i in sorted(counted)]
    value = statistics.fmean(kept)
    level = precision_at(value, head.quantity, head.condition, statements)
    findings += replicate_findings(values, head, statements)
    findings += _left_out(group, usable, head)
    if level.repeatability is None and level.reproducibility is None and level.covered:
        findings.append(_no_precision(level, head))
    own = in_force([group[i] for i in sorted(counted)], value)
    if own is not None and own.held is None:
        findings.append(none_in_force(head, own.reason))
    spread = statistics.stdev(kept) if len(kept) > 1 else None
    temperatures = [d.temperature_c for d in group if d.temperature_c is not None]
    return Result(
        sample=head.sample,
        condition=head.condition,
        temperature_c=statistics.fmean(temperatures) if temperatures else None,
        quantity=head.quantity,
        unit=head.unit,
        value=value,
        determinations=tuple(group),
        counted=tuple(i in counted for i in range(len(group))),
        spread=spread,
        repeatability=level.repeatability,
        reproducibility=level.reproducibility,
        precision_note=level.note,
        uncertainty=uncertainty_of_mean(
            value, len(kept), spread, level, head.quantity, bases, budgets, own.held if own else None
        ),
        findings=_unique([f for i in sorted(counted) for f in group[i].findings] + findings),
    )


def _number(determination: Determination) -> float:
    if determination.value is None or not math.isfinite(determination.value):
        raise MeasurementError(
            f"{determination.sample}, {determination.place or determination.quantity}: "
            f"'{determination.text or determination.value}' is not a finite number"
        )
    return determination.value


def _is_invalid(determination: Determination) -> bool:
    return any(finding.severity is Severity.INVALID for finding in determination.findings)


def _unique(findings: list[Finding]) -> tuple[Finding, ...]:
    return tuple(dict.fromkeys(findings))


def _left_out(group: list[Determination], usable: list[int], head: Determination) -> list[Finding]:
    out = [d for i, d in enumerate(group) if i not in usable]
    if not out:
        return []
    names = ", ".join(f"replicate {d.replicate}" if d.replicate else d.place or d.text for d in out)
    verb = "is" if len(out) == 1 else "are"
    return [
        Finding(
            code="determination-not-counted",
            severity=Severity.CAUTION,
            message=f"{where_words(head)}: {len(out)} of {len(group)} determinations {verb} left out "
            f"as invalid ({names}).",
            rule="an invalid finding keeps a determination out of the value",
            value=float(len(out)),
            source="own rule",
            advice="Replace the invalid determinations by fresh ones.",
        )
    ]


def _no_precision(level: Precision, head: Determination) -> Finding:
    return Finding(
        code="no-published-precision",
        severity=Severity.NOTE,
        message=f"{where_words(head)}: {level.note}.",
        rule="a value outside the printed bands has no published precision",
        value=head.value,
        unit=head.unit,
        advice="State the uncertainty from the laboratory's own replicates or a budget.",
    )
