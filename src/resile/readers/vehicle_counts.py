"""Counted traffic of a road, written by a person in a small TOML file.

Example::

    vehicles_per_day = 12000     # first year, both directions
    growth_percent = 3
    years = 20
    direction_share = 0.5
    lane_share = 0.9
    speed_kmh = 80

    [[vehicle]]
    name = "heavy vehicles"
    share_percent = 12
    axle_factor = 1.2            # equivalent axle loads of one
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from resile.readers.checked_toml import read_checked_toml
from resile.records.reading import HeldFile
from resile.records.site import VehicleCounts, VehicleKind

if TYPE_CHECKING:
    from pydantic import BaseModel


def read_vehicle_counts(path: Path | HeldFile) -> VehicleCounts:
    """Read a file of vehicle counts.

    Parameters
    ----------
    path : Path
        TOML file.

    Returns
    -------
    VehicleCounts
        Checked.

    Raises
    ------
    RecordNotFoundError, FileFormatError, SpecificationError
        No such file; not TOML; keys missing, unknown or wrong.
    """
    content, _ = read_checked_toml(path, _model(), "file of vehicle counts")
    data = content.model_dump()
    data["vehicles"] = tuple(VehicleKind(**block) for block in data["vehicles"])
    return VehicleCounts(**data)


@cache
def _model() -> type[BaseModel]:
    """Build the model when it is first needed: pydantic is slow to load."""
    from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

    strict = ConfigDict(extra="forbid")
    share = Annotated[FiniteFloat, Field(ge=0, le=1)]

    class Vehicle(BaseModel):
        model_config = strict
        name: str = ""
        share_percent: Annotated[FiniteFloat, Field(ge=0, le=100)]
        axle_factor: Annotated[FiniteFloat, Field(ge=0)]

    class Counts(BaseModel):
        model_config = strict
        vehicles_per_day: Annotated[FiniteFloat, Field(ge=0)]
        growth_percent: Annotated[FiniteFloat, Field(gt=-100)] = 0.0
        years: Annotated[FiniteFloat, Field(gt=0)] = 20.0
        direction_share: share = 0.5
        lane_share: share = 1.0
        speed_kmh: Annotated[FiniteFloat, Field(ge=0, le=200)] | None = None
        vehicles: list[Vehicle] = Field(alias="vehicle", min_length=1)

    namespace = {
        "Annotated": Annotated,
        "FiniteFloat": FiniteFloat,
        "Field": Field,
        "Vehicle": Vehicle,
        "share": share,
    }
    for model in (Vehicle, Counts):
        model.model_rebuild(_types_namespace=namespace)
    return Counts
