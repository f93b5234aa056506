"""What files of reclaimed practice and of polymer effects may hold, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, model_validator

from resile.specifications.schema import Evidence, Model, Name

Share = Annotated[FiniteFloat, Field(ge=0, le=1)]
Percent = Annotated[FiniteFloat, Field(ge=0, le=100)]
Positive = Annotated[FiniteFloat, Field(gt=0)]
Words = Annotated[str, Field(min_length=1)]


class WarmMixGainModel(Model):
    """One ``[[warm_mix.gain]]`` block."""

    new_binder: Words
    gain_per_c: Annotated[FiniteFloat, Field(ge=0)]


class WarmMixModel(Model):
    """The ``[warm_mix]`` table."""

    source: Words
    evidence: Evidence = ""
    gain: Annotated[list[WarmMixGainModel], Field(min_length=1)]


class ReclaimedTierModel(Model):
    """One ``[[tiers.tier]]`` block."""

    from_percent: Percent
    included: bool
    asks: Words


class TiersModel(Model):
    """The ``[tiers]`` table."""

    source: Words
    evidence: Evidence = ""
    tier: Annotated[list[ReclaimedTierModel], Field(min_length=1)]

    @model_validator(mode="after")
    def _rise(self) -> TiersModel:
        """The first begins at 0 and each begins above the one before."""
        begins = [tier.from_percent for tier in self.tier]
        if begins[0] != 0.0 or begins != sorted(set(begins)):
            raise ValueError("tiers must begin at 0 and rise")
        return self


class PublishedBlendModel(Model):
    """One ``[[tested_blends.blend]]`` block."""

    share: Share
    high_error_c: FiniteFloat
    low_error_c: FiniteFloat


class TestedBlendsModel(Model):
    """The ``[tested_blends]`` table."""

    source: Words
    evidence: Evidence = ""
    blend: Annotated[list[PublishedBlendModel], Field(min_length=1)]


class ReclaimedPracticeModel(Model):
    """A file of published practice for reclaimed binder."""

    identifier: Name
    title: Words
    transcribed: str = ""
    checked: str = ""
    notes: list[str] = Field(default_factory=list)
    beam_offset_c: FiniteFloat
    high_temperatures_c: Annotated[list[FiniteFloat], Field(min_length=1)]
    low_temperatures_c: Annotated[list[FiniteFloat], Field(min_length=1)]
    warm_mix: WarmMixModel
    tiers: TiersModel
    tested_blends: TestedBlendsModel


class RecoveryPriorModel(Model):
    """The ``[recovery]`` table."""

    plateau: Annotated[FiniteFloat, Field(gt=0, le=100)]
    plateau_standard: Positive
    middle_percent: Positive
    middle_standard: Positive
    width_percent: Positive
    width_standard: Positive
    source: Words
    evidence: Evidence = ""


class StoragePointModel(Model):
    """One ``[[storage.point]]`` block."""

    temperature_c: FiniteFloat
    hours: Positive
    outcome: Literal["stable", "lost"]
    said: Words


class StorageModel(Model):
    """The ``[storage]`` table."""

    source: Words
    evidence: Evidence = ""
    point: list[StoragePointModel] = Field(default_factory=list)


class PolymerEffectModel(Model):
    """A file of published ranges for one polymer."""

    identifier: Name
    title: Words
    transcribed: str = ""
    checked: str = ""
    notes: list[str] = Field(default_factory=list)
    recovery: RecoveryPriorModel
    storage: StorageModel
