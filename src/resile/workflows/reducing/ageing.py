"""From an ageing record, short-term or long-term, to results and findings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.compute.ageing.long_term import reduce_long_term_ageing
from resile.compute.ageing.short_term import reduce_short_term_ageing
from resile.errors import InputError, MeasurementError, RecordNotFoundError
from resile.judge.rules.ageing import findings_for_ageing, findings_for_feed
from resile.readers.ageing.ageing_record import kinds_in_form, read_ageing_record
from resile.records.ageing import AgeingMethod, AgeingRecord, LongTermAgeingRecord
from resile.records.reading import HeldFile
from resile.specifications.load import load_ageing_method

Linked = Callable[[str], HeldFile | None]
"""Gives the short-term record that a long-term one in hand names; None where there is none."""


def not_followed(name: str) -> HeldFile | None:
    """Leave the short-term record that a long-term one names alone: each is taken by itself."""
    return None


@dataclass(frozen=True, slots=True)
class Ageing:
    """One ageing record, reduced and checked.

    Attributes
    ----------
    record : AgeingRecord or LongTermAgeingRecord
        With mass changes or films, measures and findings.
    method : AgeingMethod
        What it was checked against.
    """

    record: AgeingRecord | LongTermAgeingRecord
    method: AgeingMethod

    def to_json(self) -> dict[str, Any]:
        """Give the record for machines."""
        from resile.report.machine.ageing import ageing_to_json

        return ageing_to_json(self.record)

    def to_terminal(self) -> Any:
        """Give a readable sheet for a terminal, findings first."""
        from resile.report.terminal import render_ageing

        return render_ageing(self.record)


def reduce_ageing_record(path: str | Path | HeldFile, *, linked: Linked | None = None) -> Ageing:
    """Reduce an ageing record and check it against the method it names.

    Parameters
    ----------
    path : str, Path or HeldFile
        TOML, CSV or XLSX; whether it is short-term or long-term ageing is told from what it names.
    linked : callable, optional
        For a file in hand, which has no folder: gives the short-term record that it names.

    Returns
    -------
    Ageing
        Mass change of each bottle and their mean, or film of each pan, with findings.
    """
    file = path if isinstance(path, HeldFile) else Path(path)
    record = read_ageing_record(file)
    if isinstance(record, LongTermAgeingRecord):
        return _reduce_long_term(record, file, None, linked)
    return _reduce_short_term(record, file)


def reduce_ageing_records(path: str | Path | HeldFile, *, linked: Linked | None = None) -> tuple[Ageing, ...]:
    """Reduce every ageing record of a file: a results form may hold one of each kind.

    Parameters
    ----------
    path, linked
        As in `reduce_ageing_record`.

    Returns
    -------
    tuple of Ageing
        Short-term before long-term; the second is checked against the first.
    """
    file = path if isinstance(path, HeldFile) else Path(path)
    if len(kinds_in_form(file)) < 2:
        return (reduce_ageing_record(file, linked=linked),)
    short = reduce_ageing_record(file)
    assert isinstance(short.record, AgeingRecord)
    long = read_ageing_record(file, prefer="long-term")
    assert isinstance(long, LongTermAgeingRecord)
    return short, _reduce_long_term(long, file, short.record, linked)


def reduce_ageing_of_order(
    short_term: Path | HeldFile | None, long_term: Path | HeldFile | None
) -> tuple[AgeingRecord | None, LongTermAgeingRecord | None]:
    """Reduce the ageing records that a test order names.

    Parameters
    ----------
    short_term, long_term : Path or HeldFile or None
        Files under the keys ``ageing`` and ``long_term_ageing``; a long-term record in hand may name the
        short-term one, or a file that it has `beside` it.

    Returns
    -------
    tuple of (AgeingRecord or None, LongTermAgeingRecord or None)
        Reduced and checked; the long-term one against the short-term one as well.

    Raises
    ------
    InputError
        A record stands under the key of the other kind.
    """
    short = reduce_ageing_record(short_term).record if short_term else None
    if isinstance(short, LongTermAgeingRecord):
        raise InputError(
            f"{short_term}: named under 'ageing', but it is a record of long-term ageing; "
            "name it under 'long_term_ageing'"
        )
    if long_term is None:
        return short, None
    record = read_ageing_record(long_term, prefer="long-term")
    if isinstance(record, AgeingRecord):
        raise InputError(
            f"{long_term}: named under 'long_term_ageing', but it is a record of short-term ageing; "
            "name it under 'ageing'"
        )
    beside = long_term.beside if isinstance(long_term, HeldFile) else ()
    named = {one.name: one for one in (*beside, short_term) if isinstance(one, HeldFile)}
    long = _reduce_long_term(record, long_term, short, named.get).record
    assert isinstance(long, LongTermAgeingRecord)
    return short, long


def _reduce_short_term(record: AgeingRecord, path: Path | HeldFile) -> Ageing:
    method = _method(record, path)
    try:
        reduced = reduce_short_term_ageing(record)
    except MeasurementError as error:
        raise MeasurementError(f"{path}: {error}") from None
    findings = (*record.findings, *findings_for_ageing(reduced, method))
    return Ageing(record=replace(reduced, findings=findings), method=method)


def _reduce_long_term(
    record: LongTermAgeingRecord, path: Path | HeldFile, ordered: AgeingRecord | None, named: Linked | None
) -> Ageing:
    method = _method(record, path)
    linked = _linked(record, path, named)
    feed = ordered if ordered is not None else linked
    try:
        reduced = reduce_long_term_ageing(record, feed_aged_on=feed.aged_on if feed else "")
    except MeasurementError as error:
        raise MeasurementError(f"{path}: {error}") from None
    findings = (
        *record.findings,
        *findings_for_ageing(reduced, method),
        *findings_for_feed(reduced, ordered=ordered, linked=linked),
    )
    asked = next((t for t in method.tolerances if t.measure == "temperature_from_grade_c"), None)
    return Ageing(record=replace(reduced, findings=findings, grade_temperature=asked), method=method)


def _method(record: AgeingRecord | LongTermAgeingRecord, path: Path | HeldFile) -> AgeingMethod:
    method = load_ageing_method(record.method)
    kind = "long-term" if isinstance(record, LongTermAgeingRecord) else "short-term"
    if method.kind != kind:
        raise InputError(
            f"{path}: the record is of {kind} ageing, but its method '{record.method}' is one of "
            f"{method.kind} ageing; name the method that was used"
        )
    return method


def _linked(record: LongTermAgeingRecord, path: Path | HeldFile, named: Linked | None) -> AgeingRecord | None:
    """Read the short-term record that a long-term record names."""
    if not record.short_term_record or named is not_followed:
        return None
    file: Path | HeldFile | None
    if isinstance(path, HeldFile):
        file = named(record.short_term_record) if named else None
        if file is None:
            raise RecordNotFoundError(
                f"{path}: the short-term ageing record that it names, {record.short_term_record}, "
                "is not kept with this sample; keep it first"
            )
    else:
        file = path.parent / record.short_term_record
        if not file.is_file():
            raise RecordNotFoundError(
                f"{path}: the short-term ageing record that it names does not exist: {file}"
            )
    linked = read_ageing_record(file)
    if isinstance(linked, LongTermAgeingRecord):
        raise InputError(
            f"{path}: {file} is named as short-term ageing record, but is one of long-term ageing"
        )
    reduced = _reduce_short_term(linked, file).record
    assert isinstance(reduced, AgeingRecord)
    return reduced
