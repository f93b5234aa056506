"""The keys of a blend book, checked: names, kinds of value, and what is needed."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from resile.readers.checked_toml import as_text
from resile.readers.conditions import read_condition
from resile.readers.grids.vocabulary import fold
from resile.readers.typed_results import result_model
from resile.readers.word_lists import load_words
from resile.records.blending.problem import OBJECTIVES
from resile.records.determination import Condition
from resile.records.quantity import RESULT_QUANTITIES, WORD_QUANTITIES

if TYPE_CHECKING:
    from pydantic import BaseModel


_SHARES = (
    "Table of shares beside the book, or several: one trial blend a row, one component a column; percent, "
    "ratios or masses."
)
_RESULTS = "Tables of results beside the book, matched by the names of blends and components."
_SAMPLE = "Name that its results carry in the tables, where it is another one."


def read_kind(text: str) -> str:
    """Give the kind of component a word means.

    Parameters
    ----------
    text : str
        As written, for example ``"SBS concentrate"``.

    Returns
    -------
    str
        A kind of `resile.records.blending.book.Component`.

    Raises
    ------
    ValueError
        The word is not known.
    """
    kinds = load_words("resile.readers.blends", "words.toml")["kind"]
    for kind, spellings in kinds.items():
        if fold(text) in {fold(kind), *map(fold, spellings)}:
            return str(kind)
    raise ValueError(f"{text!r} is no kind of component; known are {', '.join(kinds)}")


def _condition(text: str) -> str:
    condition, remark = read_condition(text)
    if condition is Condition.UNKNOWN:
        raise ValueError(remark)
    return text


def _quantity(text: str) -> str:
    if text not in RESULT_QUANTITIES or text in WORD_QUANTITIES:
        raise ValueError(f"{text!r} is no quantity of the glossary, such as jnr_3.2 or m_value")
    return text


def _objective(text: str) -> str:
    if text not in OBJECTIVES:
        raise ValueError(f"{text!r} is no objective; known are {', '.join(OBJECTIVES)}")
    return text


def _one_or_many(given: object) -> object:
    """Take one name as well as a list of names."""
    return [given] if isinstance(given, str) else given


@cache
def blend_book_model() -> type[BaseModel]:
    """Give the model of a blend book in TOML.

    Returns
    -------
    type of pydantic.BaseModel
        Checks keys and types; imported only when such a file is read.
    """
    from typing import Annotated

    from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

    ResultModel = result_model()  # noqa: N806
    Text = Annotated[str, BeforeValidator(as_text)]  # noqa: N806
    Needed = Annotated[Text, Field(min_length=1)]  # noqa: N806
    Percent = Annotated[float, Field(ge=0, le=100)]  # noqa: N806
    Temperature = Annotated[float, Field(ge=-60, le=400)]  # noqa: N806
    NotNegative = Annotated[float, Field(ge=0)]  # noqa: N806
    Positive = Annotated[float, Field(gt=0)]  # noqa: N806
    QuantityName = Annotated[Needed, AfterValidator(_quantity)]  # noqa: N806

    class Closed(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)

    class ComponentModel(Closed):
        name: Needed
        kind: Annotated[Needed, AfterValidator(read_kind)]
        price_per_tonne: NotNegative | None = None
        stock_t: NotNegative | None = None
        lowest_percent: Percent = 0.0
        highest_percent: Percent = 100.0
        polymer_percent: Percent = 0.0
        polymer: Text = ""
        banned: bool = False
        increment_kg: Positive | None = None
        highest_handling_c: Temperature | None = None
        remark: Text = ""
        sample: Text = Field(default="", description=_SAMPLE)
        result: list[ResultModel] = Field(  # type: ignore[valid-type]
            default_factory=list, description="Results typed here, beside those of the tables."
        )

    class TrialModel(Closed):
        name: Needed
        percent: dict[str, float] = Field(default_factory=dict)
        storage_h: NotNegative | None = None
        storage_c: Temperature | None = None
        sample: Text = Field(default="", description=_SAMPLE)
        result: list[ResultModel] = Field(  # type: ignore[valid-type]
            default_factory=list, description="Results typed here, beside those of the tables."
        )

    class LimitModel(Closed):
        quantity: QuantityName
        condition: Annotated[Needed, AfterValidator(_condition)] = "original"
        temperature_c: Temperature | None = None
        maximum: float | None = Field(default=None, description="Largest value; this or `minimum`.")
        minimum: float | None = Field(default=None, description="Smallest value; this or `maximum`.")
        absolute: bool = False
        title: Text = ""

    class AimModel(Closed):
        specification: Text = ""
        grade: Text = ""
        site: Text = Field(default="", description="Name of the road; with `sites`, the row of that table.")
        sites: Text = Field(
            default="",
            description="Table of sites beside the book; in place of `grade`, which is then worked out.",
        )
        objective: Annotated[Needed, AfterValidator(_objective)] = "cost"
        probability: Annotated[float, Field(ge=0.5, lt=1)] = 0.95
        most_components: Annotated[int, Field(ge=1)] | None = None
        reclaimed_at_least_percent: Percent | None = None
        reclaimed_at_most_percent: Percent | None = None
        today_percent: dict[str, float] = Field(default_factory=dict)
        beyond_trials: bool = False
        acceptance_test: bool = False

    class PlantModel(Closed):
        tank_kg: Positive = 20000.0
        increment_kg: Positive = Field(default=10.0, description="Step of the plant's scales [kg].")
        dosing_standard_kg: Positive | None = None
        storage_h: NotNegative | None = None
        storage_c: Temperature | None = None

    class BlendBookModel(Closed):
        title: Text = ""
        invented: bool = False
        currency: Text = ""
        shares: Annotated[
            tuple[Needed, ...],
            BeforeValidator(_one_or_many, json_schema_input_type=Needed | tuple[Needed, ...]),
        ] = Field(default=(), description=_SHARES)
        results: Annotated[
            tuple[Needed, ...],
            BeforeValidator(_one_or_many, json_schema_input_type=Needed | tuple[Needed, ...]),
        ] = Field(default=(), description=_RESULTS)
        component: list[ComponentModel] = Field(min_length=1)
        trial: list[TrialModel] = Field(default_factory=list)
        aim: AimModel = Field(default_factory=AimModel)
        limit: list[LimitModel] = Field(default_factory=list)
        plant: PlantModel = Field(default_factory=PlantModel, description="Tank, scales, hot storage.")
        rules: dict[QuantityName, Needed] = Field(default_factory=dict)

    return BlendBookModel
