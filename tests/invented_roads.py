"""The invented roads and binders of the demonstration, as files in hand."""

from functools import cache
from importlib import resources

from resile.records.reading import HeldFile
from resile.workflows.demonstration import INVENTED
from resile.workflows.demonstration.roads import weather_files

_ROADS = resources.files("resile.workflows.demonstration") / "day" / "roads"


@cache
def weather() -> dict[str, HeldFile]:
    """Daily weather records by the name of their station."""
    files = weather_files(INVENTED)
    names = {path: path.rsplit("/", 1)[-1] for path in files}
    return {name.removesuffix(".csv"): HeldFile(name, files[path]) for path, name in names.items()}


def table_of_sites() -> HeldFile:
    """Twenty roads, with the weather files the table names."""
    return HeldFile("sites.csv", (_ROADS / "sites.csv").read_bytes(), tuple(weather().values()))


def table_of_binders() -> HeldFile:
    """Eight binders, with the file of their results."""
    results = HeldFile("results.csv", (_ROADS / "results.csv").read_bytes())
    return HeldFile("range.csv", (_ROADS / "range.csv").read_bytes(), (results,))
