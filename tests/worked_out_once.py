"""What is long to work out and always the same: the invented day, and weather records read.

A decade of daily weather takes a quarter of a second to read, the files of the invented day a second to make,
and the tests ask for the same ones hundreds of times. Both hang on nothing but what they are given, so a
process keeps its answers. That the day is the same each time, and how weather is read, is proved where both
are always asked anew.
"""

import functools
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import resile.readers.weather_record as weather
import resile.workflows.demonstration as demonstration
from resile.readers.source_file import read_source
from resile.records.climate import DailyWeather
from resile.records.reading import HeldFile

HERE = Path(__file__).parent
ALWAYS_ASKED = (HERE / "readers", HERE / "workflows" / "test_demonstration.py")
_asked_anew = False


def day_kept(write: Callable[[Path], list[Path]]) -> Callable[[Path], list[Path]]:
    """Copy the invented day, once it is written."""
    held: list[Path] = []

    @functools.wraps(write)
    def asked(folder: Path) -> list[Path]:
        if _asked_anew or (folder.exists() and not folder.is_dir()):
            return write(folder)
        if not held:
            held.append(Path(tempfile.mkdtemp(prefix="resile-day-")))
            write(held[0])
        names = sorted(path.relative_to(held[0]) for path in held[0].rglob("*") if path.is_file())
        shutil.copytree(held[0], folder, dirs_exist_ok=True, copy_function=shutil.copyfile)
        return [folder / name for name in names]

    asked.held = held  # type: ignore[attr-defined]
    return asked


def weather_kept(read: Callable[..., tuple[DailyWeather, ...]]) -> Callable[..., tuple[DailyWeather, ...]]:
    """Remember what was read from the same bytes in the same way; a refusal is not remembered."""
    held: dict[str, tuple[DailyWeather, ...]] = {}

    @functools.wraps(read)
    def asked(path: Path | HeldFile, **how: Any) -> tuple[DailyWeather, ...]:
        if _asked_anew:
            return read(path, **how)
        _, source = read_source(path, "daily weather record (.csv, .txt, .xlsx)", weather.MAX_BYTES)
        name = repr((source.sha256, Path(source.path).name, sorted(how.items())))
        if name not in held:
            held[name] = read(path, **how)
            for station in held[name]:
                for days in (station.days, station.maximum_c, station.minimum_c):
                    days.flags.writeable = False
        return tuple(replace(station, source=source) for station in held[name])

    return asked


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Ask anew where the answers themselves are tested."""
    global _asked_anew
    _asked_anew = any(place == item.path or place in item.path.parents for place in ALWAYS_ASKED)


def pytest_configure(config: pytest.Config) -> None:
    """Remember before any other module takes the names, unless the nightly proofs are run."""
    if "nightly" not in (config.getoption("-m") or ""):
        weather.read_weather_record = weather_kept(weather.read_weather_record)
        demonstration.write_demonstration = day_kept(demonstration.write_demonstration)


@pytest.fixture(scope="session", autouse=True)
def kept_day_removed() -> Iterator[None]:
    """Leave no folder behind."""
    yield
    for folder in getattr(demonstration.write_demonstration, "held", ()):
        shutil.rmtree(folder, ignore_errors=True)
