"""What a file of limits may hold, as pydantic models; imported only when a file is checked."""

from __future__ import annotations

import string
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, field_validator, model_validator

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES, REQUIREMENT_QUANTITIES

Name = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")]
Bound = Literal["maximum", "minimum"]
Evidence = Literal["read", "second-hand", "recalled", "own", ""]
TemperaturesByStep = dict[str, Annotated[list[FiniteFloat], Field(min_length=1)]]


class Model(BaseModel):
    """Refuses keys it does not know: a misspelt key must not be dropped in silence."""

    model_config = ConfigDict(extra="forbid", strict=True)


def known_quantity(name: str) -> str:
    """Refuse a quantity that the glossary does not have.

    Parameters
    ----------
    name : str
        Name found in a file.

    Returns
    -------
    str
        The same name.
    """
    if name not in REQUIREMENT_QUANTITIES:
        raise ValueError(f"must be one of {', '.join(REQUIREMENT_QUANTITIES)}")
    return name


class WaiverModel(Model):
    """Where a requirement does not apply."""

    quantity: str | None = None
    below: FiniteFloat | None = None
    at_least: FiniteFloat | None = None
    own_up_to: FiniteFloat | None = None
    service_classes: list[str] | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> WaiverModel:
        """Demand either a quantity with one bound, or a list of classes."""
        bounded = (self.below is None) is not (self.at_least is None)
        by_value = self.quantity is not None and bounded
        if by_value is (self.service_classes is not None):
            raise ValueError("needs either 'quantity' with 'below' or 'at_least', or 'service_classes'")
        if self.own_up_to is not None and not by_value:
            raise ValueError("key 'own_up_to' needs 'quantity' with 'below' or 'at_least' beside it")
        if self.quantity is not None:
            known_quantity(self.quantity)
        return self


class RequirementModel(Model):
    """One ``[[requirement]]`` block."""

    name: Name
    title: str = Field(min_length=1)
    clause: str = ""
    condition: Condition = Field(strict=False)
    quantity: str
    bound: Bound
    unit: str
    limits: dict[str, FiniteFloat] = Field(min_length=1)
    absolute: bool = False
    temperature: Literal["high", "low + 10", "intermediate"] | FiniteFloat | None = None
    decides_class: bool = False
    waived_when: WaiverModel | None = None
    evidence: Evidence = ""
    note: str = ""
    also_accepts: list[Annotated[Condition, Field(strict=False)]] = []
    decimals: Annotated[int, Field(ge=0, le=9)] | None = None
    ageing_h: Annotated[FiniteFloat, Field(gt=0)] | None = None

    @field_validator("quantity")
    @classmethod
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)

    @model_validator(mode="after")
    def _hours_belong_to_long_term_ageing(self) -> RequirementModel:
        """Hours of pressure ageing mean nothing for another residue; delta-Tc means nothing without them."""
        if self.ageing_h is not None and self.condition is not Condition.LONG_TERM_AGED:
            raise ValueError("key 'ageing_h': only long-term-aged binder has hours of pressure ageing")
        if self.quantity == "delta_tc" and (self.ageing_h is None or self.temperature is not None):
            raise ValueError(
                "quantity 'delta_tc' needs 'ageing_h' (20 h and 40 h are not comparable) and no 'temperature'"
            )
        return self

    @model_validator(mode="after")
    def _unit_is_ours(self) -> RequirementModel:
        """Limits are compared with results in the unit of the glossary, so they must be in it."""
        unit = QUANTITIES[self.quantity].unit
        if self.unit != unit:
            raise ValueError(f"key 'unit': found '{self.unit}', needed '{unit}' for {self.quantity}")
        return self


class ClassModel(Model):
    """One ``[[class]]`` block."""

    name: str
    title: str = Field(min_length=1)
    rank: int


def _fields_of(template: str) -> set[str]:
    """Give the names in braces of a template."""
    try:
        return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}
    except ValueError as error:
        raise ValueError(f"is not a template: {error}") from error


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


class SpecificationModel(Model):
    """A specification file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    edition: str
    label: str
    high_temperatures_c: list[FiniteFloat] = Field(min_length=1)
    classes: list[ClassModel] = Field(min_length=1, alias="class")
    requirements: list[RequirementModel] = Field(min_length=1, alias="requirement")
    rounding: Literal["none", "half-even", "half-up"] = "none"
    transcribed: str
    checked: str
    notes: list[str] = []
    temperature_tolerance_c: Annotated[FiniteFloat, Field(ge=0, le=2)] = 0.1
    ageing_tolerance_h: Annotated[FiniteFloat, Field(ge=0, le=5)] = 0.5
    low_temperatures_c: TemperaturesByStep = Field(default_factory=dict)
    full_label: str = ""
    long_term_ageing_temperatures_c: TemperaturesByStep = Field(default_factory=dict)

    @field_validator("label")
    @classmethod
    def _label_has_known_fields(cls, value: str) -> str:
        """A label names the temperature or the class, and nothing unknown."""
        fields = _fields_of(value)
        if not fields or not fields <= {"temperature", "service_class"}:
            raise ValueError("needs {temperature} and may hold {service_class}, nothing else in braces")
        return value

    @field_validator("full_label")
    @classmethod
    def _full_label_has_known_fields(cls, value: str) -> str:
        """A whole grade names both ends."""
        fields = _fields_of(value)
        both = {"temperature", "low"}
        if value and not (both <= fields <= both | {"service_class"}):
            raise ValueError("needs {temperature} and {low} and may hold {service_class}, nothing else")
        return value

    @model_validator(mode="after")
    def _label_tells_grades_apart(self) -> SpecificationModel:
        """Penetration and viscosity grades have no climatic temperature: then there is one, and classes."""
        if "temperature" not in _fields_of(self.label) and len(self.high_temperatures_c) > 1:
            raise ValueError("key 'label' needs {temperature} where high_temperatures_c has several")
        return self

    @model_validator(mode="after")
    def _low_end_fits(self) -> SpecificationModel:
        """Low grades stand under steps that exist, and a specification that has them can name them."""
        problems = [
            f"key '{key}': '{step}' is not among high_temperatures_c"
            for key in ("low_temperatures_c", "long_term_ageing_temperatures_c")
            for step in getattr(self, key)
            if not _is_number(step) or float(step) not in self.high_temperatures_c
        ]
        problems += [
            f"key 'low_temperatures_c': the temperatures under '{step}' must differ and lie below it"
            for step, lows in self.low_temperatures_c.items()
            if _is_number(step) and (len(set(lows)) < len(lows) or max(lows) >= float(step))
        ]
        if self.low_temperatures_c and not self.full_label:
            problems.append("key 'full_label' is needed beside 'low_temperatures_c'")
        needing = [r.name for r in self.requirements if r.temperature in ("low + 10", "intermediate")]
        if needing and not self.low_temperatures_c:
            problems.append(f"key 'low_temperatures_c' is needed: {', '.join(needing)} depend on it")
        if problems:
            raise ValueError("; ".join(problems))
        return self

    @model_validator(mode="after")
    def _parts_fit(self) -> SpecificationModel:
        """Names and ranks are unique, and limits and waivers name classes that exist."""
        classes = [c.name for c in self.classes]
        problems = [
            f"requirement '{r.name}': key 'limits' names class '{key}', not among {', '.join(classes)}"
            for r in self.requirements
            for key in r.limits
            if key != "*" and key not in classes
        ]
        problems += [
            f"requirement '{r.name}': key 'waived_when' names class '{name}', which does not exist"
            for r in self.requirements
            for name in (r.waived_when.service_classes or [] if r.waived_when else [])
            if name not in classes
        ]
        for words, values in (
            ("class names", classes),
            ("class ranks", [c.rank for c in self.classes]),
            ("requirement names", [r.name for r in self.requirements]),
            ("high temperatures", self.high_temperatures_c),
        ):
            if len(set(values)) < len(values):
                problems.append(f"{words} must differ from one another: {', '.join(map(str, values))}")
        if not any(r.decides_class for r in self.requirements):
            problems.append("at least one requirement needs decides_class = true")
        if problems:
            raise ValueError("; ".join(problems))
        return self
