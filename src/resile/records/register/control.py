"""What is watched: properties of products on charts, loads delivered, and how often is sampled."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class ExcludedResult:
    """A result left out of the set-up of a chart, with the reason; it stays in the record and on the page.

    Attributes
    ----------
    result : str
        Key of the result.
    reason : str
        The cause that was found. A result is never left out for being far away alone.
    by, at : str
        Key of the person who left it out, and when.
    """

    result: str
    reason: str
    by: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalAnswer:
    """What was found when the signals of a chart were looked into.

    Attributes
    ----------
    lot : str
        Lot up to which they were looked into.
    found : str
        The cause, or that none was found.
    by, at : str
        Key of the person who looked, and when.
    """

    lot: str
    found: str
    by: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlWatch:
    """How one property of one product is watched.

    Attributes
    ----------
    product : str
        Key of the product.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue that is tested.
    temperature_c : float or None
        Test temperature [°C]; None where the property has none.
    chart : str
        ``individuals``, ``mean-and-range``, ``mean-and-deviation``, ``weighted-average`` or
        ``cumulative-sum``.
    scale : str
        ``log`` where the logarithm is watched (Jnr), ``linear`` otherwise.
    run_rules : tuple of str
        Names of the run rules that are on.
    baseline_since, baseline_until : str
        Days of the results from which the chart is set up, both included; empty while it is being set up.
    target : float or None
        What is aimed at, in the unit of the quantity; None for the mean of the set-up.
    limit : float or None
        Limit of the specification, in the unit of the quantity; None where none is watched.
    limit_is : str
        ``at_most`` or ``at_least``; empty without a limit.
    excluded : tuple of ExcludedResult
        Results left out of the set-up, with their reasons.
    answers : tuple of SignalAnswer
        What was found when signals were looked into, the first one first.
    ended : str
        Day on which watching ended; empty while it goes on.
    note : str
        What else is to be known.
    invented : bool
        True for a chart of the demonstration.
    """

    product: str
    quantity: str
    condition: Condition = Condition.SHORT_TERM_AGED
    temperature_c: float | None = None
    chart: str = "individuals"
    scale: str = "linear"
    run_rules: tuple[str, ...] = ()
    baseline_since: str = ""
    baseline_until: str = ""
    target: float | None = None
    limit: float | None = None
    limit_is: str = ""
    excluded: tuple[ExcludedResult, ...] = ()
    answers: tuple[SignalAnswer, ...] = ()
    ended: str = ""
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingInForce:
    """That a product is sampled by a plan.

    Attributes
    ----------
    product : str
        Key of the product.
    plan : str
        Name of the plan.
    since : str
        Day from which it holds.
    severity : str
        Severity it began with: ``tightened``, ``normal`` or ``relaxed``.
    consented : tuple of str
        Lots after which somebody agreed to a milder severity.
    ended : str
        Day on which it ended; empty while it is in force.
    note : str
        What else is to be known.
    """

    product: str
    plan: str
    since: str
    severity: str = "normal"
    consented: tuple[str, ...] = ()
    ended: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """A load of binder that left, or came in.

    Attributes
    ----------
    number : str
        Number of the load paper.
    product, tank, customer : str
        Keys of the product, the tank it was loaded from and who got it.
    lot : str
        Lot or batch it was loaded from.
    sent : str
        Day or time of loading.
    quantity_t : float or None
        Mass [t].
    grade : str
        Grade on the load paper.
    certificate : str
        Number of the certificate that went with it.
    plant : str
        Where it was unloaded.
    note : str
        What else is to be known: last load of the truck, seal.
    invented : bool
        True for a load of the demonstration.
    """

    number: str
    product: str = ""
    tank: str = ""
    customer: str = ""
    lot: str = ""
    sent: str = ""
    quantity_t: float | None = None
    grade: str = ""
    certificate: str = ""
    plant: str = ""
    note: str = ""
    invented: bool = False
