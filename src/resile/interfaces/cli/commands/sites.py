"""Commands about sites: what climate and traffic ask of a binder."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.layout_options import WEATHER, with_layout_options

CLIMATE = "Climate"
ROAD = "Road"
TRAFFIC = "Traffic"


def _typed(text: str) -> Any:
    return typer.Option(help=text, rich_help_panel=CLIMATE, show_default=False)


def _road(text: str) -> Any:
    return typer.Option(help=text, rich_help_panel=ROAD, show_default=False)


def _traffic(text: str) -> Any:
    return typer.Option(help=text, rich_help_panel=TRAFFIC, show_default=False)


@with_layout_options(WEATHER)
def demand(
    how: dict[str, Any],
    sites: Annotated[
        Path | None,
        typer.Argument(
            help="Table of sites (.csv, .xlsx, .toml), one row a road, in place of the options of one site.",
            show_default=False,
        ),
    ] = None,
    weather: Annotated[
        Path | None, _typed("Daily weather record: date, maximum and minimum of air temperature.")
    ] = None,
    latitude: Annotated[float | None, _typed("Latitude in degrees, south negative.")] = None,
    longitude: Annotated[float | None, _typed("Longitude in degrees, west negative.")] = None,
    station: Annotated[str, _typed("Station, in a file that holds several.")] = "",
    air_high_mean_c: Annotated[
        float | None,
        _typed("Hottest week of a year (mean of daily maxima over 7 days), mean over the years, °C."),
    ] = None,
    air_high_sd_c: Annotated[float | None, _typed("Its standard deviation from year to year, °C.")] = None,
    air_low_mean_c: Annotated[
        float | None, _typed("Lowest daily minimum of a year, mean over the years, °C.")
    ] = None,
    air_low_sd_c: Annotated[float | None, _typed("Its standard deviation from year to year, °C.")] = None,
    n_years: Annotated[int, _typed("Years behind typed means, where known.")] = 0,
    enough_days: Annotated[
        int, typer.Option(min=1, max=366, help="Days a year needs to count.", rich_help_panel=CLIMATE)
    ] = 360,
    temperature_unit: Annotated[
        str, _typed("Unit of the weather record: °C or °F, whatever it prints.")
    ] = "",
    date_order: Annotated[str, _typed("day-first or month-first, for dates such as 03/04/1999.")] = "",
    name: Annotated[str, _road("Name of the site; that of the file where not given.")] = "",
    depth_mm: Annotated[
        float,
        typer.Option(
            help="Top of the layer below the surface, mm; 20 or less is the surface layer.",
            rich_help_panel=ROAD,
        ),
    ] = 0.0,
    layer: Annotated[
        list[str] | None, _road("A layer below, NAME=DEPTH_MM, with a demand of its own; may be repeated.")
    ] = None,
    reliability: Annotated[
        float,
        typer.Option(
            help="Probability that a year stays within the grade, % (50 to below 100).", rich_help_panel=ROAD
        ),
    ] = 98.0,
    high_reliability: Annotated[float | None, _road("Another reliability for the high end, %.")] = None,
    low_reliability: Annotated[float | None, _road("Another reliability for the low end, %.")] = None,
    specification: Annotated[
        str, typer.Option("--specification", "-s", help="Name of a specification, or a file of your own.")
    ] = "m332-2014",
    model: Annotated[
        str, typer.Option(help="Pavement model: ltpp, shrp, latitude-offset, robertson or degree-day.")
    ] = "ltpp",
    low_model: Annotated[str, typer.Option(help="Another model for the low end.", show_default=False)] = "",
    traffic_million_esal: Annotated[
        float | None, _traffic("Equivalent axle loads of the design lane over 20 years, in millions.")
    ] = None,
    speed_kmh: Annotated[
        float | None, _traffic("Usual speed of heavy vehicles, km/h; 0 for standing.")
    ] = None,
    vehicles: Annotated[
        Path | None, _traffic("Counts of vehicles (TOML) in place of axle loads; see the reference.")
    ] = None,
    traffic_rule: Annotated[
        str,
        _traffic("How traffic enters; the rule of the specification where not given; none for not at all."),
    ] = "",
    life_years: Annotated[
        float,
        typer.Option(
            min=1.0, max=100.0, help="Life of the road, for a drift of the climate.", rich_help_panel=ROAD
        ),
    ] = 20.0,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the demand sheet to a .html, .pdf or .xlsx file; may be repeated.",
            show_default=False,
        ),
    ] = None,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder",
            "-f",
            help="For a table of sites: write a demand sheet of each (.html, .pdf) and a table of all here.",
            show_default=False,
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date on the sheet, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Say which grade a site needs: climate, pavement temperature, reliability, traffic; with the reasons."""
    from resile.interfaces.cli.siting import run_demand

    run_demand(
        sites,
        how=how,
        folder=folder,
        pages=page or (),
        date=date,
        as_json=json,
        layers=layer or (),
        request={
            "name": name,
            "latitude_deg": latitude,
            "longitude_deg": longitude,
            "weather": weather,
            "station": station,
            "high_mean_c": air_high_mean_c,
            "high_sd_c": air_high_sd_c,
            "low_mean_c": air_low_mean_c,
            "low_sd_c": air_low_sd_c,
            "n_years": n_years,
            "depth_mm": depth_mm,
            "reliability_percent": reliability,
            "high_reliability_percent": high_reliability,
            "low_reliability_percent": low_reliability,
            "million_axle_loads": traffic_million_esal,
            "speed_kmh": speed_kmh,
            "vehicles": vehicles,
        },
        settings={
            "specification": specification,
            "model": model,
            "low_model": low_model,
            "traffic_rule": traffic_rule,
            "life_years": life_years,
            "enough_days": enough_days,
            "temperature_unit": temperature_unit,
            "date_order": date_order,
        },
    )
