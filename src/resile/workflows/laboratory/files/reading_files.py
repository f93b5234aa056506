"""What a file in hand gives, before anything of it is kept: runs, ageing records, or why it cannot be read.

The same reduction as on the command line (`reduce_records`), with the plates of the laboratory's instrument
where neither the file nor the person names any.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import orjson

from resile.errors import AmbiguousFileError, FileFormatError, InputError, ResileError
from resile.judge.findings import judge_measures
from resile.readers.candidate_grids import is_workbook
from resile.readers.layout import Layout
from resile.readers.summary_table import read_summary_table
from resile.readers.text.encodings import decode
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.finding import Finding, Measure, Severity
from resile.records.order import Instrument
from resile.records.reading import HeldFile
from resile.records.register import Result, ResultLine
from resile.records.summary import SummaryTable
from resile.specifications.creep_recovery import load_finding_rules
from resile.version import __version__
from resile.workflows.judging.determinations import components_of_run, determinations_of_run
from resile.workflows.orders.ordered_records import LENGTHS, names_of_parts, reduce_with_plates
from resile.workflows.reducing.across_runs import with_findings_across
from resile.workflows.reducing.ageing import Ageing, Linked, reduce_ageing_records
from resile.workflows.reducing.reduction import Run
from resile.workflows.reducing.told_of_file import residue_in_file

LARGEST_BYTES = 50_000_000
"""Largest file that is kept [bytes]."""

_AGEING_TEXT_BYTES, _AGEING_WORKBOOK_BYTES = 40_000, 150_000
"""An ageing record is a page of masses and conditions: a longer file is not searched for one [bytes]."""

UNREAD = "unread"
"""Kind of test of a file that is kept although it could not be read yet."""
NO_SAMPLE = "-"
"""Stands for the sample in rows of a table that name none."""

AGEING = "ageing"
"""Kind of test of an ageing record that is kept although it is not said of which sample."""

_HEAVIEST_FIRST = (Severity.INVALID, Severity.CAUTION, Severity.NOTE)


@dataclass(frozen=True, slots=True)
class Part:
    """One run of a file.

    Attributes
    ----------
    name : str
        What tells it from the other runs of the file; empty for the only one.
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        Reduced, its signal kept.
    """

    name: str
    run: Run


@dataclass(frozen=True, slots=True)
class ReadFile:
    """What one file gave.

    Attributes
    ----------
    name : str
        Name under which it came.
    parts : tuple of Part
        Its runs; empty where it holds none.
    ageings : tuple of Ageing
        Ageing records in it.
    refusal : ResileError or None
        Why it could not be read.
    table : SummaryTable or None
        Results that were typed or exported, without a raw record.
    """

    name: str
    parts: tuple[Part, ...] = ()
    ageings: tuple[Ageing, ...] = field(default_factory=tuple)
    refusal: ResileError | None = None
    table: SummaryTable | None = None


def check_file(data: bytes, name: str) -> None:
    """Refuse what can never be read as a record, so that it is not kept either.

    Raises
    ------
    InputError, FileFormatError
        It is empty, too large, or neither text nor a workbook.
    """
    if len(data) > LARGEST_BYTES:
        raise InputError(
            f"{name}: {len(data) / 1e6:.1f} MB is too large; a record file has at most "
            f"{LARGEST_BYTES / 1e6:.0f} MB. Nothing was kept"
        )
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise FileFormatError(f"{name}: the file is empty ({len(data)} bytes). Nothing was kept")
    if not is_workbook(data):
        try:
            decode(data, name)
        except FileFormatError as error:
            raise FileFormatError(f"{error}. Nothing was kept") from None


def read_file(
    data: bytes,
    name: str,
    *,
    layout: Layout | None = None,
    lengths: dict[str, float | None] | None = None,
    instruments: Sequence[Instrument] = (),
    linked: Linked | None = None,
    condition: Condition = Condition.UNKNOWN,
) -> ReadFile:
    """Read and reduce a file.

    Parameters
    ----------
    data, name : bytes, str
        The file.
    layout : Layout, optional
        How it is to be read.
    lengths : dict of str to float or None, optional
        Plate diameter and gap given with it [mm].
    instruments : sequence of Instrument
        Whose plates count where none are given or stated.
    linked : callable, optional
        As in `reduce_ageing_record`.
    condition : Condition
        Residue of the rows of a table of results that name none.

    Returns
    -------
    ReadFile
        With the refusal where it cannot be read; nothing is raised.
    """
    file = HeldFile(name, data)
    if name.casefold().endswith(".toml"):
        return _read_ageing(file, linked, None)
    try:
        runs = reduce_with_plates(file, layout or Layout(), lengths or {}, instruments)
        return ReadFile(name, named_parts(with_findings_across(runs)))
    except AmbiguousFileError as error:
        return ReadFile(name, refusal=error)
    except FileFormatError as error:
        longest = _AGEING_WORKBOOK_BYTES if is_workbook(data) else _AGEING_TEXT_BYTES
        read = _read_ageing(file, linked, error) if len(data) <= longest else ReadFile(name, refusal=error)
        return read if read.ageings else _read_table(file, read.refusal, layout, condition)
    except ResileError as error:
        return ReadFile(name, refusal=error)


def _read_ageing(file: HeldFile, linked: Linked | None, refusal: ResileError | None) -> ReadFile:
    """Read an ageing record; where it is none either, the first refusal stands."""
    try:
        return ReadFile(file.name, ageings=reduce_ageing_records(file, linked=linked))
    except ResileError as error:
        no_ageing = refusal is not None and isinstance(error, FileFormatError)
        return ReadFile(file.name, refusal=refusal if no_ageing else error)


def _read_table(
    file: HeldFile, refusal: ResileError | None, layout: Layout | None, condition: Condition
) -> ReadFile:
    """Read a table of results; where it is none either, the first refusal stands."""
    told = None if condition is Condition.UNKNOWN else condition
    try:
        table = read_summary_table(file, layout=layout, sample=NO_SAMPLE, condition=told)
        return ReadFile(file.name, table=table)
    except AmbiguousFileError as error:
        return ReadFile(file.name, refusal=error)
    except ResileError:
        pass
    return ReadFile(file.name, refusal=refusal)


def named_parts(runs: Sequence[Run]) -> tuple[Part, ...]:
    """Name the runs of a file: by their label, else by their place; the only one bears no name."""
    if len(runs) == 1:
        return (Part("", runs[0]),)
    return tuple(Part(name, run) for name, run in zip(names_of_parts(runs), runs, strict=True))


def part_of(read: ReadFile, name: str) -> Part:
    """Give a run of a file by its name; the only one whatever it is called.

    Raises
    ------
    ResileError
        The file cannot be read, or holds no run of this name.
    """
    if read.refusal is not None:
        raise read.refusal
    if len(read.parts) == 1:
        return read.parts[0]
    found = [part for part in read.parts if part.name == name]
    if not found:
        raise InputError(f"{read.name}: read this way, the file holds no run '{name}'")
    return found[0]


def supposed_lengths(
    part: Part, given: dict[str, float | None], instruments: Sequence[Instrument]
) -> dict[str, float]:
    """Give the plates that the instrument gave, because neither person nor file did: kept with the run."""
    from resile.readers.signals.plate_geometry import length_in_lines

    found: dict[str, float] = {}
    for name in LENGTHS:
        lengths = {getattr(one, name) for one in instruments} - {None}
        stated = part.run.signal is not None and length_in_lines(part.run.signal.details, name)
        if not given.get(name) and not stated and len(lengths) == 1:
            found[name] = lengths.pop()
    return found


def condition_of(run: Run, told: Condition) -> Condition:
    """Give the residue: as the person says, or as the file does."""
    if told is not Condition.UNKNOWN:
        return told
    return residue_in_file(run)


def result_of(run: Run, *, key: str, sample: str, number: str, condition: Condition, source: str) -> Result:
    """Give what a run gave, ready to be kept.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.
    key, sample : str
        Keys of the kept run and of its sample.
    number : str
        Number of the sample.
    condition : Condition
        Residue.
    source : str
        SHA-256 of what it was reduced from (`input_hash`).

    Returns
    -------
    Result
        Every value at full precision, with the findings.
    """
    values = (
        *determinations_of_run(run, sample=number, condition=condition),
        *components_of_run(run, sample=number, condition=condition),
    )
    levels = run.levels if isinstance(run, CreepRecoveryRun) else ()
    stresses = {
        f"{name}_{level.stress_kpa:g}": level.stress_kpa
        for level in levels
        for name in ("jnr", "percent_recovery")
    }
    found = sorted(run.findings, key=lambda finding: _HEAVIEST_FIRST.index(finding.severity))
    return Result(
        run=key,
        sample=sample,
        lines=tuple(
            ResultLine(v.quantity, v.value, v.unit, v.temperature_c, stresses.get(v.quantity)) for v in values
        ),
        **told_findings(found),
        software=__version__,
        input=source,
        cycles=tuple(
            (level.stress_kpa, cycle.percent_recovery, cycle.jnr)
            for level in levels
            for cycle in level.cycles
        ),
    )


def result_of_table(table: SummaryTable, *, key: str, sample: str, source: str) -> Result:
    """Give the values of a table of results, ready to be kept; arguments as in `result_of`."""
    lines = tuple(
        ResultLine(one.quantity, one.value, one.unit, one.temperature_c, condition=one.condition)
        for one in table.determinations
    )
    found = sorted(findings_of_table(table), key=lambda finding: _HEAVIEST_FIRST.index(finding.severity))
    return Result(
        run=key, sample=sample, lines=lines, **told_findings(found), software=__version__, input=source
    )


def findings_of_table(table: SummaryTable) -> tuple[Finding, ...]:
    """Give what is doubted of a table of results: rows that were not used, values that name no residue."""
    unknown = sum(one.condition is Condition.UNKNOWN for one in table.determinations)
    measure = Measure("values_without_residue", float(unknown), "", table.source.path)
    return (*table.findings, *judge_measures([measure], load_finding_rules("record")))


def told_findings(found: Sequence[Finding]) -> dict[str, Any]:
    """Give findings as a result keeps them: codes, sentences and the worst severity."""
    return {
        "findings": tuple(finding.code for finding in found),
        "messages": tuple(finding.message for finding in found),
        "worst": found[0].severity.value if found else "",
    }


def refused_result(key: str, sample: str, refusal: ResileError | None, source: str) -> Result:
    """Give the result of a file that could not be read: its refusal as a finding."""
    told = str(refusal) if refusal else "The record is of no sample yet."
    code = "file-not-read" if refusal else "ageing-of-no-sample"
    return Result(
        run=key,
        sample=sample,
        findings=(code,),
        messages=(told,),
        worst=(Severity.INVALID if refusal else Severity.CAUTION).value,
        software=__version__,
        input=source,
    )


def input_hash(file: str, layout: str, part: str, options: dict[str, object]) -> str:
    """Give the hash of what a result was reduced from: file, layout, part of the file and options."""
    told = [file, layout, part, options]
    return hashlib.sha256(orjson.dumps(told, option=orjson.OPT_SORT_KEYS)).hexdigest()


def with_settings(layout: Layout | None, *, sheet: str, temperature_c: float | None) -> Layout:
    """Give a layout with the sheet and temperature that the person names."""
    known = layout or Layout()
    return replace(
        known,
        sheet=sheet or known.sheet,
        temperature_c=known.temperature_c if temperature_c is None else temperature_c,
    )
