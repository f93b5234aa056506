"""The words and marks of outcomes, severities and quantities; a mark never stands without its word."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from resile.records.determination import Condition, Result
from resile.records.finding import Finding, Severity
from resile.records.quantity import QUANTITIES
from resile.records.verdict import Outcome, Verdict

COVERAGE_FACTOR = 2.0
"""Expanded uncertainty is this many standard uncertainties (about 95 %) where degrees of freedom are many."""

EXTERNAL_MARK = "‡"
"""Behind a result that another laboratory made (ISO/IEC 17025:2017, 7.8.2.1 p)."""

SEVERITY_MARKS: dict[Severity, str] = {Severity.NOTE: "○", Severity.CAUTION: "▲", Severity.INVALID: "■"}
OUTCOME_MARKS: dict[Outcome, str] = {
    Outcome.PASS: "✓",
    Outcome.CONDITIONAL_PASS: "△",
    Outcome.CONDITIONAL_FAIL: "▼",
    Outcome.FAIL: "✗",
    Outcome.NOT_TESTED: "○",
    Outcome.WAIVED: "–",
}
CONDITION_WORDS: dict[Condition, str] = {
    Condition.ORIGINAL: "original binder",
    Condition.SHORT_TERM_AGED: "short-term aged",
    Condition.LONG_TERM_AGED: "long-term aged",
    Condition.RECOVERED: "recovered binder",
    Condition.UNKNOWN: "residue not stated",
}
METHOD_TITLES: dict[str, str] = {
    "creep_recovery": "Creep recovery",
    "oscillation": "Oscillation",
    "bending_beam": "Bending beam",
    "rotational_viscosity": "Rotational viscosity",
}
WORKING_CAUTION = (
    "Mixing and compaction ranges hold for unmodified binder; for modified binder ask its supplier. "
    "Do not heat binder beyond 177 °C: it is damaged and fumes."
)
"""Stands wherever these ranges stand. Asphalt Institute MS-2, section 4.2.1."""
_HEAVIEST_FIRST = (Severity.INVALID, Severity.CAUTION, Severity.NOTE)


def symbol_of(quantity: str) -> str:
    """Give the symbol of a quantity, or the first words of its title where it has none."""
    known = QUANTITIES.get(quantity)
    return (known.symbol or known.title.partition(",")[0]) if known else quantity


def title_of(quantity: str) -> str:
    """Give the words for a quantity."""
    known = QUANTITIES.get(quantity)
    return known.title if known else quantity


def heaviest_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Order findings by severity, invalid ones first, and say each only once."""
    once = tuple(dict.fromkeys(findings))
    return tuple(sorted(once, key=lambda finding: _HEAVIEST_FIRST.index(finding.severity)))


def comparison_of(verdict: Verdict) -> str:
    """Give the sign of a requirement: at most or at least."""
    return "≤" if verdict.requirement.bound == "maximum" else "≥"


def expanded_uncertainty(result: Result) -> float | None:
    """Give ``U = k u`` for show, or None where no uncertainty is stated."""
    return None if result.uncertainty is None else result.uncertainty.expanded


def coverage_words(results: Iterable[Result]) -> str:
    """Say what k is: 2, or more where few degrees of freedom ask for it."""
    largest = max((r.uncertainty.coverage_factor for r in results if r.uncertainty), default=COVERAGE_FACTOR)
    if largest <= COVERAGE_FACTOR + 0.005:
        return "k = 2"
    return f"k = 2, and up to {largest:.1f} where few determinations ask for it (Student's t, 95.45 %)"


def coverage_interval(result: Result) -> tuple[float, float] | None:
    """Give the ends of the interval of about 95 % for drawing.

    Parameters
    ----------
    result : Result
        A result; a log-normal uncertainty gives an interval by ratio.

    Returns
    -------
    tuple of float or None
        Lower and upper end in the unit of the result; None where no uncertainty is stated.
    """
    if result.uncertainty is None or result.value is None:
        return None
    value, standard, factor = result.value, result.uncertainty.standard, result.uncertainty.coverage_factor
    if result.uncertainty.distribution == "log-normal" and value > 0:
        ratio = math.exp(factor * math.sqrt(math.log1p((standard / value) ** 2)))
        return value / ratio, value * ratio
    return value - factor * standard, value + factor * standard


def external_laboratories(results: Sequence[Result]) -> dict[str, list[Result]]:
    """Give the results that rest on determinations of another laboratory, by its name."""
    found: dict[str, list[Result]] = {}
    for result in results:
        for name in dict.fromkeys(one.laboratory for one in result.determinations if one.laboratory):
            found.setdefault(name, []).append(result)
    return found


def external_mark(result: Result) -> str:
    """Give the mark behind a result that another laboratory made, in whole or in part; a note explains it."""
    return f" {EXTERNAL_MARK}" if external_laboratories([result]) else ""


def external_note(results: Sequence[Result]) -> str:
    """Explain the mark: which results another laboratory made; empty where none."""
    parts = []
    for name, made in external_laboratories(results).items():
        partly = [any(not one.laboratory for one in result.determinations) for result in made]
        of = [
            f"{symbol_of(result.quantity)} ({CONDITION_WORDS[result.condition]}{', in part' if part else ''})"
            for result, part in zip(made, partly, strict=True)
        ]
        parts.append(f"{name}: {joined(list(dict.fromkeys(of)))}")
    return f"{EXTERNAL_MARK} made by another laboratory. {'; '.join(parts)}." if parts else ""


def joined(words: tuple[str, ...] | list[str]) -> str:
    """Join words with commas and a last ``and``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
