"""Daily weather records that lie inside general packages; their code is not imported."""

from importlib.util import find_spec
from pathlib import Path


def file_of(package: str, name: str) -> Path:
    """Give a data file of an installed package.

    A package that is not there fails the test: `python start.py test` installs what the file
    requirements-records.lock pins.
    """
    spec = find_spec(package)
    assert spec is not None, f"{package} is missing: pip install --no-deps -r requirements-records.lock"
    assert spec.submodule_search_locations
    return Path(next(iter(spec.submodule_search_locations))) / name


CHAMPION = file_of("aquacrop", "data/champion_climate.txt")
CHAMPION_WITH_PARTIAL_YEARS = file_of("aquacrop", "data/CP.dat")
SEATTLE = file_of("vega_datasets", "_data/seattle-weather.csv")
CORDOBA = file_of("aquacrop", "data/cordoba_climate.txt")
"""Córdoba, Argentina: south of the equator."""
