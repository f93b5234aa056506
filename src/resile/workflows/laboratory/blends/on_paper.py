"""A kept blend book on paper: the batch sheet of a recipe, and everything that was worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from resile.errors import InputError
from resile.records.register import Actor
from resile.report.page import pdf_of_page
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.blending.shown import DesignAnswer, sheet_of_recipe
from resile.workflows.laboratory.blends.designing import WorkedOut, try_recipe
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of

_NOT_YET = "no recipe has been worked out from this revision of the book yet; do that first"


def batch_on_paper(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    *,
    revision: int | None = None,
    work: WorkedOut | None = None,
    typed: Mapping[str, str] | None = None,
) -> bytes:
    """Give the batch sheet of the chosen recipe, or of one that was tried out.

    Parameters
    ----------
    record, actor, at
        The record, who prints, and when.
    key : str
        Key of the book.
    revision : int or None
        Which revision; None for the newest.
    work : WorkedOut or None
        What was worked out for it; needed where no recipe is typed.
    typed : mapping of str to str, optional
        As in `try_recipe`.

    Returns
    -------
    bytes
        A tagged PDF of one page, with blanks for masses weighed and results.

    Raises
    ------
    ResileError
        Where the person may not, or no recipe keeps what was asked for and none is typed.
    """
    kept = blend_of(record, actor, key, revision)
    if typed:
        page = sheet_of_recipe(
            kept.book, try_recipe(record, actor, key, typed), grade=kept.kept.value.grade, date=at[:10]
        )
    elif work is None:
        raise InputError(_NOT_YET)
    else:
        page = DesignAnswer(work.design).batch_sheet(date=at[:10])
    return pdf_of_page(replace(page, number=_number(kept)))


def design_on_paper(kept: KeptBlend, work: WorkedOut | None) -> bytes:
    """Give everything that was worked out for a book, on paper.

    Parameters
    ----------
    kept : KeptBlend
        The book.
    work : WorkedOut or None
        What was worked out for it.

    Returns
    -------
    bytes
        A tagged PDF.

    Raises
    ------
    ResileError
        Where nothing has been worked out yet.
    """
    if work is None:
        raise InputError(_NOT_YET)
    return pdf_of_page(replace(work.page(date=kept.kept.at[:10]), number=_number(kept)))


def _number(kept: KeptBlend) -> str:
    return f"{kept.kept.value.name} ({kept.kept.key}, revision {kept.kept.revision})"
