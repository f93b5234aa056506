"""A site, what its climate and traffic ask of a binder, and the reasoning in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from resile.records.climate import Climate
from resile.records.finding import Finding
from resile.records.reading import HeldFile


@dataclass(frozen=True, slots=True)
class Traffic:
    """Traffic of the design lane.

    Attributes
    ----------
    axle_loads : float
        Equivalent standard axle loads over the life of the road.
    speed_kmh : float
        Usual speed of heavy vehicles; 0 for standing [km/h].
    speed_assumed : bool
        Whether the speed was not given and free flow is supposed.
    """

    axle_loads: float
    speed_kmh: float
    speed_assumed: bool = False


@dataclass(frozen=True, slots=True)
class VehicleKind:
    """One kind of heavy vehicle.

    Attributes
    ----------
    name : str
        Its name; may be empty.
    share_percent : float
        Share of all vehicles [%].
    axle_factor : float
        Equivalent standard axle loads of one such vehicle.
    """

    name: str
    share_percent: float
    axle_factor: float


@dataclass(frozen=True, slots=True)
class VehicleCounts:
    """Counted traffic of a road, before it becomes axle loads.

    Attributes
    ----------
    vehicles_per_day : float
        Average daily traffic of the first year, both directions [1/d].
    vehicles : tuple of VehicleKind
        Kinds that count.
    growth_percent, years : float
        Yearly growth [%], and length of the period [a].
    direction_share, lane_share : float
        Share of the traffic in the design direction, and of that in the design lane; 0 to 1.
    speed_kmh : float or None
        Usual speed of heavy vehicles [km/h]; None where not known.
    """

    vehicles_per_day: float
    vehicles: tuple[VehicleKind, ...]
    growth_percent: float = 0.0
    years: float = 20.0
    direction_share: float = 0.5
    lane_share: float = 1.0
    speed_kmh: float | None = None


@dataclass(frozen=True, slots=True)
class Site:
    """A road at a place, as it is asked about.

    Attributes
    ----------
    name : str
        Name of the site.
    latitude_deg, longitude_deg : float
        South and west negative [°]; the longitude may be None.
    depth_mm : float
        Depth of the top of the layer below the surface; 0 for a surface layer [mm].
    reliability_percent : float
        Probability asked for that a year does not exceed the design temperature [%].
    high_reliability_percent, low_reliability_percent : float or None
        Another one for one end; None where that end takes the common one [%].
    traffic : Traffic or None
        None where none was given.
    weather : Path or HeldFile or None
        Daily weather record.
    layer : str
        Name of the layer; empty for the surface.
    remark : str
        A sentence shown with it.
    """

    name: str
    latitude_deg: float
    longitude_deg: float | None = None
    depth_mm: float = 0.0
    reliability_percent: float = 98.0
    traffic: Traffic | None = None
    weather: Path | HeldFile | None = None
    layer: str = ""
    remark: str = ""
    high_reliability_percent: float | None = None
    low_reliability_percent: float | None = None

    def reliability_of(self, end: str) -> float:
        """Give the reliability asked for at one end, ``high`` or ``low`` [%]."""
        own = self.high_reliability_percent if end == "high" else self.low_reliability_percent
        return self.reliability_percent if own is None else own

    @property
    def reliability_words(self) -> str:
        """Both reliabilities in words, or the one where they are the same."""
        high, low = self.reliability_of("high"), self.reliability_of("low")
        if high == low:
            return f"{high:.4g} %"
        return f"{high:.4g} % at the high end, {low:.4g} % at the low end"


@dataclass(frozen=True, slots=True)
class StepChance:
    """How probable it is that a grade step is enough in one year.

    Attributes
    ----------
    step_c : float
        Step of the grade [°C].
    probability : float
        By the normal distribution, weather and model together.
    probability_few_years : float or None
        The same with Student's predictive distribution for the years there are; None where values were typed.
    """

    step_c: float
    probability: float
    probability_few_years: float | None = None


@dataclass(frozen=True, slots=True)
class EndDemand:
    """What one end of the grade must cover.

    Attributes
    ----------
    end : str
        ``high`` or ``low``.
    model : str
        Pavement model, by name.
    mean_c, sd_c : float
        Yearly pavement temperature: mean, and deviation of weather and model together [°C].
    quantile : float
        z of the reliability that was used.
    design_c : float
        Pavement temperature to be covered [°C].
    step_c : float or None
        Step of the specification that covers it [°C]; None where none does.
    chances : tuple of StepChance
        Every step near it.
    textbook_step_c : float or None
        Step with the textbook quantile, where the reliability has one and the step differs; else None.
    depth_mm : float
        Depth the temperature is that of; 20 at the high end of a surface layer by convention [mm].
    weather_sd_c : float
        What the weather alone gives of the deviation [°C].
    """

    end: str
    model: str
    mean_c: float
    sd_c: float
    quantile: float
    design_c: float
    step_c: float | None
    chances: tuple[StepChance, ...] = ()
    textbook_step_c: float | None = None
    depth_mm: float = 0.0
    weather_sd_c: float = 0.0


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What would become of the grade, were one thing different.

    Attributes
    ----------
    change : str
        The change in words, for example ``air 1 °C warmer``.
    grade : str
        Grade then; empty where no grade of the specification reaches.
    differs : bool
        Whether it is another one.
    """

    change: str
    grade: str
    differs: bool


@dataclass(frozen=True, slots=True)
class LayerDemand:
    """What a layer below the surface asks for.

    Attributes
    ----------
    layer : str
        Its name.
    depth_mm : float
        Depth of its top [mm].
    high, low : EndDemand
        Both ends there.
    grade : str
        Grade as the specification writes it; empty where none reaches.
    """

    layer: str
    depth_mm: float
    high: EndDemand
    low: EndDemand
    grade: str


@dataclass(frozen=True, slots=True)
class PavementYear:
    """What the road of one year came to by the model.

    Attributes
    ----------
    label : str
        The year.
    high_c, low_c : float or None
        Pavement temperature from the air of that year [°C]; None where the year does not count at that end,
        or the model gives no yearly value.
    """

    label: str
    high_c: float | None
    low_c: float | None


@dataclass(frozen=True, slots=True)
class SiteDemand:
    """What a site asks of a binder under one specification, with the reasons.

    Attributes
    ----------
    site : Site
        As asked.
    climate : Climate
        Extremes of its air temperature.
    specification : str
        Identifier of the specification.
    high, low : EndDemand
        Both ends by the model chosen.
    service_class : str
        Traffic class the specification assigns; empty where it has none or no traffic was given.
    raised_by : int
        Grade steps the high end was raised by for traffic, under a specification without classes.
    grade : str
        Grade as the specification writes it; empty where none reaches.
    others : tuple of EndDemand
        Both ends by the other models, for comparison.
    reasons : tuple of str
        The reasoning in sentences with its numbers, in order.
    sensitivities : tuple of Sensitivity
        What would change the grade.
    findings : tuple of Finding
        Doubts.
    high_steps_c, low_steps_c : tuple of float
        Steps of the specification: all high ones, and the low ones beside the high one chosen [°C].
    layers : tuple of LayerDemand
        Layers below the surface that were asked about.
    traffic_rule : str
        Rule by which traffic entered; empty where none did.
    specification_sha256 : str
        Hash of the specification file.
    grade_high_c, grade_low_c : float or None
        Both temperatures of the grade, the high one raised for traffic where that is the rule [°C].
    pavement_years : tuple of PavementYear
        Every year of the record through the model chosen; empty where values were typed.
    also_covering : tuple of str
        Other grades that cover both ends, of which neither end could be milder.
    """

    site: Site
    climate: Climate
    specification: str
    high: EndDemand
    low: EndDemand
    service_class: str
    raised_by: int
    grade: str
    others: tuple[EndDemand, ...] = ()
    reasons: tuple[str, ...] = ()
    sensitivities: tuple[Sensitivity, ...] = ()
    findings: tuple[Finding, ...] = ()
    high_steps_c: tuple[float, ...] = ()
    low_steps_c: tuple[float, ...] = ()
    layers: tuple[LayerDemand, ...] = ()
    traffic_rule: str = ""
    specification_sha256: str = ""
    grade_high_c: float | None = None
    grade_low_c: float | None = None
    pavement_years: tuple[PavementYear, ...] = ()
    also_covering: tuple[str, ...] = ()
