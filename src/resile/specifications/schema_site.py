"""What a traffic rule and a file of rounded quantiles may hold, as pydantic models."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, model_validator

from resile.specifications.schema import Evidence, Model, Name

Speed = Literal["standing", "slow", "free"]
Entry = Annotated[int, Field(ge=0, le=6)] | str


class TrafficBandModel(Model):
    """One ``[[band]]`` block."""

    from_million: Annotated[FiniteFloat, Field(ge=0)] | None = None
    above_million: Annotated[FiniteFloat, Field(gt=0)] | None = None
    standing: Entry
    slow: Entry
    free: Entry
    consider: list[Speed] = Field(default_factory=list)


class TrafficRuleModel(Model):
    """A traffic rule file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    edition: str
    evidence: Evidence
    transcribed: str
    checked: str
    gives: Literal["class", "steps"]
    specifications: list[str] = Field(min_length=1)
    standing_below_kmh: Annotated[FiniteFloat, Field(ge=0)]
    slow_up_to_kmh: Annotated[FiniteFloat, Field(gt=0)]
    notes: list[str] = Field(default_factory=list)
    bands: list[TrafficBandModel] = Field(alias="band", min_length=1)

    @model_validator(mode="after")
    def _bands_fit(self) -> TrafficRuleModel:
        """Bands begin at 0 and rise; a class is a word, a step a whole number."""
        problems = []
        starts = [
            band.from_million if band.above_million is None else band.above_million for band in self.bands
        ]
        if any((band.from_million is None) is (band.above_million is None) for band in self.bands):
            problems.append("each [[band]] needs either 'from_million' or 'above_million'")
        elif starts[0] != 0 or any((b or 0) <= (a or 0) for a, b in pairwise(starts)):
            problems.append("key 'band': the first begins from_million = 0, the others rise")
        kind = str if self.gives == "class" else int
        needed = "the name of a class" if self.gives == "class" else "a whole number of steps"
        for number, band in enumerate(self.bands, start=1):
            problems += [
                f"band {number}, key {speed!r}: needed is {needed}"
                for speed in ("standing", "slow", "free")
                if not isinstance(getattr(band, speed), kind)
            ]
        if self.standing_below_kmh >= self.slow_up_to_kmh:
            problems.append("key 'standing_below_kmh' must be below 'slow_up_to_kmh'")
        if problems:
            raise ValueError("; ".join(problems))
        return self


class QuantileModel(Model):
    """One ``[[quantile]]`` block."""

    reliability_percent: Annotated[FiniteFloat, Field(ge=50, lt=100)]
    z: Annotated[FiniteFloat, Field(ge=0)]
    words: str = Field(min_length=1)
    source: str = Field(min_length=1)
    evidence: Evidence


class QuantilesModel(Model):
    """A file of rounded quantiles."""

    quantiles: list[QuantileModel] = Field(alias="quantile", default_factory=list)
