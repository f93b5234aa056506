"""What is odd about a line of a certificate, as measures; thresholds are in ``findings/certificate.toml``."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from resile.judge.wording import property_words, residue_words, temperature_words
from resile.records.certificate import CertificateLine, LaboratoryComparison
from resile.records.finding import Measure
from resile.records.specification import Specification
from resile.records.verdict import Outcome, Verdict

GRADE_STEP_C = 6.0
"""Width of a grade step [°C]: AASHTO M 320, Table 1."""
_GOOD = (Outcome.PASS, Outcome.CONDITIONAL_PASS)
_BAD = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)


def line_words(verdict: Verdict, line: CertificateLine | None = None) -> str:
    """Name a line: property, residue, temperature, and its place on the certificate.

    Parameters
    ----------
    verdict : Verdict
        The requirement.
    line : CertificateLine or None
        The line of the certificate.

    Returns
    -------
    str
        For example ``Jnr3.2, short-term-aged binder, 64 °C (line 7)``.
    """
    parts = [
        property_words(verdict.requirement.quantity),
        f"{residue_words(verdict.requirement.condition)} binder",
    ]
    if verdict.test_temperature_c is not None:
        parts.append(temperature_words(verdict.test_temperature_c))
    place = f" ({line.determination.place})" if line is not None and line.determination.place else ""
    return ", ".join(parts) + place


def find_line(verdict: Verdict, lines: Sequence[CertificateLine]) -> CertificateLine | None:
    """Find the line that answers a requirement, or the one that comes nearest.

    Parameters
    ----------
    verdict : Verdict
        The requirement and, where it was answered, the result.
    lines : sequence of CertificateLine
        Of the certificate.

    Returns
    -------
    CertificateLine or None
        The line behind the result; else one of the same property, of the same residue if there is one,
        nearest in temperature.
    """
    same = [line for line in lines if line.determination.quantity == verdict.requirement.quantity]
    if verdict.result is not None:
        places = {determination.place for determination in verdict.result.determinations}
        return next((line for line in same if line.determination.place in places), None)

    def farness(line: CertificateLine) -> tuple[bool, float]:
        at, asked = line.determination.temperature_c, verdict.test_temperature_c
        known = at is not None and asked is not None
        return (
            line.determination.condition is not verdict.requirement.condition,
            abs(at - asked) if known and at is not None and asked is not None else 0.0,
        )

    return min(same, key=farness, default=None)


def limit_differs(verdict: Verdict, line: CertificateLine | None) -> bool:
    """Tell whether the certificate prints another limit than the one in force."""
    if line is None or line.printed_limit is None or verdict.result is None:
        return False
    same = math.isclose(line.printed_limit, verdict.limit, rel_tol=1e-6)
    return not same or line.printed_bound not in ("", verdict.requirement.bound)


def measure_line(
    verdict: Verdict,
    line: CertificateLine | None,
    own: Verdict | None,
    comparison: LaboratoryComparison | None,
    specification: Specification,
) -> tuple[Measure, ...]:
    """Give the measures of one line.

    Parameters
    ----------
    verdict : Verdict
        Certificate against limit.
    line : CertificateLine or None
        As `find_line` gives it.
    own : Verdict or None
        Own value against limit.
    comparison : LaboratoryComparison or None
        Both laboratories.
    specification : Specification
        In force.

    Returns
    -------
    tuple of Measure
        For `judge_measures` with the rules of ``findings/certificate.toml``.
    """
    where = line_words(verdict, line)
    found: list[tuple[str, float]] = []
    if line is not None:
        found += _of_place(verdict, line, specification)
        found += _of_value(verdict, line)
    found += _of_two(verdict, own, comparison)
    return tuple(Measure(name, value, where=where) for name, value in found)


def _of_place(
    verdict: Verdict, line: CertificateLine, specification: Specification
) -> Iterator[tuple[str, float]]:
    """Wrong residue or temperature, where the requirement has no answer."""
    if verdict.result is not None or verdict.outcome is Outcome.WAIVED:
        return
    determination, asked = line.determination, verdict.test_temperature_c
    if determination.condition is not verdict.requirement.condition:
        yield "residue_differs", 1.0
        return
    if asked is None:
        return
    yield "asked_temperature_c", asked
    if determination.temperature_c is None:
        yield "temperature_not_stated", 1.0
        return
    apart = determination.temperature_c - asked
    steps = apart / GRADE_STEP_C
    raised = (
        verdict.requirement.temperature == "high" and round(steps) >= 1 and math.isclose(steps, round(steps))
    )
    letters = len([one for one in specification.classes if one.name])
    yield "stated_temperature_c", determination.temperature_c
    yield "temperature_difference_c", abs(apart)
    yield "traffic_letters", float(letters)
    if raised:
        yield "grade_steps_above", float(round(steps))
    if not raised or letters <= 1:
        yield "other_temperature", 1.0


def _of_value(verdict: Verdict, line: CertificateLine) -> Iterator[tuple[str, float]]:
    """Not measured, another limit, on the limit, printed too coarsely."""
    if verdict.result is None or verdict.value is None:
        return
    if line.value_basis in ("typical", "specification"):
        yield "not_measured", 1.0
    if limit_differs(verdict, line) and line.printed_limit is not None:
        yield "limit_difference", line.printed_limit - verdict.limit or math.inf
        yield "printed_limit", line.printed_limit
        yield "asked_limit", verdict.limit
    if verdict.margin is None:
        return
    scale = abs(verdict.limit) or 1.0
    yield "distance_to_limit", abs(verdict.margin) / scale
    if line.determination.resolution:
        yield "margin_in_digits", abs(verdict.margin) / line.determination.resolution


def _of_two(
    verdict: Verdict, own: Verdict | None, comparison: LaboratoryComparison | None
) -> Iterator[tuple[str, float]]:
    if own is not None and own.outcome in _BAD and verdict.outcome in _GOOD:
        yield "own_result_fails", 1.0
    if comparison is None:
        return
    if comparison.allowed_difference:
        yield "difference_over_allowed", abs(comparison.difference) / comparison.allowed_difference
    certified = comparison.mean_value + comparison.difference / 2.0
    tested = comparison.mean_value - comparison.difference / 2.0
    if certified * tested > 0.0:
        power = math.log10(certified / tested)
        yield "powers_of_ten", float(abs(round(power)))
        yield "signed_power", float(round(power))
        yield "power_misfit_percent", 100.0 * abs(10.0 ** (power - round(power)) - 1.0)
