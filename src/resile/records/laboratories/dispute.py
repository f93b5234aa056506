"""Two laboratories, one material, one limit: the rule agreed first, and what follows from the results."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class DisputeRule:
    """What both sides agreed before the results were on the table.

    Attributes
    ----------
    name : str
        Name of the rule.
    text : str
        The rule in words.
    source : str
        Document it follows.
    confidence : float
        One-sided confidence with which a failure, or a conformity, counts as shown.
    settle : str
        What settles a value once the referee has tested: ``agreeing-mean`` for the mean of all that agree
        with the referee, ``referee`` for the referee's own.
    in_between : str
        What happens to the material where neither failure nor conformity is shown: ``accepted``, ``refused``
        or ``limit`` (the value counts as it stands).
    agreed_on : str
        Day of the agreement; empty where it is not stated.
    agreed_by : tuple of str
        Who agreed.
    referee : str
        Laboratory that is asked when the two do not agree.
    title, checked : str
        What the file of the rule is called, and who compared it with its source; empty where nobody did.
    """

    name: str
    text: str
    source: str
    confidence: float = 0.95
    settle: str = "agreeing-mean"
    in_between: str = "accepted"
    agreed_on: str = ""
    agreed_by: tuple[str, ...] = ()
    referee: str = ""
    title: str = ""
    checked: str = ""

    @property
    def identifier(self) -> str:
        """Name of the rule."""
        return self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class DisputeParty:
    """One laboratory with all its determinations.

    Attributes
    ----------
    name : str
        Of the laboratory.
    role : str
        For whom: ``supplier``, ``receiver`` or ``referee``.
    values : tuple of float
        All determinations, in the unit of the quantity; none is left out.
    tested : str
        Day.
    """

    name: str
    role: str
    values: tuple[float, ...]
    tested: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dispute:
    """What is in dispute.

    Attributes
    ----------
    sample : str
        The material.
    quantity, unit : str
        Name from the glossary, and the unit.
    condition : Condition
        Residue.
    temperature_c : float or None
        Test temperature [°C].
    limit : float
        Limit of the specification.
    limit_is : str
        ``at_most`` or ``at_least``.
    clause : str
        Document and clause of the limit.
    rule : DisputeRule
        Agreed first.
    first, second : DisputeParty
        Supplier and receiver.
    third : DisputeParty or None
        The referee, once it has tested.
    repeatability_limit, reproducibility_limit : float or None
        r and R that were agreed; None for the published ones at the mean of both laboratories.
    invented : bool
        True for a demonstration.
    """

    sample: str
    quantity: str
    unit: str
    condition: Condition
    temperature_c: float | None
    limit: float
    limit_is: str
    rule: DisputeRule
    first: DisputeParty
    second: DisputeParty
    third: DisputeParty | None = None
    clause: str = ""
    repeatability_limit: float | None = None
    reproducibility_limit: float | None = None
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DisputeZone:
    """A stretch of values with one answer.

    Attributes
    ----------
    lowest, highest : float or None
        Ends, in the unit of the quantity; None where it has none.
    answer : str
        ``conforms-shown``, ``not-shown`` or ``failure-shown``.
    """

    lowest: float | None
    highest: float | None
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RefereeOutcome:
    """What a result of the referee between two ends would settle.

    Attributes
    ----------
    lowest, highest : float or None
        Ends of the referee's result, in the unit of the quantity; None where there is none.
    agrees_with : tuple of str
        Laboratories whose mean it lies within the limit of.
    settled_by : str
        In words: which results the settled value is the mean of.
    answer : str
        ``conforms-shown``, ``not-shown``, ``failure-shown`` or ``open``.
    consequence : str
        ``accepted``, ``refused`` or ``open``.
    """

    lowest: float | None
    highest: float | None
    agrees_with: tuple[str, ...]
    settled_by: str
    answer: str
    consequence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DisputeFound:
    """The dispute worked out: the question of statistics and the question of quality, apart.

    Attributes
    ----------
    dispute : Dispute
        What it rests on.
    repeatability_limit, reproducibility_limit : float
        r and R used.
    precision_note : str
        Where they come from.
    first_mean, second_mean : float
        Means of all determinations of each laboratory.
    first_range_limit, second_range_limit : float or None
        Range that its determinations may have; None for a single one.
    first_within, second_within : bool or None
        Whether its determinations keep to it.
    difference, critical_difference : float
        Of the two means, and how much they may differ.
    agree : bool
        Whether the two laboratories agree: the question of statistics.
    settled : float or None
        Value that the question of quality is put to; None where the laboratories do not agree and no
        referee has tested.
    settled_by : str
        In words: which results it is the mean of.
    proof : float
        How far beyond the limit that value must lie before a failure is shown.
    zones : tuple of DisputeZone
        Answers over the values of the mean of two laboratories.
    answer : str
        Answer to the question of quality; ``open`` where there is no settled value.
    consequence : str
        What the rule makes of it: ``accepted``, ``refused`` or ``open``.
    outcomes : tuple of RefereeOutcome
        What each possible result of the referee would settle, lowest first.
    findings : tuple of Finding
        What is worth a look.
    """

    dispute: Dispute
    repeatability_limit: float
    reproducibility_limit: float
    precision_note: str
    first_mean: float
    second_mean: float
    first_range_limit: float | None
    second_range_limit: float | None
    first_within: bool | None
    second_within: bool | None
    difference: float
    critical_difference: float
    agree: bool
    settled: float | None
    settled_by: str
    proof: float
    zones: tuple[DisputeZone, ...]
    answer: str
    consequence: str
    outcomes: tuple[RefereeOutcome, ...] = ()
    findings: tuple[Finding, ...] = ()
