"""What a file of a price rule may hold, as pydantic models; imported only when a file is checked."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, FiniteFloat, field_validator, model_validator

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.specifications.schema import Bound, Evidence, Model, Name, known_quantity

Share = Annotated[FiniteFloat, Field(ge=0, le=2)]
Above = Annotated[FiniteFloat, Field(gt=0)]
Decimals = Annotated[int, Field(ge=0, le=9)]


class PriceStepModel(Model):
    """One ``[[step]]`` block."""

    edge: FiniteFloat
    factor: Share


class PriceLineModel(Model):
    """The ``[line]`` table."""

    allowance: Annotated[FiniteFloat, Field(ge=0)]
    loss_per_unit: Above


class PriceRuleModel(Model):
    """A price rule file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    edition: str
    evidence: Evidence
    transcribed: str
    checked: str
    quantity: str
    condition: Condition = Field(strict=False)
    bound: Bound
    unit: str
    sensitivity_step: Above
    factor_decimals: Decimals = 2
    value_decimals: Decimals | None = None
    highest_factor: Share = 1.0
    lowest_factor: Share = 0.0
    limit: FiniteFloat | None = None
    defective_at_most: Share | None = None
    notes: list[str] = Field(default_factory=list)
    line: PriceLineModel | None = None
    steps: list[PriceStepModel] = Field(default_factory=list, alias="step")

    @field_validator("quantity")
    @classmethod
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)

    @model_validator(mode="after")
    def _parts_fit(self) -> PriceRuleModel:
        """A line or steps; steps from the best to the worst; the unit is ours."""
        problems = []
        if (self.line is None) is (not self.steps):
            problems.append("needs either a table [line] or blocks [[step]]")
        edges = [step.edge for step in self.steps]
        if edges != sorted(set(edges), reverse=self.bound == "minimum"):
            problems.append("key 'step': edges run from the best value to the worst, each once")
        unit = QUANTITIES[self.quantity].unit
        if self.unit != unit:
            problems.append(f"key 'unit': found '{self.unit}', needed '{unit}' for {self.quantity}")
        if self.lowest_factor > self.highest_factor:
            problems.append("key 'lowest_factor' must not exceed 'highest_factor'")
        if problems:
            raise ValueError("; ".join(problems))
        return self
