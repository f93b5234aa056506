"""The laboratory's own precision: from duplicates, check materials and rounds to the doubt of one result."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.register.laboratories import CheckMaterial, CheckResult


@dataclass(frozen=True, slots=True, kw_only=True)
class Replicates:
    """Determinations of one sample by one operator on one instrument and day.

    Attributes
    ----------
    values : tuple of float
        Two or more, in the unit of the quantity.
    when : str
        Day.
    sample, operator, instrument : str
        Which, who, with what; empty where not known.
    """

    values: tuple[float, ...]
    when: str = ""
    sample: str = ""
    operator: str = ""
    instrument: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialChecks:
    """A check material and what was found with it.

    Attributes
    ----------
    material : CheckMaterial
        With its reference.
    checks : tuple of CheckResult
        Oldest first.
    """

    material: CheckMaterial
    checks: tuple[CheckResult, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BiasFound:
    """What one check material, or one scheme of rounds, says about the bias.

    Attributes
    ----------
    against : str
        Name of the material or the scheme.
    count : int
        Checks or rounds.
    bias, bias_standard : float
        As a ratio or in the unit, as the own precision is.
    degrees_of_freedom : float or None
        Of `bias_standard`; None where infinite.
    """

    against: str
    count: int
    bias: float
    bias_standard: float
    degrees_of_freedom: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPrecisionFound:
    """The laboratory's own precision of one property, worked out and not yet kept.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue it holds for; unknown for every residue.
    relative : bool
        True where the standard deviations are ratios of the value, False where they are in its unit.
    repeatability, repeatability_freedom : float
        Standard deviation of one operator, instrument and day, and its degrees of freedom.
    repeatability_lower, repeatability_upper : float
        Interval of 95 % for it.
    intermediate, intermediate_freedom : float
        Standard deviation within the laboratory, over days, operators and instruments, and its degrees of
        freedom.
    intermediate_from : str
        In words: what it rests on.
    bias, bias_standard : float
        Found against check materials and rounds; zero where there is none.
    biases : tuple of BiasFound
        Every piece it is made of.
    standard : float
        Standard uncertainty of one result.
    degrees_of_freedom : float or None
        Of `standard`; None where infinite.
    lowest, highest : float or None
        Values for which it was found, in the unit of the quantity.
    duplicates, checks, rounds : int
        What it rests on.
    since, until : str
        First and last day of the data.
    level_slope : float or None
        Rank correlation of the scatter of replicates with their level.
    note : str
        How it was worked out.
    findings : tuple of Finding
        What is worth a look before it is kept.
    """

    quantity: str
    condition: Condition
    relative: bool
    repeatability: float
    repeatability_freedom: float
    repeatability_lower: float
    repeatability_upper: float
    intermediate: float
    intermediate_freedom: float
    intermediate_from: str
    bias: float
    bias_standard: float
    standard: float
    degrees_of_freedom: float | None
    biases: tuple[BiasFound, ...] = ()
    lowest: float | None = None
    highest: float | None = None
    duplicates: int = 0
    checks: int = 0
    rounds: int = 0
    since: str = ""
    until: str = ""
    level_slope: float | None = None
    note: str = ""
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PrecisionComparison:
    """One own standard deviation against a published one.

    Attributes
    ----------
    what : str
        ``repeatability`` or ``intermediate``.
    value : float
        Level at which the published one was looked up, in the unit of the quantity.
    own, published : float
        Standard deviations in the unit of the quantity at that level.
    own_freedom : float
        Degrees of freedom of the own one.
    ratio : float
        Own over published variance.
    lower_critical, upper_critical : float
        Between these the ratio says nothing against the published one.
    judged : str
        ``worse``, ``as-published`` or ``better``.
    sentence : str
        The same in words.
    note : str
        Document and band.
    """

    what: str
    value: float
    own: float
    published: float
    own_freedom: float
    ratio: float
    lower_critical: float
    upper_critical: float
    judged: str
    sentence: str
    note: str
