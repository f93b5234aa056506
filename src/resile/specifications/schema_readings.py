"""What a file of conditions at which a master curve is read may hold, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, model_validator

from resile.specifications.schema import Bound, Evidence, Model, Name

Positive = Annotated[FiniteFloat, Field(gt=0)]
Text = Annotated[str, Field(min_length=1)]


class ReadingThresholdModel(Model):
    """One ``[[glover_rowe.threshold]]`` block."""

    limit: Positive
    bound: Bound
    meaning: Text
    source: Text
    evidence: Evidence


class GloverRoweModel(Model):
    """One ``[[glover_rowe]]`` block."""

    name: Name
    title: Text
    temperature_c: FiniteFloat
    angular_frequency_rad_s: Positive
    thresholds: list[ReadingThresholdModel] = Field(alias="threshold", default_factory=list)
    source: Text
    evidence: Evidence
    note: str = ""


class PhaseModel(Model):
    """One ``[[phase]]`` block."""

    name: Literal["temperature_of_phase_45", "viscoelastic_transition_temperature"]
    title: Text
    phase_angle_deg: Annotated[FiniteFloat, Field(gt=0, lt=90)]
    angular_frequency_rad_s: Positive
    source: Text
    evidence: Evidence
    note: str = ""


class BeamModel(Model):
    """The ``[beam]`` table."""

    loading_time_s: Positive
    temperatures_c: Annotated[list[FiniteFloat], Field(min_length=1)]
    stiffness_limit_mpa: Positive
    m_value_limit: Annotated[FiniteFloat, Field(gt=0, lt=1)]
    lowest_stiffness_mpa: Positive
    highest_stiffness_mpa: Positive
    source: Text
    evidence: Evidence

    @model_validator(mode="after")
    def _range_holds_the_limit(self) -> BeamModel:
        """The limit lies in the range of the apparatus."""
        if not self.lowest_stiffness_mpa < self.stiffness_limit_mpa < self.highest_stiffness_mpa:
            raise ValueError("'stiffness_limit_mpa' must lie between the lowest and the highest stiffness")
        return self


class SmallPlateModel(Model):
    """The ``[small_plate]`` table."""

    loading_time_s: Positive
    relaxation_modulus_mpa: Positive
    slope: Annotated[FiniteFloat, Field(gt=0, lt=1)]
    source: Text
    evidence: Evidence
    note: str = ""


class ReadingConditionsModel(Model):
    """A file of conditions."""

    name: Name
    title: str = ""
    checked: str = ""
    measured_within_c: Positive
    measured_within_decades: Positive
    glover_rowe: Annotated[list[GloverRoweModel], Field(min_length=1)]
    phase: list[PhaseModel]
    beam: BeamModel
    small_plate: SmallPlateModel

    @model_validator(mode="after")
    def _names_differ(self) -> ReadingConditionsModel:
        """Each condition has a name of its own: numbers of two conditions are never taken for each other."""
        names = [one.name for one in self.glover_rowe] + [str(one.name) for one in self.phase]
        if len(set(names)) < len(names):
            raise ValueError(f"two conditions have one name: {', '.join(names)}")
        return self
