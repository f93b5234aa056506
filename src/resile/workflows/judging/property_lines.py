"""The line of each property of a sample against temperature, with the scatter it rests on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.compute.rheology.temperature.recovery_line import fit_recovery_line
from resile.compute.rheology.temperature.temperature_line import (
    fit_temperature_line,
    line_from_prior,
    scatter_about_line,
)
from resile.errors import InputError, MeasurementError
from resile.judge.findings import judge_measures
from resile.judge.wording import property_words, residue_words
from resile.records.determination import Condition, Result
from resile.records.finding import Finding, FindingRule, Measure, Severity, worst_severity
from resile.records.prediction import PropertyLine
from resile.records.slope_prior import BinderKind
from resile.records.specification import PrecisionStatement
from resile.records.temperature_line import SlopePrior, TemperatureLine

LOGARITHMIC = ("jnr_3.2", "rutting_parameter")
"""Properties whose logarithm is drawn as a line."""
RECOVERIES = ("percent_recovery_3.2",)
RESIDUES = (Condition.SHORT_TERM_AGED, Condition.RECOVERED, Condition.ORIGINAL, Condition.UNKNOWN)
SCATTERS = ("precision", "replicates")
"""What the scatter of one determination may rest on, besides a coefficient of variation in %."""
_OFF_THE_LINE = "points-off-the-line"


@dataclass(frozen=True, slots=True)
class LineBasis:
    """What lines are drawn with.

    Attributes
    ----------
    precision : tuple of PrecisionStatement
        Published precision.
    rules : tuple of FindingRule
        Rules of doubts.
    scatter : str or float
        ``"precision"`` (single operator), ``"replicates"`` (about the line), or a coefficient of
        variation [%].
    kind : BinderKind or None
        Gives the slope where one temperature was tested.
    """

    precision: Sequence[PrecisionStatement]
    rules: Sequence[FindingRule]
    scatter: str | float = "precision"
    kind: BinderKind | None = None

    def __post_init__(self) -> None:
        """Refuse a scatter that is neither a known word nor a number above zero."""
        known = self.scatter in SCATTERS if isinstance(self.scatter, str) else self.scatter > 0.0
        if not known:
            raise InputError(
                f"scatter '{self.scatter}': needed is {', '.join(SCATTERS)} or a number above 0 (%)"
            )


def property_lines(
    results: Sequence[Result], basis: LineBasis
) -> tuple[tuple[PropertyLine, ...], tuple[Finding, ...]]:
    """Draw every property of a sample against temperature.

    Parameters
    ----------
    results : sequence of Result
        Of one sample; invalid ones and those without a temperature do not count.
    basis : LineBasis
        Scatter, rules and, for a single temperature, the kind of binder.

    Returns
    -------
    lines : tuple of PropertyLine
        One a property and residue; without a line, and with the reason, where none can be drawn.
    findings : tuple of Finding
        Doubts about them.
    """
    lines: list[PropertyLine] = []
    findings: list[Finding] = []
    for quantity in (*LOGARITHMIC, *RECOVERIES):
        for condition in RESIDUES:
            points = _points(results, quantity, condition)
            if points:
                line, found = _drawn(quantity, condition, points, basis)
                lines.append(line)
                findings += found
    return tuple(lines), tuple(findings)


def name_of_line(quantity: str, condition: Condition) -> str:
    """Give a property and its residue in words: ``Jnr3.2 of short-term-aged binder``."""
    return f"{property_words(quantity)} of {residue_words(condition)} binder"


def _points(results: Sequence[Result], quantity: str, condition: Condition) -> tuple[Result, ...]:
    found = [
        r
        for r in results
        if r.quantity == quantity
        and r.condition is condition
        and r.value is not None
        and r.temperature_c is not None
        and worst_severity(r.findings) is not Severity.INVALID
    ]
    return tuple(sorted(found, key=lambda r: r.temperature_c or 0.0))


def _drawn(
    quantity: str, condition: Condition, points: tuple[Result, ...], basis: LineBasis
) -> tuple[PropertyLine, tuple[Finding, ...]]:
    plain = PropertyLine(quantity, condition, points, None)
    try:
        if quantity in RECOVERIES:
            return _recovery(plain, basis)
        return _logarithmic(plain, basis)
    except MeasurementError as error:  # the other properties are still drawn
        return replace(plain, reason=str(error)), ()


def _recovery(plain: PropertyLine, basis: LineBasis) -> tuple[PropertyLine, tuple[Finding, ...]]:
    if len(plain.points) < 2:
        return replace(plain, reason="tested at one temperature, and no slope of recovery is published"), ()
    variation, _, note = _variation(plain, basis)
    if variation is None:
        return replace(plain, reason=note), ()
    temperatures, values = _rows(plain)
    line = fit_recovery_line(temperatures, values, variation_percent=variation)
    where = name_of_line(plain.quantity, plain.condition)
    measures = [Measure("recovery_slope_per_c", line.slope_per_c, "1/°C", where)]
    return replace(plain, line=line, scatter_note=note), judge_measures(measures, basis.rules)


def _logarithmic(plain: PropertyLine, basis: LineBasis) -> tuple[PropertyLine, tuple[Finding, ...]]:
    where = name_of_line(plain.quantity, plain.condition)
    variation, outside, note = _variation(plain, basis)
    measures = [
        Measure("tested_temperatures", float(len(plain.points)), where=where),
        Measure("values_outside_precision", float(outside), where=where),
    ]
    temperatures, values = _rows(plain)
    if len(plain.points) > 1:
        line = fit_temperature_line(
            temperatures, values, standard_log=None if variation is None else variation / 100.0
        )
        line, note, more = _widened(
            line, temperatures, values, note, basis, where, stated=variation is not None
        )
        measures += more
    else:
        prior, reason = _prior(plain, basis)
        if prior is None or variation is None:
            return replace(plain, reason=reason or note), ()
        line = line_from_prior(temperatures[0], values, prior, standard_log=variation / 100.0)
    sign = -1.0 if plain.quantity == "rutting_parameter" else 1.0
    measures.append(Measure("factor_per_6_c", math.exp(6.0 * sign * line.slope_per_c), where=where))
    findings = judge_measures(measures, basis.rules)
    if worst_severity(findings) is Severity.INVALID:
        return replace(plain, reason="it runs the wrong way with temperature"), findings
    return replace(plain, line=line, scatter_note=note), findings


def _prior(plain: PropertyLine, basis: LineBasis) -> tuple[SlopePrior | None, str]:
    """Give the published slope, or say what is needed for one."""
    if basis.kind is None:
        return None, "tested at one temperature; name the kind of binder, or test at a second temperature"
    prior = basis.kind.prior_for(plain.quantity, plain.condition)
    missing = f"no slope is stated for it in kind '{basis.kind.identifier}'"
    return prior, "" if prior else f"tested at one temperature, and {missing}"


def _rows(plain: PropertyLine) -> tuple[list[float], list[float]]:
    """Give every counted determination as a row, at the temperature it was made at."""
    rows = [
        (d.temperature_c if d.temperature_c is not None else point.temperature_c, d.value)
        for point in plain.points
        for d, counts in zip(point.determinations, point.counted, strict=True)
        if counts
    ]
    if not rows:  # a result that came without its determinations
        rows = [(point.temperature_c, point.value) for point in plain.points]
    return [float(t) for t, _ in rows if t is not None], [float(v) for _, v in rows if v is not None]


def _variation(plain: PropertyLine, basis: LineBasis) -> tuple[float | None, int, str]:
    """Give the coefficient of variation of one determination [%], values it does not cover, and why."""
    if not isinstance(basis.scatter, str):
        return basis.scatter, 0, f"coefficient of variation stated as {basis.scatter:g} %"
    replicates = basis.scatter == "replicates" and plain.quantity in LOGARITHMIC and len(plain.points) > 1
    statement = next(
        (s for s in basis.precision if any(band.quantity == plain.quantity for band in s.bands)), None
    )
    if replicates or statement is None:
        return None, 0, "scatter of the determinations about the line"
    printed = [
        band.single_operator_percent
        for band in statement.bands
        if band.quantity == plain.quantity and band.single_operator_percent is not None
    ]
    if not printed:
        return None, 0, f"no single-operator precision in {statement.document}"
    shares, outside = [], 0
    for point in plain.points:
        if point.repeatability and point.value:
            shares.append(100.0 * point.repeatability / point.value)
        else:
            shares.append(max(printed))
            outside += 1
    spread = math.sqrt(sum(share**2 for share in shares) / len(shares))
    return spread, outside, f"single-operator precision of {statement.document}, {spread:.2g} %"


def _widened(
    line: TemperatureLine,
    temperatures: list[float],
    values: list[float],
    note: str,
    basis: LineBasis,
    where: str,
    *,
    stated: bool,
) -> tuple[TemperatureLine, str, list[Measure]]:
    """Take the scatter found where it is more than the stated one explains; a band must not flatter."""
    if not stated or len(values) < 3:
        return line, note, []
    scatter, _, chance = scatter_about_line(line, temperatures, values)
    measures = [
        Measure("scatter_chance", chance, where=where),
        Measure("scatter_percent", 100.0 * scatter, "%", where),
        Measure("stated_percent", 100.0 * line.scatter, "%", where),
    ]
    if all(finding.code != _OFF_THE_LINE for finding in judge_measures(measures, basis.rules)):
        return line, note, measures
    wider = fit_temperature_line(temperatures, values, standard_log=scatter)
    return wider, f"scatter found about the line, {100.0 * scatter:.2g} % ({note} is less)", measures
