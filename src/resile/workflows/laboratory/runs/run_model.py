"""The model of a stored creep-recovery run, fitted when it is asked for; nothing new is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from resile.errors import InputError
from resile.readers.step_programme import steps_of_text
from resile.records import register
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.register import Actor, Kept, Sample
from resile.report.paper.models.model import Page
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.runs.kept_runs import sight_of_run
from resile.workflows.laboratory.runs.reduced_again import reduced_run
from resile.workflows.modelling.creep_model import CHOSEN, CreepModels, creep_models_json, fit_creep_run
from resile.workflows.modelling.creep_programme import ProgrammeReport, answer_of_run
from resile.workflows.modelling.programme_shift import StatedShift

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
    models : CreepModels or None
        The model; None where it was refused.
    page : Page or None
        Its sections.
    refusal : str
        Why, in one sentence.
    programme : Page or None
        What the model answers to the steps that were asked about.
    wrong : mapping of str to str
        What is wrong with the steps or the shift, by field.
    """

    kept: Kept[register.Run]
    sample: Kept[Sample] | None
    models: CreepModels | None = None
    page: Page | None = None
    refusal: str = ""
    programme: Page | None = None
    wrong: Mapping[str, str] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Give the model for machines, as ``resile model creep --json``; refuse where there is none."""
        if self.models is None:
            raise InputError(f"run {self.kept.key}: {self.refusal}")
        return creep_models_json([self.models])


def model_of_run(
    record: LaboratoryRecord,
    key: str,
    *,
    actor: Actor,
    kind: str = "",
    elements: str = "",
    steps: str = "",
    slope: str = "",
    day: str,
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
    steps, slope : str
        Steps of a programme as typed, one a line, and by how much ``log10 aT`` falls for each degree warmer;
        empty for none.
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
    models = CreepModels(kept.value.file_name, (fit,))
    found = ModelOfRun(kept, sample, models, models.page(date=day))
    if not steps.strip():
        return found
    try:
        shift = StatedShift(per_c=_slope(slope))
    except InputError as error:
        return replace(found, wrong={"slope": str(error)})
    try:
        answer = answer_of_run(run, steps_of_text(steps), shift=shift, fit=fit)
    except InputError as error:
        return replace(found, wrong={"steps": str(error)})
    return replace(found, programme=ProgrammeReport(answer, kept.value.file_name).page(date=day))


def _slope(typed: str) -> float | None:
    if not typed.strip():
        return None
    try:
        return float(typed.replace(",", "."))
    except ValueError:
        raise InputError(f"shift: '{typed.strip()}' is no number; one such as 0.055 is needed") from None


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
