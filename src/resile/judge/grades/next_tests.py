"""The tests that would settle what a grade statement leaves open, in the order in which they pay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.wording import number_words, residue_words, temperature_words
from resile.records.quantity import QUANTITIES
from resile.records.specification import Specification
from resile.records.verdict import ClassVerdict, Outcome, Verdict

_FAILED = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)


def next_tests(classes: Sequence[ClassVerdict], specification: Specification) -> tuple[str, ...]:
    """Name the next tests.

    Parameters
    ----------
    classes : sequence of ClassVerdict
        Hottest temperature and most severe class first.
    specification : Specification
        The rule set.

    Returns
    -------
    tuple of str
        One sentence a test: a deciding property that is missing; a replicate where the margin is within one
        repeatability limit; a hotter or cooler temperature; properties that would complete a class.
    """
    if not classes:
        steps = ", ".join(f"{t:g}" for t in specification.high_temperatures_c)
        return (f"No result at a grade step: test at one of {steps} °C.",)
    sentences = [
        *_deciding(classes),
        *_replicates(classes),
        *_other_steps(classes, specification),
        *_completing(classes),
    ]
    return tuple(dict.fromkeys(sentences))


def _by_temperature(classes: Sequence[ClassVerdict]) -> dict[float, list[ClassVerdict]]:
    table: dict[float, list[ClassVerdict]] = {}
    for verdict in classes:
        table.setdefault(verdict.temperature_c, []).append(verdict)
    return table


def tested_property(verdict: Verdict) -> str:
    """Give what a line asks to be tested: property, temperature and residue.

    Parameters
    ----------
    verdict : Verdict
        The line.

    Returns
    -------
    str
        For example ``creep stiffness after 60 s of loading at −12 °C on long-term-aged binder``.
    """
    requirement = verdict.requirement
    at = (
        f" at {temperature_words(verdict.test_temperature_c)}"
        if verdict.test_temperature_c is not None
        else ""
    )
    residue = residue_words(requirement.condition)
    return f"{QUANTITIES[requirement.quantity].title}{at} on {residue} binder"


def _deciding(classes: Sequence[ClassVerdict]) -> Iterator[str]:
    for verdict in classes:
        for line in verdict.not_tested:
            already_failed = any(v.outcome in _FAILED for v in verdict.verdicts)
            if line.requirement.decides_class and not already_failed:
                yield f"Test the {tested_property(line)}: without it no class can be stated there."


def _is_close(verdict: Verdict) -> bool:
    if verdict.outcome in (Outcome.CONDITIONAL_PASS, Outcome.CONDITIONAL_FAIL):
        return True
    distance = verdict.margin_repeatabilities
    return distance is not None and abs(distance) < 1.0


def _replicates(classes: Sequence[ClassVerdict]) -> Iterator[str]:
    """Ask for a replicate where the mildest failing or the most severe passing class is a near thing."""
    for temperature, group in _by_temperature(classes).items():
        satisfied = next((c for c in group if c.satisfied), None)
        failing = next((c for c in reversed(group) if not c.satisfied), None)
        for verdict in (failing, satisfied):
            if verdict is None:
                continue
            blocking = [v for v in verdict.verdicts if v.outcome in (*_FAILED, Outcome.CONDITIONAL_PASS)]
            lines = blocking if verdict is failing else [v for v in verdict.verdicts if v.margin is not None]
            if not lines or (verdict is failing and not all(_is_close(v) for v in blocking)):
                continue
            for line in lines:
                if _is_close(line):
                    yield _replicate_sentence(verdict, line, temperature)


def _replicate_sentence(verdict: ClassVerdict, line: Verdict, temperature_c: float) -> str:
    side = "passes" if line.margin is not None and line.margin >= 0.0 else "fails"
    distance = line.margin_repeatabilities
    near = f", {abs(distance):.2f} of one repeatability limit" if distance is not None else ""
    unit = f" {line.requirement.unit}" if line.requirement.unit else ""
    return (
        f"Repeat the {tested_property(line)} on a fresh specimen: {verdict.label} {side} by only "
        f"{number_words(abs(line.margin or 0.0))}{unit}{near}."
    )


def _other_steps(classes: Sequence[ClassVerdict], specification: Specification) -> Iterator[str]:
    table = _by_temperature(classes)
    steps = specification.high_temperatures_c
    hottest, coolest = max(table), min(table)
    hotter = [t for t in steps if t > hottest]
    cooler = [t for t in steps if t < coolest]
    if table[hottest][0].satisfied and hotter:
        yield (
            f"Test at {min(hotter):g} °C: the most severe class passes at {hottest:g} °C, "
            f"so a hotter step may hold too."
        )
    decided = all(any(v.outcome in _FAILED for v in c.verdicts) for c in table[coolest])
    if decided and cooler:
        yield f"Test at {max(cooler):g} °C: no class passes at {coolest:g} °C."


def _completing(classes: Sequence[ClassVerdict]) -> Iterator[str]:
    for group in _by_temperature(classes).values():
        best = next((c for c in group if c.satisfied), None)
        if best is not None:
            for line in best.not_tested:
                yield f"Test the {tested_property(line)}: it is still open for {best.label}."
