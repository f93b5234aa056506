"""Single test values, and the result that is made of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from resile.records.finding import Finding
from resile.records.reading import SourceFile


class Condition(StrEnum):
    """State of the binder that was tested."""

    ORIGINAL = "original"
    SHORT_TERM_AGED = "short_term_aged"
    LONG_TERM_AGED = "long_term_aged"
    RECOVERED = "recovered"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class BathStorage:
    """How a beam was kept before the test, where that is stated (physical hardening).

    Attributes
    ----------
    binder : str
        Sample and residue without the storage; tests of one binder are compared with one another.
    hours : float
        Time in the bath [h].
    bath_temperature_c : float or None
        Temperature of the bath [°C]; None where not stated.
    """

    binder: str
    hours: float
    bath_temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Determination:
    """One value as the laboratory, or a supplier's certificate, gives it.

    Attributes
    ----------
    sample : str
        Name of the sample.
    condition : Condition
        State of the binder.
    temperature_c : float or None
        Test temperature [°C]; None where the property has none.
    quantity : str
        Name from the glossary.
    value : float or None
        Value in `unit`; None for a word such as a traffic class.
    unit : str
        The unit of the glossary.
    text : str
        The value as printed.
    replicate : str
        What tells this determination from others of the same sample; empty where there is one.
    raw : bool
        True when it was reduced from a raw record; False for a typed or supplied summary.
    source : SourceFile or None
        The file it hangs on.
    place : str
        ``"line 7"`` or ``"sheet MSCR, row 4"``.
    resolution : float or None
        One unit of the last printed digit, in `unit`; None where unknown.
    findings : tuple of Finding
        Doubts that travel with it.
    laboratory : str
        Another laboratory that made it; empty where the laboratory of the report did.
    storage : BathStorage or None
        How the beam was kept before the test, where that differs within a table.
    tested : str
        Day or time of the test; empty where it is not stated.
    """

    sample: str
    condition: Condition
    temperature_c: float | None
    quantity: str
    value: float | None
    unit: str
    text: str = ""
    replicate: str = ""
    raw: bool = False
    source: SourceFile | None = None
    place: str = ""
    resolution: float | None = None
    findings: tuple[Finding, ...] = ()
    laboratory: str = ""
    storage: BathStorage | None = None
    tested: str = ""


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Standard uncertainty of a result and what it rests on.

    Attributes
    ----------
    standard : float
        Standard uncertainty, in the unit of the result.
    basis : str
        ``"repeatability"``, ``"reproducibility"``, ``"replicates"``, ``"budget"``, ``"combined"`` or
        ``"own"``.
    distribution : str
        ``"normal"`` or ``"log-normal"``.
    degrees_of_freedom : float or None
        None where taken as infinite.
    note : str
        Which band, document or budget was used.
    common_standard : float
        The part of `standard` that all results of the laboratory share, in the unit of the result.
    coverage_factor : float
        What makes it an expanded uncertainty: 2, and more with few degrees of freedom.
    """

    standard: float
    basis: str
    distribution: str = "normal"
    degrees_of_freedom: float | None = None
    note: str = ""
    common_standard: float = 0.0
    coverage_factor: float = 2.0

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U, in the unit of the result."""
        return self.coverage_factor * self.standard


@dataclass(frozen=True, slots=True)
class Result:
    """The value of one property of one sample at one temperature.

    Attributes
    ----------
    determinations : tuple of Determination
        All of them, in order, whether or not they count.
    counted : tuple of bool, same length as `determinations`
        Which of them enter the value, by the declared retest rule.
    value : float or None
        Mean of the counted determinations, unrounded.
    spread : float or None
        Standard deviation of the counted determinations; None for a single one.
    repeatability, reproducibility : float or None
        Published standard deviation at this level, in `unit`; None where there is no statement.
    uncertainty : Uncertainty or None
        On the chosen basis; None where it cannot be stated.
    """

    sample: str
    condition: Condition
    temperature_c: float | None
    quantity: str
    unit: str
    value: float | None
    determinations: tuple[Determination, ...] = ()
    counted: tuple[bool, ...] = ()
    spread: float | None = None
    repeatability: float | None = None
    reproducibility: float | None = None
    precision_note: str = ""
    uncertainty: Uncertainty | None = None
    findings: tuple[Finding, ...] = ()
