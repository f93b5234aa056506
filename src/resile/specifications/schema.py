"""What a specification file may hold, as pydantic models; imported only when a file is checked."""

from __future__ import annotations

import string
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, field_validator, model_validator

from resile.records.determination import Condition
from resile.records.finding import Severity
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES

Name = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$")]
Percent = Annotated[FiniteFloat, Field(gt=0)]
Basis = Literal["repeatability", "reproducibility", "replicates", "budget"]
Bound = Literal["maximum", "minimum"]
Evidence = Literal["read", "second-hand", "recalled", "own", ""]


class Model(BaseModel):
    """Refuses keys it does not know: a misspelt key must not be dropped in silence."""

    model_config = ConfigDict(extra="forbid", strict=True)


def known_quantity(name: str) -> str:
    """Refuse a quantity that the glossary does not have."""
    if name not in RESULT_QUANTITIES:
        raise ValueError(f"must be one of {', '.join(RESULT_QUANTITIES)}")
    return name


class WaiverModel(Model):
    """Where a requirement does not apply."""

    quantity: str | None = None
    below: FiniteFloat | None = None
    service_classes: list[str] | None = None

    @model_validator(mode="after")
    def one_kind(self) -> WaiverModel:
        """Demand either a quantity with a bound, or a list of classes."""
        by_value = self.quantity is not None and self.below is not None
        if by_value is (self.service_classes is not None):
            raise ValueError("needs either 'quantity' with 'below', or 'service_classes'")
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
    temperature: Literal["high"] | FiniteFloat | None = None
    decides_class: bool = False
    waived_when: WaiverModel | None = None
    evidence: Evidence = ""
    note: str = ""
    also_accepts: list[Annotated[Condition, Field(strict=False)]] = []
    decimals: Annotated[int, Field(ge=0, le=9)] | None = None

    @field_validator("quantity")
    @classmethod
    def quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)

    @model_validator(mode="after")
    def unit_is_ours(self) -> RequirementModel:
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

    @field_validator("label")
    @classmethod
    def label_has_known_fields(cls, value: str) -> str:
        """A label names the temperature and nothing unknown."""
        try:
            fields = {name for _, name, _, _ in string.Formatter().parse(value) if name is not None}
        except ValueError as error:
            raise ValueError(f"is not a template: {error}") from error
        if "temperature" not in fields or not fields <= {"temperature", "service_class"}:
            raise ValueError("needs {temperature} and may hold {service_class}, nothing else in braces")
        return value

    @model_validator(mode="after")
    def parts_fit(self) -> SpecificationModel:
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


class BandModel(Model):
    """One ``[[band]]`` block of a precision statement."""

    quantity: str
    title: str = ""
    condition: Condition | None = Field(default=None, strict=False)
    above: FiniteFloat | None = None
    above_exclusive: bool = False
    up_to: FiniteFloat | None = None
    single_operator_percent: Percent | None = None
    single_operator_limit_percent: Percent | None = None
    single_operator_sd: Percent | None = None
    multilaboratory_percent: Percent | None = None
    multilaboratory_limit_percent: Percent | None = None
    multilaboratory_sd: Percent | None = None

    @field_validator("quantity")
    @classmethod
    def quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)

    @model_validator(mode="after")
    def ends_in_order(self) -> BandModel:
        """A band has its lower end below its upper one."""
        if self.above is not None and self.up_to is not None and self.above >= self.up_to:
            raise ValueError(f"'above' ({self.above:g}) must be less than 'up_to' ({self.up_to:g})")
        return self


class PrecisionModel(Model):
    """A precision statement file."""

    identifier: Name
    document: str = Field(min_length=1)
    date: str
    evidence: Evidence
    transcribed: str
    checked: str
    notes: list[str] = []
    bands: list[BandModel] = Field(alias="band")


class DecisionRuleModel(Model):
    """A decision rule file."""

    name: Name
    states: Literal[2, 4]
    guard_factor: Annotated[FiniteFloat, Field(ge=0, le=6)]
    conditional_pass_counts: bool = False
    text: str = Field(min_length=1)
    source: str = Field(min_length=1)


class RetestRuleModel(Model):
    """A retest rule file."""

    name: Name
    text: str = Field(min_length=1)
    first: Annotated[int, Field(ge=0)]
    further: Annotated[int, Field(ge=0)]
    settle: Literal["mean", "median", "closest-two"]
    source: str = Field(min_length=1)


CHECK_LIMITS: dict[str, tuple[str, ...]] = {
    "derived-value-does-not-follow": (),
    "wrong-unit-suspected": (
        "percent_factor",
        "compliance_factor",
        "recovery_ratio_highest",
        "recovery_ratio_jnr_highest",
    ),
    "reported-class-does-not-follow": (),
    "recovery-out-of-range": ("lowest", "highest"),
    "recovery-difference-not-meaningful": ("recovery_lowest_percent",),
    "difference-at-noise-floor": ("jnr_lowest",),
    "difference-of-highly-modified-binder": ("jnr_highest", "difference_highest_percent"),
    "creep-and-oscillation-disagree": ("product_highest", "angular_frequency_rad_s"),
    "digit-lost-in-replicate": ("factor", "agreement_ratio"),
    "recovery-rises-with-stress": (),
    "compliance-falls-with-stress": (),
}
"""Summary checks there are, and the limits each of them needs."""


class CheckModel(Model):
    """One ``[[check]]`` block of ``findings/summary.toml``."""

    code: Name
    severity: Severity = Field(strict=False)
    rule: str = Field(min_length=1)
    limits: dict[str, FiniteFloat] = {}
    source: str = Field(min_length=1)
    advice: str = ""

    @model_validator(mode="after")
    def limits_are_those_of_the_check(self) -> CheckModel:
        """Refuse a check that does not exist, and limits that are missing or unknown."""
        if self.code not in CHECK_LIMITS:
            raise ValueError(f"key 'code': no such check; there are {', '.join(CHECK_LIMITS)}")
        needed = CHECK_LIMITS[self.code]
        if set(needed) != set(self.limits):
            raise ValueError(
                f"key 'limits': needs {', '.join(needed) or 'none'}, found {', '.join(self.limits)}"
            )
        return self


class SummaryChecksModel(Model):
    """The file of summary checks."""

    checks: list[CheckModel] = Field(alias="check")


class ToleranceModel(Model):
    """One ``[[tolerance]]`` block of an ageing method."""

    measure: Literal[
        "temperature_c",
        "duration_min",
        "air_flow_ml_min",
        "rotation_r_min",
        "recovery_min",
        "bottle_mass_g",
        "bottle_difference_percent",
        "mass_change_misfit_percent",
        "bottles",
    ]
    title: str = Field(min_length=1)
    unit: str
    nominal: FiniteFloat | None = None
    lowest: FiniteFloat | None = None
    highest: FiniteFloat | None = None
    severity: Severity = Field(strict=False)
    advice: str = ""
    source: str = Field(min_length=1)

    @model_validator(mode="after")
    def has_an_end(self) -> ToleranceModel:
        """A tolerance bounds something."""
        if self.lowest is None and self.highest is None:
            raise ValueError("needs 'lowest', 'highest' or both")
        return self


class AgeingMethodModel(Model):
    """A short-term ageing method file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    transcribed: str
    checked: str
    notes: list[str] = []
    tolerances: list[ToleranceModel] = Field(alias="tolerance")
