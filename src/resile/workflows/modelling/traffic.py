"""Binders of a range under a train of load pulses on a site: a relative index, never a depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.compute.rheology.traffic.pulse_train import pulse_duration
from resile.errors import InputError
from resile.readers.range import read_range
from resile.readers.sites.table import read_site_table
from resile.readers.weather_record import read_weather_record
from resile.records.climate import DailyWeather
from resile.records.demand_request import DemandRequest
from resile.records.models.pulse_train import LoadTrain, TrafficComparison
from resile.records.range import BinderRange
from resile.records.reading import HeldFile, SourceFile
from resile.records.site import Site
from resile.version import __version__
from resile.workflows.modelling.binders_under_traffic import compare_binders
from resile.workflows.modelling.hot_hours import MODELS, WITHIN_C, hours_of
from resile.workflows.modelling.pages import write_model_pages
from resile.workflows.modelling.recorded_binders import RecordedBinder
from resile.workflows.sites.demand_request import FREE_FLOW_KMH, site_of
from resile.workflows.sites.site_climate import chosen_station

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

STRESS_KPA = 3.2
"""Higher stress of the test, the one classes are judged at: AASHTO M 332, from memory (high)."""
LOADED_LENGTH_M = 0.25
"""Length over which a wheel is felt [m]: convention of our own, no source; cancels where Jnr is "
"all that is known."""
AXLES_PER_HOUR = 100
"""Where the site states no traffic: convention of our own; it hardly touches a ratio."""
_DESIGN_HOURS = 20 * 365 * 24


@dataclass(frozen=True, slots=True)
class TrafficQuestion:
    """What is asked of binders under traffic; empty ends are filled from the site.

    Attributes
    ----------
    reference : str
        Binder the others are compared with; the first with records, else of the range, where empty.
    stress_kpa : float
        Shear stress of a pulse in the binder, 0.1 to 3.2 [kPa].
    speed_kmh : float or None
        Speed of the wheels; that of the site, else free flow, where None [km/h].
    loaded_length_m : float
        Length over which a wheel is felt [m].
    rest_s : float or None
        Rest from pulse to pulse; evenly spread over the hour where None [s].
    axles_per_hour : int or None
        Pulses in an hour; from the axle loads of the site, else 100, where None.
    within_c : float
        Days count whose air maximum lies within this of the mean hottest week [°C].
    model : str
        Pavement model of the highs: ``ltpp`` or ``shrp``.
    """

    reference: str = ""
    stress_kpa: float = STRESS_KPA
    speed_kmh: float | None = None
    loaded_length_m: float = LOADED_LENGTH_M
    rest_s: float | None = None
    axles_per_hour: int | None = None
    within_c: float = WITHIN_C
    model: str = "ltpp"


@dataclass(frozen=True, slots=True)
class TrafficReport:
    """A comparison of binders under traffic; shows itself in a notebook.

    Attributes
    ----------
    comparison : TrafficComparison
        Indices, load, temperatures, evidence, findings.
    paths : tuple of str
        Files it was made of, as they were named.
    """

    comparison: TrafficComparison
    paths: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Give the comparison for machines."""
        from resile.report.machine.models.traffic import traffic_to_json

        return traffic_to_json(self.comparison)

    def to_terminal(self) -> Any:
        """Give the comparison as a readable sheet."""
        from resile.report.terminal.models.traffic import render_traffic

        return render_traffic(self.comparison)

    def figures(self) -> dict[str, dict[str, Any]]:
        """Give the charts as Vega-Lite specifications by name."""
        from resile.report.figures.models.pulse_recovery import figure_pulse_recovery
        from resile.report.figures.models.traffic import figure_traffic

        drawn = {"traffic": figure_traffic(self.comparison)}
        if any(one.recovery is not None for one in self.comparison.binders):
            drawn["between-axles"] = figure_pulse_recovery(self.comparison)
        return drawn

    def page(self, *, date: str) -> Page:
        """Give the page, dated YYYY-MM-DD, as texts and pictures ready to be set."""
        from resile.report.paper.models.traffic import traffic_page

        return traffic_page(self.comparison, date=date, package_version=__version__)

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the page to .html or .pdf files, or its picture to .svg; give the files written."""
        return write_model_pages(self.page(date=date), self.figures(), targets, sources=self.paths)

    def _repr_html_(self) -> str:
        from html import escape

        from resile.report.terminal.grids import plain_text

        return f"<pre>{escape(plain_text(self.to_terminal()))}</pre>"


def compare_under_traffic(
    sites: str | Path | HeldFile,
    binders: str | Path | HeldFile | None = None,
    *,
    site: str = "",
    question: TrafficQuestion | None = None,
    recorded: Sequence[RecordedBinder] = (),
) -> TrafficReport:
    """Compare the binders of a list, or of creep-recovery records, under the traffic of a site.

    Parameters
    ----------
    sites : str, Path or HeldFile
        Table of sites; the one chosen needs latitude and a daily weather record.
    binders : str, Path or HeldFile, optional
        List of binders with their results: Jnr at one temperature or more.
    site : str
        Name of the site; may be empty where the table holds one.
    question : TrafficQuestion, optional
        Load and reference.
    recorded : sequence of RecordedBinder
        Binders with records (`resile.workflows.modelling.recorded_binders.read_recorded_binders`).

    Returns
    -------
    TrafficReport
        Index of each binder against the reference.

    Raises
    ------
    InputError
        Where a site, weather, binder or number is missing or out of range; says what is needed.
    """
    if binders is None and not recorded:
        raise InputError(
            "binders under traffic: a list of binders (RANGE) or records (--record NAME=FILE) are needed"
        )
    table = read_site_table(sites if isinstance(sites, HeldFile) else Path(sites))
    request = _chosen_site(table.requests, site, str(sites))
    if request.weather is None:
        raise InputError(
            f"{request.name or sites}: a daily weather record is needed (column weather of the "
            "table of sites); "
            "typed means give no hours"
        )
    place = site_of(request)
    weather = chosen_station(read_weather_record(request.weather), request.station, str(request.weather))
    offered = None
    if binders is not None:
        offered = read_range(binders if isinstance(binders, HeldFile) else Path(binders))
    report = traffic_on_site(
        place, weather, offered, question or TrafficQuestion(), also=(table.source,), recorded=recorded
    )
    read = [source.path for source in report.comparison.sources]
    return replace(
        report, paths=(str(sites), *([] if binders is None else [str(binders)]), str(request.weather), *read)
    )


def traffic_on_site(
    site: Site,
    weather: DailyWeather,
    offered: BinderRange | None,
    question: TrafficQuestion,
    *,
    also: Sequence[SourceFile] = (),
    recorded: Sequence[RecordedBinder] = (),
) -> TrafficReport:
    """Compare binders in hand on a site in hand, as `compare_under_traffic` does from files.

    Parameters
    ----------
    site : Site
        Place, depth and traffic.
    weather : DailyWeather
        Its daily record.
    offered : BinderRange or None
        The binders of a list.
    question : TrafficQuestion
        Load and reference.
    also : sequence of SourceFile
        Further files behind it.
    recorded : sequence of RecordedBinder
        Binders with records.

    Returns
    -------
    TrafficReport
        The comparison.

    Raises
    ------
    InputError
        As in `compare_under_traffic`.
    """
    train = load_train(site, question)
    hours = hours_of(site, weather, within_c=question.within_c, model=question.model)
    comparison = compare_binders(offered, hours, train, reference=question.reference, recorded=recorded)
    listed = offered.sources if offered is not None else ()
    behind = (*also, weather.source, *listed, *comparison.sources)
    files = {(one.path, one.sha256): one for one in behind}
    return TrafficReport(replace(comparison, sources=tuple(files.values())))


def load_train(site: Site, question: TrafficQuestion) -> LoadTrain:
    """Give the load of a site, filled from what it states of its traffic.

    Parameters
    ----------
    site : Site
        With or without traffic.
    question : TrafficQuestion
        What was said of the load.

    Returns
    -------
    LoadTrain
        Pulse, rest and count.

    Raises
    ------
    InputError
        Where a number is out of range, or the pulses do not fit into an hour.
    """
    if question.model not in MODELS:
        raise InputError(f"pavement model '{question.model}': needed is {' or '.join(MODELS)}")
    if not 0.1 <= question.stress_kpa <= STRESS_KPA:
        raise InputError(
            f"stress {question.stress_kpa:g} kPa: needed is 0.1 to 3.2 kPa, what the test covers"
        )
    if not 0.0 < question.loaded_length_m <= 5.0:
        raise InputError(f"loaded length {question.loaded_length_m:g} m: needed is above 0 and up to 5 m")
    if not 0.0 <= question.within_c <= 40.0:
        raise InputError(f"reach of hot days {question.within_c:g} °C: needed is 0 to 40 °C")
    traffic = site.traffic
    speed = question.speed_kmh
    if speed is None:
        speed = FREE_FLOW_KMH if traffic is None else traffic.speed_kmh
    if not 1.0 <= speed <= 200.0:
        raise InputError(
            f"{site.name}: speed {speed:g} km/h: needed is 1 to 200 km/h; a standing wheel has no pulse"
        )
    count = question.axles_per_hour
    if count is None:
        count = AXLES_PER_HOUR if traffic is None else max(1, round(traffic.axle_loads / _DESIGN_HOURS))
    if not 1 <= count <= 100_000:
        raise InputError(f"{count} axles in an hour: needed is 1 to 100 000")
    pulse = float(pulse_duration(speed, loaded_length_m=question.loaded_length_m))
    rest = 3600.0 / count - pulse if question.rest_s is None else question.rest_s
    if rest < 0.0 or count * (pulse + rest) > 3600.0 * (1 + 1e-9):
        raise InputError(
            f"{site.name}: {count} axles in an hour, each {pulse:.3g} s long with {max(rest, 0.0):.3g} s of "
            "rest, do not fit into the hour; fewer axles, a higher speed or less rest are needed"
        )
    return LoadTrain(question.stress_kpa, speed, question.loaded_length_m, pulse, rest, count)


def _chosen_site(requests: Sequence[DemandRequest], wanted: str, where: str) -> DemandRequest:
    if not wanted and len(requests) == 1:
        return requests[0]
    found = [one for one in requests if one.name.casefold() == wanted.casefold()]
    if len(found) == 1:
        return found[0]
    names = ", ".join(one.name for one in requests[:12])
    if not wanted:
        raise InputError(f"{where} holds {len(requests)} sites ({names}); name one (--site)")
    raise InputError(f"{where}: {len(found) or 'no'} site is called '{wanted}'; there are {names}")
