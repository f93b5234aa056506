"""The invented blends: a planted truth, and the trial blends "made" and "tested" from it.

`true_values` tells what a recipe really gives, so that a test can ask whether a promise was kept.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np

from resile.records.blending.limit import Response
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES

SOFT, HARD, CONCENTRATE = "Quarnsk Soft", "Quarnsk Hard", "Quarnsk Concentrate"
TRIALS: Mapping[str, tuple[float, float, float]] = {
    "V-01": (70, 30, 0),
    "V-02": (40, 60, 0),
    "V-03": (65, 20, 15),
    "V-04": (50, 35, 15),
    "V-05": (35, 50, 15),
    "V-06": (60, 15, 25),
    "V-07": (45, 30, 25),
    "V-08": (30, 45, 25),
    "V-09": (50, 15, 35),
    "V-10": (35, 30, 35),
    "V-11": (20, 45, 35),
    "V-12": (45, 30, 25),
}
"""Shares of the trial blends [%]: soft, hard, concentrate; the last is the seventh made again."""

_BASES = {SOFT: (100.0, 0.0, 0.0), HARD: (0.0, 100.0, 0.0)}


@dataclass(frozen=True, slots=True)
class PlantedProperty:
    """One property of the planted truth, as ``blends.toml`` gives it.

    Attributes
    ----------
    response : Response
        What is tested.
    values : mapping
        Numbers of its form.
    """

    response: Response
    values: Mapping[str, Any]

    def mean(self, percent: Mapping[str, float]) -> float:
        """Give the mean of all batches of a recipe, on the scale of the property."""
        base_part, polymer = _parts(percent)
        if self.values.get("form") == "saturating":
            return self._saturating(base_part, polymer)
        soft, hard = self._scaled("soft"), self._scaled("hard")
        return float(
            soft * (1.0 - base_part)
            + hard * base_part
            + self.values["interaction"] * base_part * (1.0 - base_part)
            + self.values["polymer"] * polymer / (1.0 + polymer / self.values["bend"])
        )

    def unscaled(self, value: float) -> float:
        """Give a number of the scale as a value in the unit of the glossary."""
        return math.exp(value) if self.values["scale"] == "logarithm" else value

    def _scaled(self, key: str) -> float:
        value = float(self.values[key])
        return math.log(value) if self.values["scale"] == "logarithm" else value

    def _saturating(self, base_part: float, polymer: float) -> float:
        given = self.values
        power = polymer ** given["steepness"]
        risen = power / (given["half"] ** given["steepness"] + power)
        return float(given["low"] + given["plateau"] * risen * (1.0 - given["hard_loss"] * base_part))


def _parts(percent: Mapping[str, float]) -> tuple[float, float]:
    """Give the hard base as a share of all base, and the polymer in percent of the blend."""
    polymer = _truth()["polymer_percent"] / 100.0
    soft = percent.get(SOFT, 0.0) + (1.0 - polymer) * percent.get(CONCENTRATE, 0.0)
    hard = percent.get(HARD, 0.0)
    return hard / (soft + hard), polymer * percent.get(CONCENTRATE, 0.0)


@cache
def _truth() -> dict[str, Any]:
    text = (resources.files(__package__) / "blends.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def planted_properties() -> tuple[PlantedProperty, ...]:
    """Give every property of the planted truth.

    Returns
    -------
    tuple of PlantedProperty
        In the order of the file.
    """
    return tuple(
        PlantedProperty(
            Response(values["quantity"], Condition(values["condition"]), values.get("temperature_c")), values
        )
        for values in _truth()["property"]
    )


def true_values(percent: Mapping[str, float]) -> dict[Response, float]:
    """Tell what a recipe of the invented components really gives.

    Parameters
    ----------
    percent : mapping of str to float
        Shares by mass [%]; they add up to 100.

    Returns
    -------
    dict of Response to float
        Mean of all batches (median, where batches scatter in the logarithm), in the unit of the glossary.
    """
    return {p.response: p.unscaled(p.mean(percent)) for p in planted_properties()}


def draw_batches(
    percent: Mapping[str, float], count: int, generator: np.random.Generator
) -> dict[Response, np.ndarray[Any, np.dtype[np.float64]]]:
    """Make batches of one recipe, as the planted truth has them; no test scatter.

    Parameters
    ----------
    percent : mapping of str to float
        Shares by mass [%]; they add up to 100.
    count : int
        Number of batches.
    generator : numpy.random.Generator
        Where the scatter comes from.

    Returns
    -------
    dict of Response to ndarray, shape (count,)
        True value of each batch, in the unit of the glossary; properties scatter on their own.
    """
    drawn = {}
    for planted in planted_properties():
        scaled = planted.mean(percent) + planted.values["batch"] * generator.standard_normal(count)
        drawn[planted.response] = np.exp(scaled) if planted.values["scale"] == "logarithm" else scaled
    return drawn


def blend_files(invented: str) -> dict[str, bytes]:
    """Give the tables of the invented blend book.

    Parameters
    ----------
    invented : str
        Words that say so.

    Returns
    -------
    dict of str to bytes
        Separated text by the path below the demonstration; the same bytes each time.
    """
    return {
        "blends/shares.csv": _shares(invented),
        "blends/results.csv": _results(invented),
    }


def _shares(invented: str) -> bytes:
    lines = [f"# {invented}: nothing was blended", f"blend,{SOFT} [%],{HARD} [%],{CONCENTRATE} [%]"]
    lines += [f"{name},{soft:g},{hard:g},{rest:g}" for name, (soft, hard, rest) in TRIALS.items()]
    return ("\n".join(lines) + "\n").encode()


def _results(invented: str) -> bytes:
    generator = np.random.default_rng(_truth()["seed"])
    lines = ["sample,condition,temperature_c,quantity,value,unit,note"]
    for name, shares in {**_BASES, **TRIALS}.items():
        percent = dict(zip((SOFT, HARD, CONCENTRATE), shares, strict=True))
        for planted in planted_properties():
            batch, test = generator.standard_normal(
                2
            )  # drawn for all, so that a line left out moves no other
            value = planted.mean(percent) + planted.values["batch"] * batch + planted.values["test"] * test
            if planted.values.get("with_polymer_only") and not percent[CONCENTRATE]:
                continue
            lines.append(_line(name, planted, planted.unscaled(value), invented))
    return ("\n".join(lines) + "\n").encode()


def _line(name: str, planted: PlantedProperty, value: float, invented: str) -> str:
    response, values = planted.response, planted.values
    step = values.get("step", 0)
    printed = step * round(value / step) if step else value
    at = "" if response.temperature_c is None else f"{response.temperature_c:g}"
    unit = QUANTITIES[response.quantity].unit
    return ",".join(
        (
            name,
            response.condition.value,
            at,
            response.quantity,
            f"{printed:.{values['decimals']}f}",
            unit,
            invented,
        )
    )
