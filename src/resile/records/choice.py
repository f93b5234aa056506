"""Which binder of a range serves which site, ranked by cost, and what would change that."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Finding
from resile.records.prediction import Standing
from resile.records.product_set import ProductPlan
from resile.records.site import SiteDemand
from resile.records.standing import GradeStanding, PropertyStanding


@dataclass(frozen=True, slots=True)
class SiteNeed:
    """A site and the grade it asks for.

    Attributes
    ----------
    name : str
        Name of the site.
    grade : str
        Grade as the specification writes it; empty where no grade reaches.
    latitude_deg, longitude_deg : float or None
        South and west negative [°].
    amount_t : float
        Binder it takes [t]; 1 where not stated, so that costs are per tonne.
    remark : str
        A sentence shown with it.
    demand : SiteDemand or None
        Where the grade came from; None where it was typed.
    """

    name: str
    grade: str
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    amount_t: float = 1.0
    remark: str = ""
    demand: SiteDemand | None = None


@dataclass(frozen=True, slots=True)
class BinderOffer:
    """One binder for one demanded grade.

    Attributes
    ----------
    binder : str
        Name of the binder.
    price_per_tonne : float or None
        Its price.
    serves : bool
        Whether it may be had and holds with the probability asked for.
    counted_probability : float
        That it serves, under its best label, as the choice counts it; 0 where that is not known.
    probability : float or None
        The same with the uncertainty of measured results too; None where not known.
    under : str
        Label it serves under: the demanded grade, or one that covers it.
    standing : Standing
        Of that label.
    available : bool
        Whether it can be had.
    governs_high, governs_low : PropertyStanding or None
        What is least sure at each end of that label; None where the end has nothing.
    obstacles : tuple of PropertyStanding
        What stands in the way: measured to fail, else not known, else least sure; empty where it serves.
    """

    binder: str
    price_per_tonne: float | None
    serves: bool
    counted_probability: float
    probability: float | None
    under: str
    standing: Standing
    available: bool = True
    governs_high: PropertyStanding | None = None
    governs_low: PropertyStanding | None = None
    obstacles: tuple[PropertyStanding, ...] = ()


@dataclass(frozen=True, slots=True)
class GradeOffers:
    """All binders for one demanded grade.

    Attributes
    ----------
    grade : str
        The grade.
    sites : int
        How many sites ask for it.
    amount_t : float
        What they take [t].
    offers : tuple of BinderOffer
        Those that serve, cheapest first; then the others, most probable first.
    """

    grade: str
    sites: int
    amount_t: float
    offers: tuple[BinderOffer, ...]

    @property
    def serving(self) -> tuple[BinderOffer, ...]:
        """Those that serve, cheapest first."""
        return tuple(offer for offer in self.offers if offer.serves)


@dataclass(frozen=True, slots=True)
class ValuedTest:
    """A test that is not done yet, and what it may be worth.

    Attributes
    ----------
    binder : str
        Name of the binder.
    requirement, quantity : str
        Requirement, and its name from the glossary.
    temperature_c : float or None
        Test temperature [°C].
    limit, bound, unit : float, str, str
        Limit that matters most for the choice, whether a maximum or minimum, and its unit.
    probability : float or None
        That the result meets it; None where nothing is known, and even odds were taken.
    expected_saving : float
        Saving to be expected, in the currency of the range.
    expected_sites : float
        Sites to be expected served that are served by nobody now.
    """

    binder: str
    requirement: str
    quantity: str
    temperature_c: float | None
    limit: float
    bound: str
    unit: str
    probability: float | None
    expected_saving: float
    expected_sites: float


@dataclass(frozen=True, slots=True)
class Supposition:
    """What would become of the choice, were one thing different.

    Attributes
    ----------
    change : str
        The change in words.
    served : int
        Sites served then.
    switched : int
        Sites whose cheapest binder is another one then.
    cost_change : float
        Change of cost of the sites served both now and then, in the currency of the range.
    """

    change: str
    served: int
    switched: int
    cost_change: float


@dataclass(frozen=True, slots=True)
class Choice:
    """Which binder serves which site, ranked by cost, and what would change it.

    Attributes
    ----------
    specification : str
        Identifier of the specification.
    required_probability : float
        Asked for.
    measured_with_uncertainty : bool
        Whether measured results count with their uncertainty, or as they were judged.
    currency : str
        Of all costs.
    sites : tuple of SiteNeed
        In the order given.
    grades : tuple of GradeOffers
        Every grade that is asked for.
    chosen : tuple of str
        Cheapest binder that serves each site; empty where none does.
    labels : tuple of tuple of GradeStanding
        For each binder the labels it carries that no better one of its own covers.
    never_needed : tuple of str
        Binders that are nowhere the cheapest.
    idle_grades : tuple of str
        Labels that the range carries and no site asks for, nor uses to cover what it asks for.
    unserved : tuple of str
        Sites that nobody serves.
    next_tests : tuple of ValuedTest
        Most valuable first.
    plans : tuple of ProductPlan
        The fewest products, and the cheapest choice.
    suppositions : tuple of Supposition
        What if.
    findings : tuple of Finding
        Doubts.
    """

    specification: str
    required_probability: float
    measured_with_uncertainty: bool
    currency: str
    sites: tuple[SiteNeed, ...]
    grades: tuple[GradeOffers, ...]
    chosen: tuple[str, ...]
    labels: tuple[tuple[GradeStanding, ...], ...] = ()
    never_needed: tuple[str, ...] = ()
    idle_grades: tuple[str, ...] = ()
    unserved: tuple[str, ...] = ()
    next_tests: tuple[ValuedTest, ...] = ()
    plans: tuple[ProductPlan, ...] = ()
    suppositions: tuple[Supposition, ...] = ()
    findings: tuple[Finding, ...] = ()
