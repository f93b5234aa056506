"""What files of precision, rules, checks and methods may hold, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, FiniteFloat, field_validator, model_validator

from resile.records.determination import Condition
from resile.records.finding import Severity
from resile.specifications.schema import Evidence, Model, Name, known_quantity
from resile.units import find_unit

Percent = Annotated[FiniteFloat, Field(gt=0)]


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
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)

    @model_validator(mode="after")
    def _ends_in_order(self) -> BandModel:
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
    notes: list[str] = Field(default_factory=list)
    bands: list[BandModel] = Field(alias="band")


class PublishedLimitModel(Model):
    """One ``[[limit]]`` block of published limits."""

    limit: FiniteFloat
    bound: Literal["minimum", "maximum"]
    ageing_h: Annotated[FiniteFloat, Field(gt=0)] | None = None
    source: str = Field(min_length=1)
    evidence: Evidence
    note: str = ""


class PublishedLimitsModel(Model):
    """A file of published limits of one quantity."""

    quantity: str
    unit: str
    hours_tolerance_h: Annotated[FiniteFloat, Field(ge=0, le=5)]
    limits: list[PublishedLimitModel] = Field(alias="limit")

    @field_validator("quantity")
    @classmethod
    def _quantity_is_known(cls, value: str) -> str:
        """See `known_quantity`."""
        return known_quantity(value)


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
    "digit-lost-in-replicate": ("factor", "agreement_ratio"),
    "recovery-rises-with-stress": (),
    "compliance-falls-with-stress": (),
    "value-impossible": ("lowest", "phase_angle_highest_deg", "m_value_highest"),
    "glover-rowe-at-another-condition": (
        "temperature_c",
        "angular_frequency_rad_s",
        "onset_kpa",
        "significant_kpa",
        "measured_rad_s",
    ),
    "reported-value-differs": ("beyond_rounding",),
    "reported-value-by-another-rule": (),
    "reported-value-not-checked": (),
    "reported-outcome-does-not-follow": (),
}
"""Summary checks there are, and the limits each of them needs."""


class CheckModel(Model):
    """One ``[[check]]`` block of ``findings/summary.toml``."""

    code: Name
    severity: Severity = Field(strict=False)
    rule: str = Field(min_length=1)
    limits: dict[str, FiniteFloat] = Field(default_factory=dict)
    source: str = Field(min_length=1)
    advice: str = ""

    @model_validator(mode="after")
    def _limits_are_those_of_the_check(self) -> CheckModel:
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


SHORT_TERM_MEASURES = (
    "temperature_c",
    "duration_min",
    "air_flow_ml_min",
    "rotation_r_min",
    "recovery_min",
    "bottle_mass_g",
    "bottle_difference_percent",
    "mass_change_misfit_percent",
    "mass_change_percent",
    "bottles",
)
LONG_TERM_MEASURES = (
    "temperature_c",
    "pressure_mpa",
    "duration_h",
    "pan_count",
    "pan_diameter_mm",
    "pan_mass_g",
    "release_min",
    "pan_heating_temperature_c",
    "pan_heating_min",
    "degassing_temperature_c",
    "degassing_pressure_kpa",
    "degassing_min",
    "feed_age_days",
    "temperature_from_grade_c",
)
"""What a tolerance may look at, by kind of ageing."""


class ToleranceModel(Model):
    """One ``[[tolerance]]`` block of an ageing method."""

    measure: str
    title: str = Field(min_length=1)
    unit: str
    nominal: FiniteFloat | None = None
    lowest: FiniteFloat | None = None
    highest: FiniteFloat | None = None
    severity: Severity = Field(strict=False)
    advice: str = ""
    source: str = Field(min_length=1)
    slips: list[str] = Field(default_factory=list)

    @model_validator(mode="after")
    def _has_an_end(self) -> ToleranceModel:
        """A tolerance bounds something, and a slip is a unit of the same kind."""
        if self.lowest is None and self.highest is None:
            raise ValueError("needs 'lowest', 'highest' or both")
        kept = find_unit(self.unit)
        for name in self.slips:
            unit = find_unit(name)
            if unit is None or kept is None or unit.dimension != kept.dimension:
                raise ValueError(f"key 'slips': '{name}' is not another unit of '{self.unit}'")
        return self


class AgeingMethodModel(Model):
    """An ageing method file."""

    identifier: Name
    title: str = Field(min_length=1)
    document: str = Field(min_length=1)
    transcribed: str
    checked: str
    notes: list[str] = Field(default_factory=list)
    kind: Literal["short-term", "long-term"] = "short-term"
    feed: Annotated[Condition, Field(strict=False)] | None = None
    feed_source: str = ""
    tolerances: list[ToleranceModel] = Field(alias="tolerance")

    @model_validator(mode="after")
    def _measures_are_of_the_kind(self) -> AgeingMethodModel:
        """A misspelt measure would never be looked at."""
        known = LONG_TERM_MEASURES if self.kind == "long-term" else SHORT_TERM_MEASURES
        wrong = [t.measure for t in self.tolerances if t.measure not in known]
        if wrong:
            raise ValueError(
                f"key 'measure': {self.kind} ageing has no {', '.join(wrong)}; it has {', '.join(known)}"
            )
        return self
