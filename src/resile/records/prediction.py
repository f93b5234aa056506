"""What a binder would show at temperatures it was not tested at, and the classes it would carry there."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from resile.records.determination import Condition, Result
from resile.records.finding import Finding
from resile.records.recovery_line import PredictedRecovery, RecoveryLine
from resile.records.slope_prior import BinderKind
from resile.records.specification import Requirement, ServiceClass, Specification
from resile.records.temperature_line import PredictedValue, TemperatureLine
from resile.records.verdict import Verdict


class Basis(StrEnum):
    """What a value at an asked temperature rests on."""

    MEASURED = "measured"
    INTERPOLATED = "interpolated"
    EXTRAPOLATED = "extrapolated"
    PRIOR = "prior slope"
    NONE = "not predicted"


class Standing(StrEnum):
    """What can be said of a class at a temperature."""

    MEASURED_PASS = "measured pass"
    MEASURED_FAIL = "measured fail"
    PREDICTED_PASS = "predicted pass"
    PREDICTED_FAIL = "predicted fail"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class LimitTemperature:
    """Where a property meets the limit of a class: the continuous traffic grade for Jnr3.2.

    Attributes
    ----------
    requirement : Requirement
        The line of the specification.
    service_class : str
        Class whose limit it is; empty where all share it.
    limit : float
        In the requirement's unit.
    temperature_c : float or None
        Temperature [°C]; None where it cannot be stated, see `reason`.
    standard_c : float or None
        Standard uncertainty from the line [°C].
    basis : Basis
        Interpolated, extrapolated or by a prior slope.
    reason : str
        Why there is no temperature.
    """

    requirement: Requirement
    service_class: str
    limit: float
    temperature_c: float | None
    standard_c: float | None
    basis: Basis
    reason: str = ""


@dataclass(frozen=True, slots=True)
class PropertyLine:
    """One property of one residue against temperature.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue tested.
    points : tuple of Result
        One a tested temperature, coldest first.
    line : TemperatureLine, RecoveryLine or None
        None where nothing can be predicted, see `reason`.
    scatter_note : str
        What the scatter of one determination rests on.
    reason : str
        Why there is no line; empty where there is one.
    limits : tuple of LimitTemperature
        Where it meets the limits of the specification.
    """

    quantity: str
    condition: Condition
    points: tuple[Result, ...]
    line: TemperatureLine | RecoveryLine | None
    scatter_note: str = ""
    reason: str = ""
    limits: tuple[LimitTemperature, ...] = ()


@dataclass(frozen=True, slots=True)
class BandPoint:
    """One place of a line with its band, for drawing.

    Attributes
    ----------
    temperature_c : float
        Temperature [°C].
    value : float
        Median of what a test would give.
    low, high : float
        Ends of the two-sided 95 % prediction interval.
    outside : bool
        Outside the tested temperatures.
    """

    temperature_c: float
    value: float
    low: float
    high: float
    outside: bool


@dataclass(frozen=True, slots=True)
class ExpectedValue:
    """One property at one asked temperature.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue.
    temperature_c : float
        Temperature asked for [°C].
    basis : Basis
        A measured value wins over a prediction.
    value : float or None
        Measured value, or the median of what a test would give; None where not predicted.
    low, high : float or None
        Ends of the two-sided 95 % prediction interval; None where measured or not predicted.
    predicted : PredictedValue, PredictedRecovery or None
        What the line says, also where a value was measured.
    result : Result or None
        The measured result.
    reason : str
        Why nothing is predicted.
    """

    quantity: str
    condition: Condition
    temperature_c: float
    basis: Basis
    value: float | None = None
    low: float | None = None
    high: float | None = None
    predicted: PredictedValue | PredictedRecovery | None = None
    result: Result | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class LimitChance:
    """One requirement of a class at one asked temperature.

    Attributes
    ----------
    requirement : Requirement
        The line of the specification.
    limit : float
        Limit of the class.
    expected : ExpectedValue or None
        What is expected or measured; None where the property is neither.
    probability : float or None
        That a test would meet the limit; for a measured value the probability of conformity of its verdict.
    meets : bool or None
        Whether the value meets the limit; None where there is none.
    verdict : Verdict or None
        Of a measured value.
    needed_value : float or None
        Value a binder must be expected to have here to meet the limit with the required probability, with
        the same band; None where measured.
    """

    requirement: Requirement
    limit: float
    expected: ExpectedValue | None
    probability: float | None
    meets: bool | None
    verdict: Verdict | None = None
    needed_value: float | None = None


@dataclass(frozen=True, slots=True)
class ClassChance:
    """One class at one asked temperature.

    Attributes
    ----------
    label : str
        Name of the class, for example ``64H``.
    service_class : ServiceClass
        Class of the specification.
    lines : tuple of LimitChance
        Requirements at the high temperature.
    standing : Standing
        Measured or predicted, pass or fail, or unknown.
    probability : float or None
        That tests would meet every predicted line, taken as independent; for a class that is measured
        throughout the least probability of conformity; None where unknown.
    governing : str
        Name of the requirement with the least probability; empty where there is none.
    untested : tuple of str
        Titles of requirements that are neither measured nor predicted.
    """

    label: str
    service_class: ServiceClass
    lines: tuple[LimitChance, ...]
    standing: Standing
    probability: float | None
    governing: str = ""
    untested: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        """True where it is expected, or was seen, to pass."""
        return self.standing in (Standing.MEASURED_PASS, Standing.PREDICTED_PASS)


@dataclass(frozen=True, slots=True)
class NextTest:
    """The single test that tells most about an asked temperature.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue to test.
    temperature_c : float
        Test temperature [°C].
    reason : str
        One sentence.
    """

    quantity: str
    condition: Condition
    temperature_c: float
    reason: str


@dataclass(frozen=True, slots=True)
class AskedTemperature:
    """All that can be said of a binder at one temperature.

    Attributes
    ----------
    temperature_c : float
        Temperature asked for [°C].
    values : tuple of ExpectedValue
        One a property and residue.
    classes : tuple of ClassChance
        From mild to severe.
    expected_class : ClassChance or None
        Most severe class that is expected, or was seen, to pass.
    sure_class : ClassChance or None
        Most severe class that passes with the required probability, or was measured to pass.
    next_test : NextTest or None
        None where every deciding property was measured here.
    tested_c : float or None
        Tested temperature nearest to it [°C].
    held_class : str or None
        Most severe class that the tests there show; None where they show none.
    answer : str
        The situation in sentences.
    """

    temperature_c: float
    values: tuple[ExpectedValue, ...]
    classes: tuple[ClassChance, ...]
    expected_class: ClassChance | None
    sure_class: ClassChance | None
    next_test: NextTest | None
    tested_c: float | None = None
    held_class: str | None = None
    answer: str = ""


@dataclass(frozen=True, slots=True)
class SamplePrediction:
    """What one sample would show at other temperatures.

    Attributes
    ----------
    sample : str
        Name of the sample.
    specification : Specification
        Gives limits and classes.
    properties : tuple of PropertyLine
        Properties with a result at a known temperature.
    temperatures : tuple of AskedTemperature
        In the order they were asked for.
    required_probability : float
        What counts as sure.
    reach_c : float
        Furthest a line is extended outside the tests [°C].
    temperature_standard_c : float
        Standard uncertainty of a test temperature [°C].
    kind : BinderKind or None
        Whose published slopes stand in where one temperature was tested; None where none was named.
    findings : tuple of Finding
        Doubts; that a prediction is not a test is always among them.
    """

    sample: str
    specification: Specification
    properties: tuple[PropertyLine, ...]
    temperatures: tuple[AskedTemperature, ...]
    required_probability: float
    reach_c: float
    temperature_standard_c: float
    kind: BinderKind | None = None
    findings: tuple[Finding, ...] = ()
