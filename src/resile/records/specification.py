"""What a binder must satisfy: requirements, classes, precision statements, decision and retest rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True)
class Requirement:
    """One line of a specification.

    Attributes
    ----------
    name : str
        Stable name within the specification, for example ``jnr_3.2_maximum``.
    title : str
        Words for a person.
    clause : str
        Table, row and footnote.
    condition : Condition
        Residue it is tested on.
    quantity : str
        Name from the glossary.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    unit : str
        Unit of the limits.
    limits : mapping of str to float
        Limit by traffic class; the key ``"*"`` holds for every class. A class without an entry has no
        such requirement.
    absolute : bool
        Compare the absolute value (mass change).
    temperature : str or float or None
        ``"high"`` (the climatic high temperature of the class), ``"low + 10"``, ``"intermediate"``
        (``(high + low)/2 + 4``), a fixed temperature [°C], or None.
    decides_class : bool
        True where a class cannot be stated without it.
    waived_when : mapping
        Empty; or ``{"quantity": ..., "below": ...}`` (or ``"at_least"``): waived where another result of the
        same temperature lies there; with ``"own_up_to"`` only where the property itself misses its limit but
        not that number; or ``{"service_classes": [...]}``: waived for these classes.
    evidence : str
        Evidence mark of the row: ``read``, ``second-hand``, ``recalled``, ``own``.
    note : str
        Footnote in words.
    also_accepts : tuple of Condition
        Residues judged in its place where `condition` itself was not tested; the statement then carries
        a caution.
    decimals : int or None
        Decimals the value is rounded to before comparison; used only where the specification rounds.
    ageing_h : float or None
        Hours of pressure ageing that the limit belongs to [h]; None where the line does not say.
    """

    name: str
    title: str
    clause: str
    condition: Condition
    quantity: str
    bound: str
    unit: str
    limits: Mapping[str, float]
    absolute: bool = False
    temperature: str | float | None = None
    decides_class: bool = False
    waived_when: Mapping[str, object] = field(default_factory=dict)
    evidence: str = ""
    note: str = ""
    also_accepts: tuple[Condition, ...] = ()
    decimals: int | None = None
    ageing_h: float | None = None


@dataclass(frozen=True, slots=True)
class ServiceClass:
    """One class of the specification, for example a traffic letter.

    Attributes
    ----------
    name : str
        Letter or word as used in a label.
    title : str
        Words for a person.
    rank : int
        Higher is more severe.
    """

    name: str
    title: str
    rank: int


@dataclass(frozen=True, slots=True)
class Specification:
    """A rule set, as read from one TOML file.

    Attributes
    ----------
    identifier : str
        Name on the command line, for example ``m332-2014``.
    title, document, edition : str
        What it transcribes.
    label : str
        How a satisfied class is named: a template with ``{temperature}`` and ``{service_class}``.
    high_temperatures_c : tuple of float
        Steps of the climatic high temperature [°C].
    classes : tuple of ServiceClass
        From mild to severe.
    requirements : tuple of Requirement
        In the order of the document.
    rounding : str
        Rounding before comparison: ``"none"``, ``"half-even"`` or ``"half-up"``, to each requirement's
        `decimals`.
    transcribed, checked : str
        Who or what, and when; empty `checked` means unchecked, and every report says so.
    sha256 : str
        Hash of the file, so that a verdict names exactly what it was judged by.
    notes : tuple of str
        Editions, waivers and cautions in words.
    temperature_tolerance_c : float
        A test temperature within this of a grade step is taken as that step [°C].
    low_temperatures_c : mapping of float to tuple of float
        Low grade steps that exist for each high grade step, warmest first [°C]; empty where the document
        grades the high temperature alone.
    full_label : str
        How a whole grade is named: a template with ``{temperature}``, ``{service_class}`` and ``{low}``.
    ageing_tolerance_h : float
        Hours of pressure ageing within this of a requirement's `ageing_h` are those hours [h].
    long_term_ageing_temperatures_c : mapping of float to tuple of float
        Temperature of pressure ageing by high grade step [°C]; a second number is an alternative (desert
        climate). Empty where the document does not say.
    """

    identifier: str
    title: str
    document: str
    edition: str
    label: str
    high_temperatures_c: tuple[float, ...]
    classes: tuple[ServiceClass, ...]
    requirements: tuple[Requirement, ...]
    rounding: str = "none"
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""
    notes: tuple[str, ...] = ()
    temperature_tolerance_c: float = 0.1
    ageing_tolerance_h: float = 0.5
    low_temperatures_c: Mapping[float, tuple[float, ...]] = field(default_factory=dict)
    full_label: str = ""
    long_term_ageing_temperatures_c: Mapping[float, tuple[float, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PrecisionBand:
    """One row of a precision statement.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    above, up_to : float or None
        The band holds for ``above <= value <= up_to`` (above exclusive where `above_exclusive`).
    single_operator_percent, multilaboratory_percent : float or None
        Coefficients of variation (1s %) [%].
    single_operator_limit_percent, multilaboratory_limit_percent : float or None
        Difference of two results as printed (d2s %), in % of their mean [%].
    single_operator_sd, multilaboratory_sd : float or None
        Absolute standard deviations (1s), where the statement gives those, in the unit of the quantity.
    condition : Condition or None
        Residue the row holds for; None where the statement does not tell residues apart.
    """

    quantity: str
    above: float | None
    up_to: float | None
    above_exclusive: bool
    single_operator_percent: float | None
    multilaboratory_percent: float | None
    title: str = ""
    single_operator_limit_percent: float | None = None
    multilaboratory_limit_percent: float | None = None
    single_operator_sd: float | None = None
    multilaboratory_sd: float | None = None
    condition: Condition | None = None


@dataclass(frozen=True, slots=True)
class PrecisionStatement:
    """A dated, editable precision statement of a test method."""

    identifier: str
    document: str
    date: str
    bands: tuple[PrecisionBand, ...]
    evidence: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DecisionRule:
    """How an uncertainty enters the verdict; chosen before the test and printed on it.

    Attributes
    ----------
    name : str
        ``"simple"``, ``"guard-band"`` or ``"four-state"``.
    guard_factor : float
        Guard band in multiples of the standard uncertainty (0 for simple acceptance).
    basis : str
        Uncertainty basis asked for: ``"repeatability"``, ``"reproducibility"``, ``"replicates"`` or
        ``"budget"``.
    text : str
        The rule in words, with its risk.
    source : str
        Document it follows.
    states : int
        2 for pass or fail, 4 for the conditional outcomes as well.
    conditional_pass_counts : bool
        True where a class may be stated on a conditional pass.
    """

    name: str
    guard_factor: float
    basis: str
    text: str
    source: str
    states: int = 2
    conditional_pass_counts: bool = False


@dataclass(frozen=True, slots=True)
class RetestRule:
    """Which determinations count, declared before testing.

    Attributes
    ----------
    name : str
        ``"mean-of-all"``, ``"first"``, ``"first-two-then-third"``.
    text : str
        The rule in words.
    first : int
        How many determinations count, in the order they were made; 0 for all of them.
    further : int
        How many more must be made where the first ones differ by more than the repeatability limit.
    settle : str
        What counts then: ``"mean"`` (all of them), ``"median"`` (the middle one) or ``"closest-two"``.
    source : str
        Document it follows.
    """

    name: str
    text: str
    first: int = 0
    further: int = 0
    settle: str = "mean"
    source: str = ""
