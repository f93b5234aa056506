"""What people outside the laboratory are told, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, FiniteFloat, model_validator

from resile.errors import SpecificationError
from resile.records.determination import Condition
from resile.records.explanation import ExplainingWords, TeachingBinder, TeachingModel
from resile.specifications.checked import checked_file
from resile.specifications.schema import Evidence, Model, Name
from resile.specifications.search import find_file
from resile.specifications.slopes import load_binder_kind

FOLDER = "explanations"
Above = Annotated[FiniteFloat, Field(gt=0)]
Words = Annotated[str, Field(min_length=1)]


class TeachingModelModel(Model):
    """The ``[model]`` table."""

    creep_time_s: Above
    recovery_time_s: Above
    grade_temperature_c: int
    warmest_c: Annotated[int, Field(gt=0)]
    hotter_step_c: Annotated[int, Field(gt=0)]
    reference_stress_kpa: Above
    lowest_stress_kpa: Above
    highest_stress_kpa: Above
    retardation_time_s: Above
    pushes_in_a_row: Annotated[int, Field(gt=1, le=100)]
    first_binder: Name
    source: Words
    evidence: Evidence

    @model_validator(mode="after")
    def _stresses_in_order(self) -> TeachingModelModel:
        """The stress that decides must be one that can be tried."""
        if not self.lowest_stress_kpa <= self.reference_stress_kpa <= self.highest_stress_kpa:
            raise ValueError("reference_stress_kpa must lie between the lowest and the highest stress")
        return self


class TeachingBinderModel(Model):
    """One ``[[binder]]`` block."""

    name: Name
    title: Words
    words: Words
    slope_prior: Name
    doubling_stress_kpa: Above
    maxwell_dashpot_kpa_s: Above
    maxwell_spring_kpa: Above
    kelvin_spring_kpa: Above
    kelvin_dashpot_kpa_s: Above


class PieceModel(Model):
    """One ``[[piece]]`` block."""

    mark: Words
    plain: Words
    trade: Words
    words: Words


class MisunderstandingModel(Model):
    """One ``[[misunderstanding]]`` block."""

    heard: Words
    answer: Words
    source: Words


class TermModel(Model):
    """One ``[[term]]`` block."""

    word: Words
    words: Words
    glossary: str


class CautionModel(Model):
    """One ``[[caution]]`` block."""

    words: Words


class GradePartsModel(Model):
    """The ``[grade_parts]`` table."""

    system: Words
    high: Words
    letter: Words
    low: Words
    road_over_air_c: Annotated[int, Field(gt=0)]
    road_source: Words


class ExplainingModel(Model):
    """A file of words for people outside the laboratory."""

    identifier: Name
    title: Words
    transcribed: str
    checked: str
    specification: Name
    example_grade: Words
    model: TeachingModelModel
    binders: Annotated[list[TeachingBinderModel], Field(min_length=1)] = Field(alias="binder")
    pieces: Annotated[list[PieceModel], Field(min_length=1)] = Field(alias="piece")
    grade_parts: GradePartsModel
    sentences: dict[str, str | list[str]]
    adding_up: dict[str, str]
    misunderstandings: list[MisunderstandingModel] = Field(alias="misunderstanding")
    terms: list[TermModel] = Field(alias="term")
    cautions: Annotated[list[CautionModel], Field(min_length=2)] = Field(alias="caution")

    @model_validator(mode="after")
    def _first_binder_is_there(self) -> ExplainingModel:
        """The page must be able to start."""
        if self.model.first_binder not in [one.name for one in self.binders]:
            raise ValueError(f"model: first_binder '{self.model.first_binder}' is none of the binders")
        return self


def load_explaining_words(wanted: str | Path = "binder") -> ExplainingWords:
    """Load the words, and the invented binders, for people outside the laboratory.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    ExplainingWords
        Checked, each binder with the slope its kind has in `specifications/slope_priors`.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file or no such kind of binder, or a key is missing, unknown or wrong.
    """
    file = find_file(FOLDER, wanted, words="file of explanations")
    data: dict[str, Any] = checked_file(ExplainingModel, file).model_dump()
    parts = data["grade_parts"]
    fractions = data["sentences"].pop("fractions")
    return ExplainingWords(
        identifier=data["identifier"],
        title=data["title"],
        specification=data["specification"],
        example_grade=data["example_grade"],
        model=TeachingModel(**data["model"]),
        binders=tuple(_binder(block) for block in data["binders"]),
        sentences=data["sentences"],
        fractions=tuple(fractions),
        road_over_air_c=parts.pop("road_over_air_c"),
        grade_parts=parts,
        adding_up=data["adding_up"],
        pieces=tuple(data["pieces"]),
        misunderstandings=tuple(data["misunderstandings"]),
        terms=tuple(data["terms"]),
        cautions=tuple(block["words"] for block in data["cautions"]),
        sha256=file.sha256,
    )


def _binder(block: dict[str, Any]) -> TeachingBinder:
    """Give a binder the published slope of its kind: one number, kept in one place."""
    kind = load_binder_kind(block.pop("slope_prior"))
    slope = kind.prior_for("jnr_3.2", Condition.SHORT_TERM_AGED)
    if slope is None:  # the shipped kinds all have one; a file of one's own may not
        raise SpecificationError(
            f"kind of binder '{kind.identifier}': no slope of jnr_3.2, one is needed here"
        )
    return TeachingBinder(**block, slope_per_c=slope.slope_per_c, slope_source=slope.source)
