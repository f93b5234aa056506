"""Identity, files and revision of a report in its JSON: what a later report is compared with."""

from __future__ import annotations

from typing import Any

from resile.records.reading import SourceFile
from resile.records.revision import Change, Entry, Revision
from resile.report.document import ReportDocument
from resile.report.paper.statements.provenance import all_sources

Json = dict[str, Any]

IDENTITY = (
    "sample",
    "sample_description",
    "sample_state",
    "customer",
    "customer_contact",
    "laboratory",
    "laboratory_address",
    "laboratory_contact",
    "accreditation",
    "place_of_work",
    "method",
    "method_edition",
    "instrument",
    "received",
    "tested_on",
    "sampling",
    "deviations",
    "external_results",
    "tested_by",
    "reviewed_by",
)
"""Fields of a document that say what was tested, for whom, by whom and how."""


def document_to_json(document: ReportDocument, order: SourceFile | None) -> Json:
    """Give what a report says beside its numbers.

    Parameters
    ----------
    document : ReportDocument
        Records and identity.
    order : SourceFile or None
        The test order.

    Returns
    -------
    dict
        Number, date, title, identity as stated, every file with its hash, the program, the revision.
    """
    revision = document.revision
    return {
        "number": document.number,
        "date": document.date,
        "title": document.title,
        "package_version": document.package_version,
        "identity": {name: getattr(document, name) for name in IDENTITY},
        "sources": [_source(source) for source in all_sources(document)],
        "order": None if order is None else _source(order),
        "draft": document.draft,
        "record_head": document.record_head or None,
        "revision": None if revision is None else revision_to_json(revision),
    }


def revision_to_json(revision: Revision) -> Json:
    """Give how a report stands to the one that it replaces, change by change."""
    return {
        "number": revision.number,
        "of": revision.of,
        "replaces": revision.replaces.number or None,
        "reason": revision.replaces.reason,
        "replaced_date": revision.replaced_date or None,
        "compared": revision.compared,
        "source": None if revision.source is None else _source(revision.source),
        "changes": [change_to_json(change) for change in revision.changes],
    }


def change_to_json(change: Change) -> Json:
    """Give one change in full precision."""
    one = change.entry
    return {
        "kind": one.kind,
        "subject": one.subject,
        "quantity": one.quantity or None,
        "condition": one.condition or None,
        "temperature_c": one.temperature_c,
        "before": _value(change.before),
        "after": _value(change.after),
        "unit": one.unit,
    }


def _value(entry: Entry | None) -> float | str | None:
    return None if entry is None else entry.value


def _source(source: SourceFile) -> Json:
    return {"path": source.path, "sha256": source.sha256}
