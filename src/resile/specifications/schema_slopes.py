"""What a file of temperature slopes by kind of binder may hold, as pydantic models."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, FiniteFloat, field_validator, model_validator

from resile.records.determination import Condition
from resile.specifications.schema import Evidence, Model, Name, known_quantity


class PublishedSlopeModel(Model):
    """One ``[[slope]]`` block."""

    quantity: str
    condition: Annotated[Condition, Field(strict=False)] | None = None
    slope_per_c: FiniteFloat
    standard_per_c: Annotated[FiniteFloat, Field(gt=0)]
    source: str = Field(min_length=1)
    evidence: Evidence = ""

    @field_validator("quantity")
    @classmethod
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)


class BinderKindModel(Model):
    """A file of slopes for one kind of binder."""

    identifier: Name
    title: str = Field(min_length=1)
    transcribed: str = ""
    checked: str = ""
    notes: list[str] = Field(default_factory=list)
    slopes: Annotated[list[PublishedSlopeModel], Field(min_length=1)] = Field(alias="slope")

    @model_validator(mode="after")
    def _every_property_once_a_residue(self) -> BinderKindModel:
        """Two slopes of one property on one residue cannot both hold."""
        places = [(one.quantity, one.condition) for one in self.slopes]
        if len(places) != len(set(places)):
            raise ValueError("a property stands twice for the same residue")
        return self
