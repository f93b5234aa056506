"""A dispute as two laboratories write it down: one TOML file, the rule first.

rule = "failure-must-be-shown"
agreed_on = "2026-03-02"
agreed_by = ["Northmere Refining", "Lowland Roads Office"]
referee = "Third Laboratory"

sample = "tank 4, load 118"
quantity = "jnr_3.2"
condition = "RTFO"
temperature_c = 64
limit = 0.5
limit_is = "at_most"

[[laboratory]]
name = "Northmere Refining"
role = "supplier"
values = [0.42, 0.44]
tested = "2026-03-05"

[[laboratory]]
name = "Lowland Roads Office"
role = "receiver"
values = [0.60]
tested = "2026-03-06"
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import SpecificationError
from resile.readers.checked_toml import as_text, read_checked_toml
from resile.readers.conditions import read_condition
from resile.records.determination import Condition
from resile.records.laboratories import Dispute, DisputeParty, DisputeRule
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.reading import HeldFile, SourceFile

if TYPE_CHECKING:
    from pydantic import BaseModel

_ROLES = ("supplier", "receiver", "referee")


def read_dispute_case(path: Path | HeldFile) -> tuple[Dispute, SourceFile]:
    """Read a dispute; its rule is named and not yet looked up.

    Parameters
    ----------
    path : Path or HeldFile
        The case (.toml).

    Returns
    -------
    tuple of (Dispute, SourceFile)
        With the name of the rule and who agreed on it, and the bytes it came from.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        It is not TOML.
    SpecificationError
        Keys missing, unknown or wrong; all of them in one message.
    """
    content, source = read_checked_toml(path, _model(), "dispute")
    given: dict[str, Any] = content.model_dump()
    parties = [DisputeParty(**{**one, "values": tuple(one["values"])}) for one in given.pop("laboratory")]
    by_role = {role: [one for one in parties if one.role == role] for role in _ROLES}
    for role in ("supplier", "receiver"):
        if len(by_role[role]) != 1:
            raise SpecificationError(
                f"{path}: one laboratory of the {role} is needed, found {len(by_role[role])}"
            )
    if len(by_role["referee"]) > 1:
        raise SpecificationError(f"{path}: one referee is enough, found {len(by_role['referee'])}")
    rule = DisputeRule(
        name=given.pop("rule"),
        text="",
        source="",
        agreed_on=given.pop("agreed_on"),
        agreed_by=tuple(given.pop("agreed_by")),
        referee=given.pop("referee"),
    )
    condition, _ = read_condition(given.pop("condition"))
    dispute = Dispute(
        **given,
        condition=condition,
        unit=QUANTITIES[given["quantity"]].unit,
        rule=rule,
        first=by_role["supplier"][0],
        second=by_role["receiver"][0],
        third=next(iter(by_role["referee"]), None),
    )
    return dispute, source


def _known_condition(text: str) -> str:
    condition, remark = read_condition(text)
    if condition is Condition.UNKNOWN:
        raise ValueError(remark)
    return text


def _known_quantity(text: str) -> str:
    if text not in RESULT_QUANTITIES:
        raise ValueError(f"{text!r} is not known; known are {', '.join(RESULT_QUANTITIES)}")
    return text


@cache
def _model() -> type[BaseModel]:
    from typing import Annotated, Literal

    from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

    Text = Annotated[str, BeforeValidator(as_text)]  # noqa: N806
    Needed = Annotated[Text, Field(min_length=1)]  # noqa: N806
    Above = Annotated[float, Field(gt=0)]  # noqa: N806

    class Closed(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)

    class LaboratoryTable(Closed):
        name: Needed
        role: Literal["supplier", "receiver", "referee"]
        values: Annotated[list[float], Field(min_length=1)]
        tested: Text = ""

    class CaseTable(Closed):
        rule: Needed
        agreed_on: Text = ""
        agreed_by: Annotated[list[Needed], Field(default_factory=list)]
        referee: Text = ""
        sample: Needed
        quantity: Annotated[Needed, AfterValidator(_known_quantity)]
        condition: Annotated[Needed, AfterValidator(_known_condition)] = "original"
        temperature_c: Annotated[float, Field(ge=-50, le=250)] | None = None
        limit: float
        limit_is: Literal["at_most", "at_least"]
        clause: Text = ""
        repeatability_limit: Above | None = None
        reproducibility_limit: Above | None = None
        invented: bool = False
        laboratory: Annotated[list[LaboratoryTable], Field(min_length=2)]

    return CaseTable
