"""Steps of stress and temperature for a creep model, as a person writes them: table or TOML.

A table has one step a row under the headings ``duration (s)``, ``stress (kPa)`` and, where it is not that
of the record, ``temperature (°C)``. TOML has one ``[[step]]`` each::

    [[step]]
    duration_s = 0.2
    stress_kpa = 3.2
    temperature_c = 64
"""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from resile.errors import FileFormatError, InputError
from resile.readers.checked_toml import read_checked_toml
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.records.models.step_programme import ProgrammeStep, StepProgramme
from resile.records.reading import HeldFile

if TYPE_CHECKING:
    from pydantic import BaseModel

MAX_BYTES = 1_000_000
MOST_STEPS = 2000
WHAT = "table of steps (.csv, .xlsx, .toml)"
_WORDS = {
    "duration": ("duration", "time", "duration_s", "length"),
    "stress": ("stress", "shear stress", "stress_kpa"),
    "temperature": ("temperature", "temp", "temperature_c"),
}
_UNITS = {"duration": ("s", "sec", "seconds"), "stress": ("kpa",), "temperature": ("°c", "c", "degc")}
_NEEDED = {"duration": "s", "stress": "kPa", "temperature": "°C"}


def read_step_programme(path: Path | HeldFile) -> StepProgramme:
    """Read steps of stress and temperature.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text, workbook or TOML.

    Returns
    -------
    StepProgramme
        Steps in their order.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No headings, no steps or too many, another unit, a duration that is not above zero, a cell that is no
        number.
    SpecificationError
        Keys of the TOML missing, unknown or wrong.
    """
    if Path(str(path)).suffix.lower() == ".toml":
        content, source = read_checked_toml(path, _model(), "table of steps")
        steps = tuple(ProgrammeStep(**one) for one in content.model_dump()["steps"])
    else:
        table, source = read_named_rows(
            path, _WORDS, needed=("duration", "stress"), what=WHAT, max_bytes=MAX_BYTES, thousands=False
        )
        for name, unit in table.brackets.items():
            if unit.strip().casefold() not in ("", *_UNITS[name]):
                raise FileFormatError(f"{path}: {name} in '{unit}' found; {_NEEDED[name]} is needed")
        steps = tuple(_step(row, str(path)) for row in table.rows)
    if not 0 < len(steps) <= MOST_STEPS:
        raise FileFormatError(f"{path}: {len(steps)} steps found; 1 to {MOST_STEPS} are possible")
    return StepProgramme(steps, source)


def steps_of_text(text: str) -> StepProgramme:
    """Read steps typed into a field: one a line, numbers apart by spaces or semicolons.

    Parameters
    ----------
    text : str
        Lines of duration [s], stress [kPa] and, where it differs, temperature [°C].

    Returns
    -------
    StepProgramme
        Steps in their order.

    Raises
    ------
    InputError
        A line is no step, or there are too many.
    """
    steps = []
    for number, line in enumerate(text.splitlines(), 1):
        cells = [cell.replace(",", ".") for cell in re.split(r"[;\s]+", line.strip()) if cell]
        if not cells:
            continue
        try:
            values = [float(cell) for cell in cells]
        except ValueError:
            values = []
        if len(values) not in (2, 3) or not all(map(math.isfinite, values)) or not values[0] > 0.0:
            raise InputError(
                f"steps, line {number}: '{line.strip()[:60]}' found; duration above 0 (s), stress (kPa) and, "
                "where it differs, temperature (°C) are needed"
            )
        steps.append(ProgrammeStep(*values))
    if not 0 < len(steps) <= MOST_STEPS:
        raise InputError(f"steps: {len(steps)} found; 1 to {MOST_STEPS} are possible")
    return StepProgramme(tuple(steps))


def _step(row: NamedRow, path: str) -> ProgrammeStep:
    where = f"{path}, {row.place}"
    for name, unit in _NEEDED.items():
        if name not in row.numbers and (row.text(name) or name != "temperature"):
            raise FileFormatError(
                f"{where}: {name} '{row.text(name)}' found, a number is needed ({unit}; 0 kPa for rest)"
            )
    duration = row.numbers["duration"]
    if not duration > 0.0:
        raise FileFormatError(f"{where}: duration {duration:g} s found; above 0 s is needed")
    return ProgrammeStep(duration, row.numbers["stress"], row.numbers.get("temperature"))


@cache
def _model() -> type[BaseModel]:
    """Build the model when it is first needed: pydantic is slow to load."""
    from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

    class Step(BaseModel):
        model_config = ConfigDict(extra="forbid")
        duration_s: Annotated[FiniteFloat, Field(gt=0)]
        stress_kpa: FiniteFloat
        temperature_c: FiniteFloat | None = None

    class Steps(BaseModel):
        model_config = ConfigDict(extra="forbid")
        steps: list[Step] = Field(alias="step", min_length=1)

    namespace = {"Annotated": Annotated, "FiniteFloat": FiniteFloat, "Field": Field, "Step": Step}
    for model in (Step, Steps):
        model.model_rebuild(_types_namespace=namespace)
    return Steps
