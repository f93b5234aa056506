"""A result as it is kept beside what the same bytes give today: which values, and which findings, differ."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from resile.records.register import Result

SAME_TO = 1e-12
"""Values that differ by no more than this share are the same: processors round last digits differently."""

Named = dict[tuple[str, str], tuple[str, float | None]]


@dataclass(frozen=True, slots=True)
class ValueDifference:
    """One value of a result that is not what it was.

    Attributes
    ----------
    name : str
        The quantity, with temperature and stress where it has them.
    unit : str
        Unit of both values.
    before, after : float or None
        As kept, and as given today, at full precision; None where the run does not give it.
    was, stands : bool
        Whether the kept result, and today's, has such a line at all.
    """

    name: str
    unit: str
    before: float | None
    after: float | None
    was: bool = True
    stands: bool = True

    @property
    def by(self) -> float | None:
        """How much it changed, in its unit; None where one of the two is no number."""
        return None if self.before is None or self.after is None else self.after - self.before

    @property
    def by_percent(self) -> float | None:
        """How much it changed, of the value kept [%]; None where that is zero or no number."""
        return None if self.by is None or not self.before else 100.0 * self.by / abs(self.before)

    @property
    def said(self) -> str:
        """The kind of the difference: new, gone or changed."""
        return "changed" if self.was and self.stands else "new" if self.stands else "gone"


@dataclass(frozen=True, slots=True)
class ResultDifference:
    """All that differs between a kept result and today's.

    Attributes
    ----------
    values : tuple of ValueDifference
        In the order of the results; empty where every value is the same.
    last_digits : int
        How many values differ in digits that no processor promises; they are no differences.
    findings_new, findings_gone : tuple of str
        Codes of findings that were not raised before, or are no more.
    reworded : tuple of str
        Codes of findings whose sentence alone is another.
    """

    values: tuple[ValueDifference, ...] = ()
    last_digits: int = 0
    findings_new: tuple[str, ...] = ()
    findings_gone: tuple[str, ...] = ()
    reworded: tuple[str, ...] = ()

    @property
    def any(self) -> bool:
        """Tell whether a value or a finding differs."""
        return bool(self.values or self.findings_new or self.findings_gone)


def differences(kept: Result, today: Result) -> ResultDifference:
    """Set a kept result beside what the same bytes give today.

    Parameters
    ----------
    kept, today : Result
        Of the same run.

    Returns
    -------
    ResultDifference
        Value by value and finding by finding.
    """
    one, other = _named(kept), _named(today)
    if len(kept.cycles) == len(today.cycles):
        one |= _named_cycles(kept)
        other |= _named_cycles(today)
    else:
        one["number of cycles", ""] = ("", float(len(kept.cycles)))
        other["number of cycles", ""] = ("", float(len(today.cycles)))
    changed = list(_changed(one, other))
    small = [found for found in changed if _is_small(found)]
    new, gone = (
        Counter(today.findings) - Counter(kept.findings),
        Counter(kept.findings) - Counter(today.findings),
    )
    return ResultDifference(
        values=tuple(found for found in changed if found not in small),
        last_digits=len(small),
        findings_new=tuple(new.elements()),
        findings_gone=tuple(gone.elements()),
        reworded=_reworded(kept, today),
    )


def _named(result: Result) -> Named:
    """Name every line so that it is found again; lines of one name are counted."""
    named: Named = {}
    seen: Counter[str] = Counter()
    for line in result.lines:
        name = line.quantity.replace("_", " ")
        if line.temperature_c is not None:
            name += f" at {line.temperature_c:g} °C"
        if line.stress_kpa is not None:
            name += f", {line.stress_kpa:g} kPa"
        seen[name + line.unit] += 1
        count = seen[name + line.unit]
        named[name if count == 1 else f"{name} ({count})", line.unit] = (line.unit, line.value)
    return named


def _named_cycles(result: Result) -> Named:
    named: Named = {}
    seen: Counter[float] = Counter()
    for stress, recovery, jnr in result.cycles:
        seen[stress] += 1
        name = f"cycle {seen[stress]} at {stress:g} kPa"
        named[f"{name}, percent recovery", "%"] = ("%", recovery)
        named[f"{name}, jnr", "1/kPa"] = ("1/kPa", jnr)
    return named


def _changed(one: Named, other: Named) -> Iterator[ValueDifference]:
    for key in [*one, *(key for key in other if key not in one)]:
        was, stands = key in one, key in other
        before, after = (named[key][1] if key in named else None for named in (one, other))
        if not (was and stands) or not _same(before, after):
            yield ValueDifference(key[0], key[1], before, after, was, stands)


def _same(before: float | None, after: float | None) -> bool:
    both_no_number = before is not None and after is not None and before != before and after != after
    return before == after or both_no_number


def _is_small(found: ValueDifference) -> bool:
    if found.by is None or found.before is None or found.after is None:
        return False
    return abs(found.by) <= SAME_TO * max(abs(found.before), abs(found.after))


def _reworded(kept: Result, today: Result) -> tuple[str, ...]:
    one, other = (Counter(zip(result.findings, result.messages, strict=False)) for result in (kept, today))
    codes = Counter(code for code, _ in (one - other).elements())
    return tuple((codes & Counter(code for code, _ in (other - one).elements())).elements())
