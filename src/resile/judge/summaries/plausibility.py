"""Whether each reported number of a creep-recovery summary is possible, and means anything."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from resile.judge.summaries.intervals import Printed
from resile.judge.wording import number_words
from resile.records.check import SummaryCheck
from resile.records.finding import Finding
from resile.records.quantity import QUANTITIES

Where = Callable[[str], str]
"""Gives sample, replicate and place of a quantity in words: a finding names where the doubtful number is."""

RECOVERIES = ("percent_recovery_0.1", "percent_recovery_3.2")


def finding_of(check: SummaryCheck, message: str, value: float, limit: float | None, unit: str) -> Finding:
    """Make a finding of a check.

    Parameters
    ----------
    check : SummaryCheck
        The check that was not met.
    message : str
        One sentence.
    value : float
        What was found.
    limit : float or None
        The threshold.
    unit : str
        Unit of both.

    Returns
    -------
    Finding
        With severity, rule, source and advice of the check.
    """
    return Finding(
        code=check.code,
        severity=check.severity,
        message=message,
        rule=check.rule,
        value=value,
        limit=limit,
        unit=unit,
        source=check.source,
        advice=check.advice,
    )


def plausibility_findings(
    numbers: Mapping[str, Printed], table: Mapping[str, SummaryCheck], where: Where
) -> Iterator[Finding]:
    """Check single values and pairs against what a test can give.

    Parameters
    ----------
    numbers : mapping of str to Printed
        Reported values by quantity.
    table : mapping of str to SummaryCheck
        Checks by code; those left out are not made.
    where : callable
        Gives the place of a quantity in words.

    Yields
    ------
    Finding
        In a fixed order.
    """
    yield from _recovery_range(numbers, table.get("recovery-out-of-range"), where)
    yield from _recovery_as_ratio(numbers, table.get("wrong-unit-suspected"), where)
    yield from _recovery_difference(numbers, table.get("recovery-difference-not-meaningful"), where)
    yield from _noise_floor(numbers, table.get("difference-at-noise-floor"), where)
    yield from _highly_modified(numbers, table.get("difference-of-highly-modified-binder"), where)
    yield from _with_stress(numbers, table, where)
    yield from _glover_rowe(numbers, table.get("glover-rowe-at-another-condition"), where)


def _glover_rowe(
    numbers: Mapping[str, Printed], check: SummaryCheck | None, where: Where
) -> Iterator[Finding]:
    """Name the condition: modulus and phase angle of a table are those at 10 rad/s."""
    item = numbers.get("glover_rowe_parameter")
    if check is None or item is None or "complex_modulus" not in numbers:
        return
    frequency = check.limits["angular_frequency_rad_s"]
    message = (
        f"{where('glover_rowe_parameter')}: G-R of {number_words(item.value)} kPa was measured at "
        f"{check.limits['measured_rad_s']:g} rad/s: the values of {check.limits['onset_kpa']:g} and "
        f"{check.limits['significant_kpa']:g} kPa belong to {check.limits['temperature_c']:g} °C and "
        f"{frequency:g} rad/s and say nothing of it."
    )
    yield finding_of(check, message, item.value, None, "kPa")


def _recovery_range(
    numbers: Mapping[str, Printed], check: SummaryCheck | None, where: Where
) -> Iterator[Finding]:
    if check is None:
        return
    lowest, highest = check.limits["lowest"], check.limits["highest"]
    for name in RECOVERIES:
        item = numbers.get(name)
        if item is None or lowest <= item.value <= highest:
            continue
        side, limit = ("below", lowest) if item.value < lowest else ("above", highest)
        symbol, found = QUANTITIES[name].symbol, number_words(item.value, limit)
        message = f"{where(name)}: {symbol} of {found} % is {side} {limit:g} %."
        yield finding_of(check, message, item.value, limit, "%")


def _recovery_as_ratio(
    numbers: Mapping[str, Printed], check: SummaryCheck | None, where: Where
) -> Iterator[Finding]:
    low, high, jnr = (numbers.get(name) for name in (*RECOVERIES, "jnr_3.2"))
    if check is None or low is None or high is None or jnr is None:
        return
    limit = check.limits["recovery_ratio_highest"]
    small = 0.0 < low.value <= limit and 0.0 < high.value <= limit
    if small and jnr.value <= check.limits["recovery_ratio_jnr_highest"]:
        message = (
            f"{where(RECOVERIES[0])}: recoveries of {number_words(low.value)} "
            f"and {number_words(high.value)} % "
            f"at Jnr3.2 of {number_words(jnr.value)} 1/kPa; "
            f"ratios of {number_words(100 * low.value)} and {number_words(100 * high.value)} % would fit."
        )
        yield finding_of(check, message, low.value, limit, "%")


def _recovery_difference(
    numbers: Mapping[str, Printed], check: SummaryCheck | None, where: Where
) -> Iterator[Finding]:
    low, difference = numbers.get("percent_recovery_0.1"), numbers.get("recovery_difference_percent")
    if check is None or low is None or difference is None:
        return
    limit = check.limits["recovery_lowest_percent"]
    if low.value < limit:
        message = (
            f"{where('recovery_difference_percent')}: Rdiff of {number_words(difference.value)} % "
            f"is not meaningful: R0.1 is {number_words(low.value)} %, below {limit:g} %."
        )
        yield finding_of(check, message, low.value, limit, "%")


def _noise_floor(
    numbers: Mapping[str, Printed], check: SummaryCheck | None, where: Where
) -> Iterator[Finding]:
    low = numbers.get("jnr_0.1")
    if check is None or low is None:
        return
    limit = check.limits["jnr_lowest"]
    # A print of 0.10 may stand for 0.095: the floor counts as touched where the printed span reaches it.
    if low.ends[0] < limit and low.value <= limit:
        message = (
            f"{where('jnr_0.1')}: Jnr,diff is not meaningful: Jnr0.1 of {number_words(low.value)} 1/kPa "
            f"is close to what the instrument can resolve (about {limit:g} 1/kPa)."
        )
        yield finding_of(check, message, low.value, limit, "1/kPa")


def _highly_modified(
    numbers: Mapping[str, Printed], check: SummaryCheck | None, where: Where
) -> Iterator[Finding]:
    high, difference = numbers.get("jnr_3.2"), numbers.get("jnr_difference_percent")
    if check is None or high is None or difference is None:
        return
    limit = check.limits["difference_highest_percent"]
    if high.value < check.limits["jnr_highest"] and difference.value > limit:
        message = (
            f"{where('jnr_difference_percent')}: Jnr,diff of {number_words(difference.value)} % "
            f"at Jnr3.2 of {number_words(high.value)} 1/kPa: "
            "often an artefact of a tiny Jnr0.1."
        )
        yield finding_of(check, message, difference.value, limit, "%")


def _with_stress(
    numbers: Mapping[str, Printed], table: Mapping[str, SummaryCheck], where: Where
) -> Iterator[Finding]:
    """Binders soften with stress: recovery falls, compliance rises. Prints that overlap raise nothing."""
    rises = table.get("recovery-rises-with-stress")
    low, high = numbers.get(RECOVERIES[0]), numbers.get(RECOVERIES[1])
    if rises is not None and low is not None and high is not None and high.ends[0] > low.ends[1]:
        upper, lower = number_words(high.value, low.value), number_words(low.value, high.value)
        message = f"{where(RECOVERIES[1])}: R3.2 of {upper} % is above R0.1 of {lower} %."
        yield finding_of(rises, message, high.value, low.value, "%")
    falls = table.get("compliance-falls-with-stress")
    low, high = numbers.get("jnr_0.1"), numbers.get("jnr_3.2")
    if falls is not None and low is not None and high is not None and high.ends[1] < low.ends[0]:
        lower, upper = number_words(high.value, low.value), number_words(low.value, high.value)
        message = f"{where('jnr_3.2')}: Jnr3.2 of {lower} 1/kPa is below Jnr0.1 of {upper} 1/kPa."
        yield finding_of(falls, message, high.value, low.value, "1/kPa")
