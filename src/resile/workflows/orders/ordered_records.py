"""The raw records of a test order, reduced with the plates of the instrument they were made with.

A plate named with the record goes before what the file states, the file before the instrument; where order
and file contradict each other, a finding says so and which of them was used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from resile.errors import InputError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout, read_layout
from resile.readers.raw_record import methods_of_record
from resile.readers.signals.plate_geometry import length_in_lines
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.file_statement import FileStatement
from resile.records.finding import Measure
from resile.records.order import Instrument, OrderedRecord, TestOrder
from resile.records.reading import HeldFile
from resile.report.words import CONDITION_WORDS
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.reducing.reduction import Run, named_findings, reduce_record
from resile.workflows.reducing.told_of_file import with_contradictions

LENGTHS = {"plate_diameter_mm": "plate_difference_mm", "gap_mm": "gap_difference_mm"}
"""What an order may say of the plates, and the measure of how far a file contradicts it."""


def reduce_ordered_record(record: OrderedRecord, order: TestOrder) -> list[Run]:
    """Reduce one raw record of a test order.

    Parameters
    ----------
    record : OrderedRecord
        File, residue, specimen, and what is said of the plates.
    order : TestOrder
        Sample and instruments.

    Returns
    -------
    list of Run
        Each with its sample, residue and specimen, and named in its findings.

    Raises
    ------
    ResileError
        Where the file cannot be read or reduced.
    """
    layout = read_layout(record.layout) if record.layout else Layout()
    layout = replace(
        layout,
        sheet=record.sheet or layout.sheet,
        temperature_c=layout.temperature_c if record.temperature_c is None else record.temperature_c,
    )
    given = {name: getattr(record, name) for name in LENGTHS}
    runs = _meant(record, reduce_with_plates(record.path, layout, given, order.instruments))
    said = _said(record, order)
    return [_belonging(with_contradictions(run, said), record, order) for run in runs]


def _said(record: OrderedRecord, order: TestOrder) -> FileStatement:
    """Give what the order says of a file, to be held against what the file says."""
    named = record.instruments or tuple(one.name for one in order.instruments)
    return FileStatement(
        condition=record.condition,
        temperatures_c=() if record.temperature_c is None else (record.temperature_c,),
        tested=record.tested or order.tested,
        instruments=named,
    )


def names_of_parts(runs: Sequence[Run]) -> list[str]:
    """Name the runs of a file so that each can be found again: by its label, doubled ones with a count."""
    names: list[str] = []
    used: dict[str, int] = {}
    for number, run in enumerate(runs, start=1):
        name = run.label or f"run {number}"
        used[name] = used.get(name, 0) + 1
        names.append(name if used[name] == 1 else f"{name} ({used[name]})")
    return names


def _meant(record: OrderedRecord, runs: list[Run]) -> list[Run]:
    """Keep the one run of the file that an order means; all of them where it names none."""
    if not record.part:
        return runs
    names = names_of_parts(runs)
    meant = [run for name, run in zip(names, runs, strict=True) if name == record.part]
    if not meant:
        held = ", ".join(f"'{name}'" for name in names)
        raise InputError(f"{record.path}: the file holds no run '{record.part}'; it holds {held}")
    return meant


def reduce_with_plates(
    file: Path | HeldFile,
    layout: Layout,
    lengths: Mapping[str, float | None],
    instruments: Sequence[Instrument],
) -> list[Run]:
    """Reduce one raw record with the plates it was made with.

    Parameters
    ----------
    file : Path or HeldFile
        The record.
    layout : Layout
        How it is read.
    lengths : mapping of str to float or None
        Plate diameter and gap given with this very record, by the names of `LENGTHS` [mm].
    instruments : sequence of Instrument
        Whose plates count where neither is given, nor stated in the file.

    Returns
    -------
    list of Run
        Each with its signal, and findings where file and given plates contradict each other.

    Raises
    ------
    ResileError
        Where the file cannot be read or reduced.
    """
    given = {name: lengths.get(name) or getattr(layout, name) for name in LENGTHS}
    supposed = {
        name: None if given[name] else _of_instruments(name, file, instruments, layout) for name in LENGTHS
    }
    runs = _reduced(file, layout, {name: given[name] or supposed[name] for name in LENGTHS})
    better_told = {name for name in LENGTHS if supposed[name] and any(_stated(run, name) for run in runs)}
    if any(_stated(run, name) != supposed[name] for name in better_told for run in runs):
        runs = _reduced(
            file,
            layout,
            {name: given[name] or (None if name in better_told else supposed[name]) for name in LENGTHS},
        )
    return [_contradicted(run, given, supposed) for run in runs]


def _reduced(file: Path | HeldFile, layout: Layout, lengths: Mapping[str, float | None]) -> tuple[Run, ...]:
    return reduce_record(
        file,
        layout=replace(layout, plate_diameter_mm=lengths["plate_diameter_mm"], gap_mm=lengths["gap_mm"]),
    ).runs


def _of_instruments(
    name: str, file: Path | HeldFile, instruments: Sequence[Instrument], layout: Layout
) -> float | None:
    """Give the plate or gap of the instrument of this test; None where two instruments differ."""
    stating = [one for one in instruments if getattr(one, name) is not None]
    if any(one.tests for one in stating):
        methods = methods_of_record(file, layout=layout)
        stating = [one for one in stating if not one.tests or methods & set(one.tests)]
    lengths: set[float] = {getattr(one, name) for one in stating}
    return lengths.pop() if len(lengths) == 1 else None


def _stated(run: Run, name: str) -> float | None:
    """Give the length that a line above the columns of the file states."""
    found = length_in_lines(run.signal.details, name) if run.signal is not None else None
    return None if found is None else found[0]


def _contradicted(run: Run, given: Mapping[str, float | None], supposed: Mapping[str, float | None]) -> Run:
    """Tell where file and order state different plates, and which was used."""
    measures: list[Measure] = []
    for name, difference in LENGTHS.items():
        stated, ordered = _stated(run, name), given[name] or supposed[name]
        if stated is None or ordered is None:
            continue
        used = "that of the order" if given[name] else "that of the file"
        measures += [
            Measure(difference, abs(stated - ordered), "mm", used),
            Measure(f"stated_{name}", stated, "mm"),
            Measure(f"ordered_{name}", ordered, "mm"),
        ]
    findings = judge_measures(measures, load_finding_rules("order")) if measures else ()
    return replace(run, findings=(*run.findings, *findings)) if findings else run


def _belonging(run: Run, record: OrderedRecord, order: TestOrder) -> Run:
    """Say of a run, and in its findings, which sample, specimen and residue it belongs to."""
    label = _specimen_label(record, run)
    residue = "" if record.condition is Condition.UNKNOWN else CONDITION_WORDS[record.condition]
    named = ", ".join(part for part in (label or record.sheet or record.path.name, residue) if part)
    run = named_findings(replace(run, findings=(*record.doubts, *run.findings)), named)
    if isinstance(run, CreepRecoveryRun):
        return replace(run, sample=order.sample.name, label=label)
    return replace(run, sample=order.sample.name, label=label, condition=record.condition)


def _specimen_label(record: OrderedRecord, run: Run) -> str:
    named = f"specimen {record.specimen}" if record.specimen else ""
    return ", ".join(part for part in (named, run.label if run.label != named else "") if part)
