"""A blend book: components, trial blends, and what the blend has to satisfy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from resile.errors import InputError
from resile.records.blending.limit import BlendLimit
from resile.records.demand_request import DemandRequest
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True)
class Component:
    """One thing that goes into a blend.

    Attributes
    ----------
    name : str
        As the plant calls it.
    kind : str
        ``base``, ``polymer_concentrate``, ``polymer``, ``acid``, ``wax``, ``cross_linker``, ``reclaimed``,
        ``rejuvenator`` or ``other``; decides the cautions that are shown.
    price_per_tonne : float or None
        In the currency of the book; None where not stated.
    stock_t : float or None
        Tonnes at hand [t]; None where not stated.
    lowest_percent, highest_percent : float
        Bounds of its share by mass [%].
    polymer_percent : float
        Polymer in it, by mass [%]: 100 for the polymer itself.
    polymer : str
        Which polymer that is, for example ``SBS``; empty where not stated, and then taken as SBS.
    banned : bool
        True where the contract or local rules forbid it.
    increment_kg : float or None
        Smallest step in which the plant can dose it [kg]; None for the step of the tank.
    highest_handling_c : float or None
        Above this it must not be heated [°C].
    remark : str
        A sentence shown with it.
    determinations : tuple of Determination
        Results on the component itself: a trial blend of 100 % of it.
    """

    name: str
    kind: str = "base"
    price_per_tonne: float | None = None
    stock_t: float | None = None
    lowest_percent: float = 0.0
    highest_percent: float = 100.0
    polymer_percent: float = 0.0
    polymer: str = ""
    banned: bool = False
    increment_kg: float | None = None
    highest_handling_c: float | None = None
    remark: str = ""
    determinations: tuple[Determination, ...] = ()

    def __post_init__(self) -> None:
        if not 0.0 <= self.lowest_percent <= self.highest_percent <= 100.0:
            raise InputError(
                f"component {self.name}: share from {self.lowest_percent:g} to {self.highest_percent:g} % "
                "found; needed is 0 <= lowest <= highest <= 100"
            )


@dataclass(frozen=True, slots=True)
class TrialBlend:
    """A blend that was made and tested.

    Attributes
    ----------
    name : str
        Name or number of the blend.
    percent : mapping of str to float
        Share of each component by mass [%]; components left out are 0.
    determinations : tuple of Determination
        Its results.
    storage_h, storage_c : float or None
        Hot storage between blending and test: time [h] and temperature [°C]; None where not stated.
    """

    name: str
    percent: Mapping[str, float]
    determinations: tuple[Determination, ...] = ()
    storage_h: float | None = None
    storage_c: float | None = None


@dataclass(frozen=True, slots=True)
class BlendAim:
    """What the blend is for, and what is wanted of the recipe.

    Attributes
    ----------
    specification : str
        Identifier of the specification.
    grade : str
        Whole grade, as the specification writes it; empty where only `limits` hold.
    site : str
        Name of the road the grade was worked out for; empty where none.
    limits : tuple of BlendLimit
        Further limits of one's own: viscosity ceiling, storage stability, flash margin.
    objective : str
        ``cost``, ``margin``, ``fewest components`` or ``smallest change``.
    probability : float
        Probability asked for that the whole grade is met.
    most_components : int or None
        At most so many components.
    reclaimed_at_least_percent, reclaimed_at_most_percent : float or None
        Bounds of the share of reclaimed binder [%].
    today_percent : mapping of str to float
        Recipe of today [%]; empty where there is none.
    tank_kg : float
        Mass of a batch [kg].
    increment_kg : float
        Step of the plant's scales [kg].
    storage_h, storage_c : float or None
        Hot storage expected before use: time [h] and temperature [°C].
    demand : DemandRequest or None
        The site whose grade is to be worked out; None where the grade is stated.
    beyond_trials : bool
        Allow recipes outside the trials; each such limit is then told as extrapolated.
    acceptance_test : bool
        Count the scatter of one acceptance test against the probability too; without repeats of one batch the
        scatter of batches holds it already.
    dosing_standard_kg : float or None
        Standard uncertainty of one weighing [kg]; a step of the scales either way, evenly, where not stated.
    """

    specification: str = ""
    grade: str = ""
    site: str = ""
    limits: tuple[BlendLimit, ...] = ()
    objective: str = "cost"
    probability: float = 0.95
    most_components: int | None = None
    reclaimed_at_least_percent: float | None = None
    reclaimed_at_most_percent: float | None = None
    today_percent: Mapping[str, float] = field(default_factory=dict)
    tank_kg: float = 20000.0
    increment_kg: float = 10.0
    storage_h: float | None = None
    storage_c: float | None = None
    demand: DemandRequest | None = None
    beyond_trials: bool = False
    acceptance_test: bool = False
    dosing_standard_kg: float | None = None


@dataclass(frozen=True, slots=True)
class BlendBook:
    """Everything a recipe is worked out from.

    Attributes
    ----------
    title : str
        Name of the book.
    currency : str
        Currency of its prices, as written.
    components : tuple of Component
        In the order of the file; names differ.
    trials : tuple of TrialBlend
        In the order of the file; names differ.
    aim : BlendAim
        What is wanted.
    rules : mapping of str to str
        Mixing rule by quantity, where the book names one.
    sources : tuple of SourceFile
        The book itself and every table it names.
    remarks : tuple of str
        How it was read.
    findings : tuple of Finding
        What could not be used.
    invented : bool
        Whether components and results are made up; said on every page.
    """

    title: str
    currency: str
    components: tuple[Component, ...]
    trials: tuple[TrialBlend, ...]
    aim: BlendAim
    rules: Mapping[str, str] = field(default_factory=dict)
    sources: tuple[SourceFile, ...] = ()
    remarks: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    invented: bool = False
