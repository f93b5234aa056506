"""Recipes worked out for a kept blend book: a design with its next trials, and recipes that are tried out."""

from __future__ import annotations

import hashlib
import json
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from functools import cache
from threading import Lock
from typing import Any, get_type_hints

from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign
from resile.records.blending.recipe import NextTrial, Recipe
from resile.records.register import Actor, BlendBookRecord
from resile.report.paper.blends.blends import DesignPictures, design_page
from resile.report.paper.models.model import Page
from resile.storage.laboratory_record import LaboratoryRecord
from resile.version import __version__
from resile.workflows.blending.designing.design import design_blend
from resile.workflows.blending.designing.desk import RecipeDesk, recipe_desk
from resile.workflows.blending.designing.framing import frame_book
from resile.workflows.blending.designing.recipes import recipe_of
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.blending.pictures import shown_recipe
from resile.workflows.blending.shown import DesignAnswer
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, blend_of

Told = Callable[[int, int, str], None]
"""Told how many steps are done, of how many, and what comes next; what it raises stops the work."""
_DESKS_HELD = 8
_BESIDE = ("next_trials", "pictures")


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """What was worked out for one revision of a blend book.

    Attributes
    ----------
    design : BlendDesign
        The recipes.
    next_trials : tuple of NextTrial
        What to make and test next.
    pictures : DesignPictures
        What its pictures are drawn from.
    """

    design: BlendDesign
    next_trials: tuple[NextTrial, ...]
    pictures: DesignPictures

    @property
    def best(self) -> Recipe | None:
        """The recipe to begin with: the one as sure as asked for, else the next best."""
        return shown_recipe(self.design)

    @property
    def proposals(self) -> tuple[Recipe, ...]:
        """Every recipe that was worked out, each once."""
        found = self.design
        named = (found.expected, found.chosen, *found.alternatives, found.nearest)
        return tuple({one.name: one for one in named if one is not None}.values())

    def page(self, *, date: str, with_next_trials: bool = True) -> Page:
        """Give the page of the design; a screen has a page of its own for next trials."""
        pictures = self.pictures if with_next_trials else replace(self.pictures, next_trials=())
        return design_page(self.design, pictures, date=date, package_version=__version__)


def work_out(
    record: LaboratoryRecord, actor: Actor, key: str, revision: int | None = None, *, told: Told | None = None
) -> WorkedOut:
    """Work out recipes and next trials for a book.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the book.
    revision : int or None
        Which revision; None for the newest.
    told : callable, optional
        Told of the steps.

    Returns
    -------
    WorkedOut
        The same for the same files and version of the program.

    Raises
    ------
    ResileError
        Where the person may not, or the book cannot be designed with.
    """
    kept = blend_of(record, actor, key, revision)
    tell = told or (lambda done, of, words: None)
    with from_outside():
        tell(0, 3, "The recipe, and how sure it is.")
        design = design_blend(kept.book)
        tell(1, 3, "Which trial would tell most.")
        following = next_trials(kept.book)
        tell(2, 3, "The pictures.")
        pictures = DesignAnswer(design).pictures(following)
    tell(3, 3, "")
    return WorkedOut(design, following, pictures)


def design_json(record: LaboratoryRecord, actor: Actor, key: str) -> dict[str, Any]:
    """Give the design of a kept book for machines, as `resile blend design --json`.

    Parameters
    ----------
    record, actor, key
        As in `work_out`.
    """
    kept = blend_of(record, actor, key)
    with from_outside():
        return DesignAnswer(design_blend(kept.book)).to_json()


def mark_of_work(noun: BlendBookRecord) -> str:
    """Give what tells one design from another: the files of the book and the version of the program.

    Parameters
    ----------
    noun : BlendBookRecord
        The revision that is designed with.
    """
    told = json.dumps([noun.file, sorted(noun.beside.items()), __version__])
    return hashlib.sha256(told.encode()).hexdigest()


def work_as_bytes(work: WorkedOut) -> bytes:
    """Write what was worked out down, without the book, so that it need not be worked out again."""
    told = {name: getattr(work.design, name) for name in _names_of_design()}
    beside = {name: getattr(work, name) for name in _BESIDE}
    written: str = _written_work()(**told, **beside).model_dump_json()
    return written.encode()


def work_of_bytes(content: bytes, book: BlendBook) -> WorkedOut | None:
    """Read what was written down by `work_as_bytes`, and put the book back; None where it cannot be read."""
    try:
        read = _written_work().model_validate_json(content)
    except ValueError:
        return None  # another state of the program wrote it
    told = {name: getattr(read, name) for name in _names_of_design()}
    return WorkedOut(BlendDesign(book=book, **told), **{name: getattr(read, name) for name in _BESIDE})


def try_recipe(record: LaboratoryRecord, actor: Actor, key: str, typed: Mapping[str, str]) -> Recipe:
    """Say what a recipe would keep.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the book.
    typed : mapping of str to str
        Share of each component as typed [%]; together 100.

    Returns
    -------
    Recipe
        As `resile.workflows.blending.designing.recipes.predict_blend` gives it.

    Raises
    ------
    ResileError
        Where the person may not, a share is no number, or they do not add up to 100.
    """
    kept = blend_of(record, actor, key)
    percent = {
        name: share
        for name, text in typed.items()
        if (share := hand_number_or_none(text, f"share of {name}")) is not None
    }
    if not percent:
        raise InputError("type the share of each component; together they make 100 %")
    with from_outside():
        desk = _DESKS.of(kept)
        return recipe_of(desk, desk.frame.shares(percent), name="as tried")


def first_shares(kept: KeptBlend, work: WorkedOut | None) -> dict[str, str]:
    """Give the shares a form begins with: the best recipe, else that of today, else the mean of trials.

    Parameters
    ----------
    kept : KeptBlend
        The book.
    work : WorkedOut or None
        What was worked out for it.
    """
    names = [one.name for one in kept.book.components]
    trials = kept.book.trials
    if work is not None and work.best is not None:
        percent: Mapping[str, float] = work.best.percent
    elif kept.book.aim.today_percent:
        percent = kept.book.aim.today_percent
    elif trials:
        percent = {name: sum(one.percent.get(name, 0.0) for one in trials) / len(trials) for name in names}
    else:
        percent = {name: 100.0 / len(names) for name in names}
    return _adding_up({name: percent.get(name, 0.0) for name in names})


def _adding_up(percent: Mapping[str, float]) -> dict[str, str]:
    """Round shares to a hundredth, the largest taking what is left, so that they make 100."""
    hundredths = {name: round(100.0 * share) for name, share in percent.items()}
    largest = max(hundredths, key=lambda name: hundredths[name])
    hundredths[largest] += 10_000 - sum(hundredths.values())
    return {name: f"{count / 100:.12g}" for name, count in hundredths.items()}


class _Desks:
    """Books made ready for recipes, the last few of them: fitting their surfaces takes a second."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, RecipeDesk] = OrderedDict()
        self._lock = Lock()

    def of(self, kept: KeptBlend) -> RecipeDesk:
        """Give the desk of a book."""
        mark = mark_of_work(kept.kept.value)
        with self._lock:
            if mark in self._held:
                self._held.move_to_end(mark)
                return self._held[mark]
        made = recipe_desk(frame_book(kept.book))
        with self._lock:
            self._held[mark] = made
            if len(self._held) > _DESKS_HELD:
                self._held.popitem(last=False)
        return made


_DESKS = _Desks()


def _names_of_design() -> list[str]:
    return [one.name for one in fields(BlendDesign) if one.name != "book"]


@cache
def _written_work() -> Any:
    from pydantic import ConfigDict, create_model

    hints = get_type_hints(BlendDesign)
    told: dict[str, Any] = {name: (hints[name], ...) for name in _names_of_design()}
    told |= {name: (get_type_hints(WorkedOut)[name], ...) for name in _BESIDE}
    return create_model("WrittenWork", __config__=ConfigDict(ser_json_inf_nan="constants"), **told)
