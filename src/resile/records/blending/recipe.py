"""A recipe that was worked out: shares, what each limit says of it, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass, field

from resile.records.blending.limit import BlendLimit
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """One limit and one recipe.

    Attributes
    ----------
    limit : BlendLimit
        The limit.
    value : float or None
        Expected value, in the unit of the glossary; None where no trial tells.
    lower, upper : float or None
        Interval that holds the value of a batch with 95 % probability.
    probability : float or None
        Probability that a batch keeps this limit; None where no trial tells (never counted as kept).
    margin_standards : float or None
        Distance to the limit, in standard deviations of the prediction: above 0 on the good side.
    extrapolated : bool
        True where the recipe lies outside the trials of this property.
    """

    limit: BlendLimit
    value: float | None = None
    lower: float | None = None
    upper: float | None = None
    probability: float | None = None
    margin_standards: float | None = None
    extrapolated: bool = False


@dataclass(frozen=True, slots=True)
class DoseWindow:
    """How far one component may move, the others keeping their ratio to one another, before a limit gives.

    Attributes
    ----------
    component : str
        Its name.
    lowest_percent, highest_percent : float
        Ends of the window [%].
    ends_by : tuple of str
        What ends it below and above: title of the limit, ``"dosage bound"``, or ``"trials"`` where the blend
        would leave the trials.
    sure_lowest_percent, sure_highest_percent : float or None
        Narrower window in which the whole grade keeps the probability asked for [%]; None where the recipe
        itself does not reach it.
    sure_ends_by : tuple of str
        What ends it: the limit that is then the least sure.
    """

    component: str
    lowest_percent: float
    highest_percent: float
    ends_by: tuple[str, str] = ("", "")
    sure_lowest_percent: float | None = None
    sure_highest_percent: float | None = None
    sure_ends_by: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One component of a batch.

    Attributes
    ----------
    component : str
        Its name.
    mass_kg : float
        Mass to dose, in steps of the plant [kg].
    percent : float
        Share it makes of the batch [%].
    """

    component: str
    mass_kg: float
    percent: float


@dataclass(frozen=True, slots=True)
class Recipe:
    """Shares of the components and what is known of the blend.

    Attributes
    ----------
    name : str
        What it is: ``cheapest as expected``, ``cheapest with probability``, …
    percent : dict of str to float
        Share of each component by mass [%]; they add up to 100.
    lines : tuple of RecipeLine
        Every limit.
    cost_per_tonne : float or None
        Cost of the components; None where a price is missing.
    probability : float or None
        Probability that a batch keeps every limit that trials tell of.
    untested : tuple of str
        Titles of the limits that no trial tells of: they must be tested.
    windows : tuple of DoseWindow
        Dose windows, by component.
    batch : tuple of BatchLine
        The batch sheet, in the order of the components.
    batch_probability : float or None
        Probability of the whole grade for the batch as rounded to the steps of the plant.
    limiting : tuple of str
        Titles of the limits, the one that fails first in front.
    findings : tuple of Finding
        Doubts and cautions.
    """

    name: str
    percent: dict[str, float]
    lines: tuple[RecipeLine, ...] = ()
    cost_per_tonne: float | None = None
    probability: float | None = None
    untested: tuple[str, ...] = ()
    windows: tuple[DoseWindow, ...] = ()
    batch: tuple[BatchLine, ...] = field(default=())
    batch_probability: float | None = None
    limiting: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class NextTrial:
    """A blend that is worth making and testing next.

    Attributes
    ----------
    percent : dict of str to float
        Its shares [%].
    gain : float
        What it is expected to gain: rise of the probability of the best recipe, or saving in cost.
    gain_unit : str
        ``"probability"`` or the currency per tonne.
    tests : tuple of str
        Titles of the tests it needs.
    reason : str
        Why this one, in a sentence.
    gain_error : float
        Standard error of the gain, by the number of outcomes drawn; in the unit of the gain.
    """

    percent: dict[str, float]
    gain: float
    gain_unit: str
    tests: tuple[str, ...] = ()
    reason: str = ""
    gain_error: float = 0.0
