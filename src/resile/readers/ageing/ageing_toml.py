"""The keys of an ageing record in TOML, for both kinds."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING

from resile.readers.ageing.ageing_words import LONG, SHORT
from resile.readers.checked_toml import as_text

if TYPE_CHECKING:
    from pydantic import BaseModel


SHORT_KEYS = (
    "duration_min",
    "air_flow_ml_min",
    "rotation_r_min",
    "recovery_min",
    "mass_change_percent",
    "bottle",
)
LONG_KEYS = (
    "duration_h",
    "pressure_mpa",
    "pan_count",
    "pan_diameter_mm",
    "release_min",
    "pan_heating_temperature_c",
    "pan_heating_min",
    "degassing_temperature_c",
    "degassing_pressure_kpa",
    "degassing_min",
    "feed",
    "short_term_record",
    "departure",
    "note",
    "pan",
)


KEYS = {SHORT: SHORT_KEYS, LONG: LONG_KEYS}


Value = str | float
_UNSEEN = dict.fromkeys((*range(32), 127), " ")  # no line break or control sign belongs in a bench note


def ageing_to_toml(
    values: Mapping[str, Value], rows: Sequence[Mapping[str, Value]], *, row_name: str, remark: str = ""
) -> str:
    """Write an ageing record as TOML that `read_ageing_record` reads back.

    Parameters
    ----------
    values : mapping of str to str or float
        Keys of the record, in order.
    rows : sequence of mapping
        Keys of each bottle or pan.
    row_name : str
        ``"bottle"`` or ``"pan"``.
    remark : str
        Comment above it.

    Returns
    -------
    str
        TOML text.
    """
    lines = [f"# {remark.translate(_UNSEEN)}"] if remark else []
    lines += [f"{key} = {_printed(value)}" for key, value in values.items()]
    for row in rows:
        lines += ["", f"[[{row_name}]]", *(f"{key} = {_printed(value)}" for key, value in row.items())]
    return "\n".join(lines) + "\n"


def _printed(value: Value) -> str:
    """Print a value; a JSON string without control signs is a TOML string."""
    if isinstance(value, str):
        return json.dumps(value.translate(_UNSEEN).strip(), ensure_ascii=False)
    return repr(value)


@cache
def ageing_model() -> type[BaseModel]:
    """Give the model that checks the keys."""
    from typing import Annotated

    from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

    Text = Annotated[str, BeforeValidator(as_text)]  # noqa: N806
    Mass = Annotated[float, Field(gt=0, le=10_000)]  # noqa: N806
    Amount = Annotated[float, Field(ge=0)]  # noqa: N806
    Temperature = Annotated[float, Field(ge=-50, le=400)]  # noqa: N806

    class Closed(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)

    class BottleTable(Closed):
        name: Text
        empty_g: Mass | None = None
        before_g: Mass | None = None
        after_g: Mass | None = None
        note: Text = ""

    class PanTable(Closed):
        name: Text
        mass_g: Mass | None = None
        note: Text = ""

    class AgeingTableToml(Closed):
        sample: Text = ""
        method: Annotated[Text, Field(min_length=1)]
        aged_on: Text = ""
        temperature_c: Temperature | None = None
        duration_min: Amount | None = None
        air_flow_ml_min: Amount | None = None
        rotation_r_min: Amount | None = None
        recovery_min: Amount | None = None
        mass_change_percent: Annotated[float, Field(ge=-100, le=100)] | None = None
        bottle: tuple[BottleTable, ...] = ()
        pressure_mpa: Amount | None = None
        duration_h: Amount | None = None
        pan_count: Amount | None = None
        pan_diameter_mm: Amount | None = None
        release_min: Amount | None = None
        pan_heating_temperature_c: Temperature | None = None
        pan_heating_min: Amount | None = None
        degassing_temperature_c: Temperature | None = None
        degassing_pressure_kpa: Amount | None = None
        degassing_min: Amount | None = None
        feed: Text = ""
        short_term_record: Text = ""
        departure: Text = ""
        note: Text = ""
        pan: tuple[PanTable, ...] = ()

    return AgeingTableToml
