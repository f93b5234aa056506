"""What files of uncertainty budgets and of error correlations may hold, as pydantic models."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, FiniteFloat, field_validator, model_validator

from resile.records.determination import Condition
from resile.specifications.schema import Model, Name, known_quantity

Share = Annotated[FiniteFloat, Field(ge=0, le=1)]
Direction = Annotated[FiniteFloat, Field(ge=-1, le=1)]
Amount = Annotated[FiniteFloat, Field(ge=0)]


def _day(given: object) -> object:
    """Take a day as text or as TOML writes it."""
    text = given.isoformat() if isinstance(given, datetime.date) else given
    if isinstance(text, str) and text:
        try:
            datetime.date.fromisoformat(text)
        except ValueError:
            raise ValueError(f"'{text}' is no day; needed: year-month-day, such as 2026-03-02") from None
    return text


Day = Annotated[str, BeforeValidator(_day)]


class BudgetInputModel(Model):
    """One ``[[quantity.input]]`` block of a budget."""

    name: str = Field(min_length=1)
    unit: str = ""
    standard: Amount | None = None
    expanded: Amount | None = None
    half_width: Amount | None = None
    shape: Literal["rectangular", "triangular"] = "rectangular"
    coverage_factor: Annotated[FiniteFloat, Field(gt=0)] = 2.0
    percent_per_unit: FiniteFloat = 0.0
    per_unit: FiniteFloat = 0.0
    common: bool = False
    degrees_of_freedom: Annotated[FiniteFloat, Field(ge=1)] | None = None
    note: str = ""

    @model_validator(mode="after")
    def _one_amount_and_one_sensitivity(self) -> BudgetInputModel:
        """An input has one size and one effect."""
        sizes = [self.standard, self.expanded, self.half_width]
        if sum(size is not None for size in sizes) != 1:
            raise ValueError("needs one of 'standard', 'expanded' and 'half_width'")
        if (self.percent_per_unit == 0.0) is (self.per_unit == 0.0):
            raise ValueError("needs one of 'percent_per_unit' and 'per_unit', and not zero")
        return self


class BudgetQuantityModel(Model):
    """One ``[[quantity]]`` block of a budget."""

    name: str
    evidence: str = ""
    inputs: Annotated[list[BudgetInputModel], Field(min_length=1)] = Field(alias="input")

    @field_validator("name")
    @classmethod
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)


class BudgetModel(Model):
    """A budget file of any quantities."""

    name: Name = "own"
    title: str = Field(min_length=1)
    quantities: list[BudgetQuantityModel] = Field(alias="quantity")

    @model_validator(mode="after")
    def _every_quantity_once(self) -> BudgetModel:
        """Two budgets of one quantity cannot both hold."""
        names = [one.name for one in self.quantities]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"quantity stands twice: {', '.join(twice)}")
        return self


class CorrelationModel(Model):
    """A file that declares how errors hang together."""

    name: Name
    text: str = Field(min_length=1)
    source: str = Field(min_length=1)
    between_temperatures: Share | None = None
    stiffness_and_slope: Direction = 0.0
    between_requirements: Share | None = None
    directions: dict[str, Direction] = Field(default_factory=dict, alias="direction")

    @field_validator("directions")
    @classmethod
    def _quantities_are_known(cls, value: dict[str, float]) -> dict[str, float]:
        """See `known_quantity`."""
        return {known_quantity(name): direction for name, direction in value.items()}


class OwnPrecisionModel(Model):
    """One ``[[precision]]`` block: what the laboratory found out about its own doubt."""

    key: str = Field(min_length=1)
    quantity: str
    condition: Condition = Field(default=Condition.UNKNOWN, strict=False)
    relative: bool = True
    repeatability: Amount = 0.0
    intermediate: Amount = 0.0
    bias: FiniteFloat = 0.0
    bias_standard: Amount = 0.0
    standard: Annotated[FiniteFloat, Field(gt=0)]
    degrees_of_freedom: Annotated[FiniteFloat, Field(ge=1)] | None = None
    lowest: FiniteFloat | None = None
    highest: FiniteFloat | None = None
    duplicates: Annotated[int, Field(ge=0)] = 0
    checks: Annotated[int, Field(ge=0)] = 0
    rounds: Annotated[int, Field(ge=0)] = 0
    since: Day = ""
    until: Day = Field(min_length=1)
    valid_until: Day = ""
    note: str = ""

    @field_validator("quantity")
    @classmethod
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)

    @model_validator(mode="after")
    def _holds_together(self) -> OwnPrecisionModel:
        """The doubt of one result holds its repeatability; a range and a time have two ends in order."""
        if self.repeatability > self.standard:
            raise ValueError("'standard', the doubt of one result, cannot be below 'repeatability'")
        if self.lowest is not None and self.highest is not None and self.lowest >= self.highest:
            raise ValueError("'lowest' must lie below 'highest'")
        if self.valid_until and self.valid_until <= self.until:
            raise ValueError("'valid_until' must come after 'until', from which it holds")
        return self


class OwnPrecisionFileModel(Model):
    """A file of the laboratory's own precision."""

    title: str = ""
    name: Name = "own"
    invented: bool = False
    precision: Annotated[list[OwnPrecisionModel], Field(min_length=1)]
