"""Test results typed into a TOML file a person writes: one block a value."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from resile.records.determination import Condition, Determination
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.reading import SourceFile

if TYPE_CHECKING:
    from pydantic import BaseModel


@cache
def result_model() -> type[BaseModel]:
    """Give the model of one typed result.

    Returns
    -------
    type of pydantic.BaseModel
        Checks quantity, value, condition, temperature and replicate; imported only where it is used.
    """
    from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, field_validator

    class ResultModel(BaseModel):
        """One typed result."""

        model_config = ConfigDict(extra="forbid")

        quantity: str
        value: FiniteFloat = Field(description="Value, in the unit of the glossary.")
        condition: Condition = Condition.ORIGINAL
        temperature_c: FiniteFloat | None = None
        replicate: str = ""

        @field_validator("quantity")
        @classmethod
        def _known(cls, value: str) -> str:
            if value not in RESULT_QUANTITIES or value == "traffic_class":
                raise ValueError(f"{value!r} is no quantity of the glossary, such as jnr_3.2 or m_value")
            return value

    return ResultModel


def typed_determination(name: str, row: BaseModel, source: SourceFile, place: str) -> Determination:
    """Give a typed result as a determination.

    Parameters
    ----------
    name : str
        Sample it was made on.
    row : pydantic.BaseModel
        A checked ``result`` block.
    source : SourceFile
        The file it stands in.
    place : str
        Where in it.

    Returns
    -------
    Determination
        In the unit of the glossary.
    """
    values = row.model_dump()
    return Determination(
        sample=name,
        condition=values["condition"],
        temperature_c=values["temperature_c"],
        quantity=values["quantity"],
        value=values["value"],
        unit=QUANTITIES[values["quantity"]].unit,
        text=f"{values['value']:g}",
        replicate=values["replicate"],
        source=source,
        place=place,
    )
