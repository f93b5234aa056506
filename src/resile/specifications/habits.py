"""How the properties of a grade change with temperature, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, FiniteFloat

from resile.records.range import TemperatureHabit
from resile.records.temperature_line import SlopePrior
from resile.specifications.checked import checked_file
from resile.specifications.schema import Evidence, Model, Name
from resile.specifications.search import find_file

FOLDER = "temperature_habits"
Above = Annotated[FiniteFloat, Field(gt=0)]


class SlopeModel(Model):
    """The ``[habit.slope]`` table."""

    slope_per_c: FiniteFloat
    standard_per_c: Above
    source: str = Field(min_length=1)


class HabitModel(Model):
    """One ``[[habit]]`` block."""

    quantity: str
    scale: Literal["logarithm", "value"]
    worse_when: Literal["hotter", "colder", ""]
    spread: Above
    reach_c: Annotated[FiniteFloat, Field(ge=0)]
    source: str = Field(min_length=1)
    evidence: Evidence
    slope: SlopeModel


class HabitsModel(Model):
    """A file of temperature habits."""

    identifier: Name
    title: str
    transcribed: str
    checked: str
    habits: Annotated[list[HabitModel], Field(min_length=1)] = Field(alias="habit")


def load_temperature_habits(wanted: str | Path = "binder") -> dict[str, TemperatureHabit]:
    """Load how properties change with temperature.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    dict of str to TemperatureHabit
        By the name of the quantity.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    file = find_file(FOLDER, wanted, words="file of temperature habits")
    data: dict[str, Any] = checked_file(HabitsModel, file).model_dump()
    habits = {}
    for block in data["habits"]:
        slope = SlopePrior("any kind", **block.pop("slope"))
        source = f"{block.pop('source')} [{block.pop('evidence')}]"
        habits[block["quantity"]] = TemperatureHabit(**block, slope=slope, source=source)
    return habits
