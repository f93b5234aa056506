"""The model of a stored creep-recovery run, fitted when it is asked for; nothing new is kept."""

from __future__ import annotations

from dataclasses import dataclass

from resile.errors import InputError
from resile.records import register
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.register import Actor, Kept, Sample
from resile.report.paper.model import Page
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.runs.kept_runs import sight_of_run
from resile.workflows.laboratory.runs.reduced_again import reduced_run
from resile.workflows.modelling.creep_model import CHOSEN, CreepModels, fit_creep_run

MODEL_CHOICES = (
    (CHOSEN, "Kelvin elements, as many as the record tells apart"),
    ("burgers", "Burgers: one Kelvin element"),
    ("kelvin", "Kelvin elements, their number given"),
    ("fractional", "Fractional element"),
)
"""Kinds of model with the words of a page."""


@dataclass(frozen=True, slots=True)
class ModelOfRun:
    """A stored run and its model.

    Attributes
    ----------
    kept, sample
        The run and its sample, where it has one.
    page : Page or None
        Sections of the model; None where it was refused.
    refusal : str
        Why, in one sentence.
    """

    kept: Kept[register.Run]
    sample: Kept[Sample] | None
    page: Page | None = None
    refusal: str = ""


def model_of_run(
    record: LaboratoryRecord, key: str, *, actor: Actor, kind: str = "", elements: str = "", day: str
) -> ModelOfRun:
    """Fit a model to a stored creep-recovery run.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    key : str
        Key of the run.
    actor : Actor
        Who asks.
    kind, elements : str
        As typed; empty for the number of elements that the record tells apart.
    day : str
        Today, YYYY-MM-DD.

    Returns
    -------
    ModelOfRun
        With sections for a page, or the sentence why there are none.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        There is no such run, or it is not theirs to see.
    InputError
        The run is of another test.
    """
    with record.reading() as reading:
        kept, sample = sight_of_run(reading, key, actor)
        run = reduced_run(reading, kept.value)
    if not isinstance(run, CreepRecoveryRun):
        raise InputError(f"run {key}: no creep-recovery run; this model is of pushes and recoveries")
    try:
        fit = fit_creep_run(run, kind=kind or CHOSEN, elements=_elements(elements, kind))
    except InputError as error:
        return ModelOfRun(kept, sample, refusal=str(error))
    return ModelOfRun(kept, sample, CreepModels(kept.value.file_name, (fit,)).page(date=day))


def _elements(typed: str, kind: str) -> int | None:
    """Read the number of elements; it counts for kinds that have one."""
    if not typed.strip() or kind in ("burgers", "fractional"):
        return None
    try:
        return int(typed)
    except ValueError:
        raise InputError(
            f"Kelvin elements: '{typed.strip()}' is no number; a whole number from 1 to 8 is needed"
        ) from None
