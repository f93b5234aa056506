"""What files of uncertainty budgets and of error correlations may hold, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, field_validator, model_validator

from resile.specifications.schema import Model, Name, known_quantity

Share = Annotated[FiniteFloat, Field(ge=0, le=1)]
Direction = Annotated[FiniteFloat, Field(ge=-1, le=1)]
Amount = Annotated[FiniteFloat, Field(ge=0)]


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
