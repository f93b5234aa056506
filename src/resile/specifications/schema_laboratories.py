"""What files on the comparison of laboratories and on disputes may hold, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, model_validator

from resile.specifications.schema import Model, Name

Above = Annotated[FiniteFloat, Field(gt=0)]
Significance = Annotated[FiniteFloat, Field(gt=0, lt=1)]
Words = Annotated[str, Field(min_length=1)]


class StudyModel(Model):
    """The ``[study]`` table."""

    range_multiplier: Above
    consistency_significance: Significance
    outlier_significance: Significance
    source: Words


class RoundsModel(Model):
    """The ``[rounds]`` table."""

    negligible_share: Annotated[FiniteFloat, Field(ge=0)]
    score_weight: Annotated[FiniteFloat, Field(gt=0, le=1)]
    score_width: Above
    source: Words


class ScoreModel(Model):
    """One ``[[score]]`` block."""

    kind: Literal["z", "z-prime", "zeta", "en"]
    satisfactory_to: Above
    action_from: Above
    source: Words

    @model_validator(mode="after")
    def _in_order(self) -> ScoreModel:
        """Action cannot be asked for below what is satisfactory."""
        if self.action_from < self.satisfactory_to:
            raise ValueError("action_from must not lie below satisfactory_to")
        return self


class ChecksModel(Model):
    """The ``[checks]`` table."""

    tolerance_factor: Above
    zone_figures: Annotated[int, Field(ge=2, le=12)] = 2
    zone_rounding: Literal["none", "half-even", "half-up"] = "half-even"
    fewest_checks: Annotated[int, Field(ge=2)]
    source: Words


class OwnModel(Model):
    """The ``[own]`` table."""

    comparison_significance: Significance
    component_coverage: Significance
    source: Words


class ComparisonPracticeModel(Model):
    """A file of numbers and words for the comparison of laboratories."""

    identifier: Name
    title: Words
    transcribed: str
    checked: str
    study: StudyModel
    rounds: RoundsModel
    score: list[ScoreModel]
    checks: ChecksModel
    own: OwnModel

    @model_validator(mode="after")
    def _every_score_once(self) -> ComparisonPracticeModel:
        """Each kind of score needs its words."""
        kinds = sorted(one.kind for one in self.score)
        if kinds != ["en", "z", "z-prime", "zeta"]:
            raise ValueError("[[score]] is needed once for each of z, z-prime, zeta and en")
        return self


class DisputeRuleModel(Model):
    """A rule for two laboratories in dispute."""

    name: Name
    title: str = ""
    text: Words
    source: Words
    confidence: Annotated[FiniteFloat, Field(gt=0.5, lt=1)]
    settle: Literal["agreeing-mean", "referee"]
    in_between: Literal["accepted", "refused", "limit"]
    transcribed: str
    checked: str
