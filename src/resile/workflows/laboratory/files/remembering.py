"""How files of one kind are read, remembered: layouts by name, and by the headings of the files they fit."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import InputError, ResileError
from resile.readers.first_rows import read_first_rows
from resile.readers.layout import Layout, check_layout, layout_from_toml, layout_to_toml
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, SavedLayout
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require


def remember_layout(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    name: str,
    layout: Layout,
    *,
    example: HeldFile | None = None,
    note: str = "",
) -> Kept[SavedLayout]:
    """Keep a layout under a name; the next file with the headings of the example is read by it at once.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who keeps it.
    at : str
        When, ISO 8601 in UTC.
    name : str
        Its name; one that is there is revised.
    layout : Layout
        What is said of such files.
    example : HeldFile, optional
        A file that it fits; without one the layout is only chosen by hand.
    note : str
        Which instrument writes such files.

    Raises
    ------
    PermissionRefusedError, InputError, SpecificationError
        Where it may not be kept, has no name, or is none.
    """
    require(actor, "runs.keep")
    called = " ".join(name.split())
    if not called:
        raise InputError(
            "layout: a name is needed, for example the name of the instrument that writes such files"
        )
    text = layout_to_toml(check_layout(replace(layout, name=called), place=f"layout {called}"))
    headings = headings_of(example) if example else ""
    with record.writing(by=actor.key, at=at) as book:
        new = SavedLayout(name=called, file=book.keep_file(text.encode()), headings=headings, note=note)
        old = book.find(SavedLayout, name=called, limit=1)
        if not old:
            return book.keep(new)
        new = replace(new, headings=headings or old[0].value.headings, note=note or old[0].value.note)
        if new == old[0].value:
            return old[0]
        return book.keep(new, key=old[0].key, reason="the layout was saved again")


def remembered_layout(reading: Reading, file: HeldFile) -> Kept[SavedLayout] | None:
    """Give the layout that was saved for files with these headings; the newest where there are several."""
    if not reading.count(SavedLayout):
        return None
    headings = headings_of(file)
    found = (
        reading.find(SavedLayout, headings=headings, order="seq", falling=True, limit=1) if headings else []
    )
    return found[0] if found else None


def layout_of(reading: Reading, sha256: str) -> Layout | None:
    """Give a kept layout; None for an empty hash."""
    if not sha256:
        return None
    return layout_from_toml(reading.file(sha256).decode(), f"layout {sha256[:12]}")


def saved_layouts(reading: Reading) -> list[Kept[SavedLayout]]:
    """Give the layouts that were saved, by name."""
    return reading.find(SavedLayout, order="name")


def headings_of(file: HeldFile) -> str:
    """Give the digest of the headings of a file; empty where none can be told."""
    try:
        return read_first_rows(file, count=1).digest
    except ResileError:
        return ""
