"""Invented results of production for the tests of charts."""

import datetime

import numpy as np

from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.determination import Condition

SOFTENING = WatchedProperty(
    product="plain", quantity="softening_point", unit="°C", condition=Condition.ORIGINAL
)
JNR = WatchedProperty(
    product="polymer",
    quantity="jnr_3.2",
    unit="1/kPa",
    condition=Condition.SHORT_TERM_AGED,
    temperature_c=64.0,
    scale="log",
)
RECOVERY = WatchedProperty(
    product="polymer",
    quantity="percent_recovery_3.2",
    unit="%",
    condition=Condition.SHORT_TERM_AGED,
    temperature_c=64.0,
)
FLASH = WatchedProperty(product="polymer", quantity="flash_point", unit="°C", condition=Condition.ORIGINAL)
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
"""NIST/SEMATECH e-Handbook 6.3.2.2, from memory (high)."""


def days(count: int) -> list[str]:
    first = datetime.date(2026, 4, 1)
    return [(first + datetime.timedelta(days=3 * i)).isoformat() for i in range(count)]


def lots(values: list[float] | np.ndarray, *, name: str = "r", tanks: list[str] | None = None):
    taken = days(len(values))
    return [
        ProductionResult(
            key=f"{name}{i}", lot=f"L{i}", taken=taken[i], value=float(value), tank=tanks[i] if tanks else ""
        )
        for i, value in enumerate(values)
    ]


def replicated(rows: list[list[float]]) -> list[ProductionResult]:
    taken = days(len(rows))
    return [
        ProductionResult(key=f"r{i}.{j}", lot=f"L{i}", taken=taken[i], value=value)
        for i, row in enumerate(rows)
        for j, value in enumerate(row)
    ]


def scatter(count: int, *, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal(count)
