"""The lists of the laboratory pages as tables, and own precision as a file for the command line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.comparisons.check_materials import material_sheets, names_of_instruments
from resile.workflows.laboratory.comparisons.precision_in_verdicts import own_precisions
from resile.workflows.laboratory.comparisons.proposing import list_precisions
from resile.workflows.laboratory.comparisons.rounds_kept import rounds_kept
from resile.workflows.laboratory.samples.sample_search import csv_cell
from resile.workflows.toml_text import toml_text

_FILED = (
    "repeatability",
    "intermediate",
    "bias",
    "bias_standard",
    "standard",
    "degrees_of_freedom",
    "lowest",
    "highest",
    "duplicates",
    "checks",
    "rounds",
    "since",
    "until",
)


def csv_text(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a table as CSV; a text that a spreadsheet would take for a formula is led by an apostrophe."""
    lines = [",".join(headings)]
    lines += [",".join(_cell(cell) for cell in row) for row in rows]
    return "\r\n".join(lines) + "\r\n"


def _cell(cell: object) -> str:
    if cell is None:
        return ""
    return csv_cell(cell) if isinstance(cell, str) else repr(cell)


def rounds_csv(record: LaboratoryRecord, actor: Actor) -> str:
    """Give the rounds with their scores as CSV."""
    seen = rounds_kept(record, actor)
    headings = (
        "key",
        "day",
        "scheme",
        "round",
        "material",
        "quantity",
        "condition",
        "temperature_c",
        "value",
        "assigned",
        "assigned_standard",
        "deviation",
        "own_standard",
        "laboratories",
        "score",
        "kind",
        "judged",
        "note",
    )
    rows = [
        (
            kept.key,
            r.day,
            r.scheme,
            r.round,
            r.material,
            r.quantity,
            r.condition.value,
            r.temperature_c,
            r.value,
            r.assigned,
            r.assigned_standard,
            r.deviation,
            r.own_standard,
            r.laboratories,
            score.judged_score,
            score.kind,
            score.judged,
            r.note,
        )
        for kept, score in zip(seen.kept, seen.scores.scores, strict=True)
        for r in (kept.value,)
    ]
    return csv_text(headings, rows)


def checks_csv(record: LaboratoryRecord, actor: Actor) -> str:
    """Give the newest checks of each material with their zone as CSV."""
    require(actor, "runs.see")
    with record.reading() as reading:
        sheets = material_sheets(reading)
        names = names_of_instruments(reading)
    headings = (
        "key",
        "done",
        "material",
        "quantity",
        "instrument",
        "operator",
        "measured",
        "reference",
        "lower",
        "upper",
        "judged",
        "verification",
        "note",
    )
    rows = [
        (
            kept.key,
            one.check.done,
            sheet.material.value.name,
            sheet.material.value.quantity,
            names.get(one.check.instrument, one.check.instrument),
            one.check.operator,
            one.check.measured,
            sheet.chart.zone.reference,
            sheet.chart.zone.lower,
            sheet.chart.zone.upper,
            one.judged,
            one.check.verification,
            one.check.note,
        )
        for sheet in sheets
        if sheet.chart is not None
        for kept, one in zip(sheet.checks, sheet.chart.verdicts, strict=True)
    ]
    return csv_text(headings, rows)


def materials_csv(record: LaboratoryRecord, actor: Actor) -> str:
    """Give the check materials as CSV."""
    require(actor, "runs.see")
    with record.reading() as reading:
        sheets = material_sheets(reading, most=1)
    headings = (
        "key",
        "name",
        "kind",
        "quantity",
        "temperature_c",
        "reference",
        "reference_expanded",
        "site_deviation",
        "tolerance",
        "interval_days",
        "certificate",
        "until",
        "retired",
        "note",
    )
    rows = [
        (
            one.material.key,
            m.name,
            m.kind,
            m.quantity,
            m.temperature_c,
            m.reference,
            m.reference_expanded,
            m.site_deviation,
            m.tolerance,
            m.interval_days,
            m.certificate,
            m.until,
            m.retired,
            m.note,
        )
        for one in sheets
        for m in (one.material.value,)
    ]
    return csv_text(headings, rows)


def precision_csv(record: LaboratoryRecord, actor: Actor, day: str) -> str:
    """Give every own precision as CSV."""
    headings = (
        "key",
        "standing",
        "quantity",
        "condition",
        "relative",
        *_FILED,
        "valid_until",
        "author",
        "reason",
    )
    rows = [
        (
            line.kept.key,
            line.standing,
            own.quantity,
            own.condition.value,
            own.relative,
            *(getattr(own, name) for name in _FILED),
            own.valid_until,
            line.author,
            line.kept.reason,
        )
        for line in list_precisions(record, actor, day)
        for own in (line.kept.value,)
    ]
    return csv_text(headings, rows)


def precision_toml(record: LaboratoryRecord, actor: Actor, laboratory: str = "") -> str:
    """Give every own precision as a file that `resile grade --precision` and a test order read."""
    require(actor, "runs.see")
    with record.reading() as reading:
        held = own_precisions(reading)
    blocks = [
        {
            "key": one.key,
            "quantity": one.value.quantity,
            "condition": one.value.condition.value,
            "relative": one.value.relative,
            **{name: getattr(one.value, name) for name in _FILED},
            "valid_until": one.value.valid_until or None,
            "note": one.value.note,
        }
        for one in held
    ]
    invented = any(one.value.invented for one in held)
    title = f"Own precision of {laboratory}" if laboratory else "Own precision"
    return toml_text({"title": title, "invented": invented, "precision": blocks})
