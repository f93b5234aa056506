"""What a control chart promises: how long it runs before it signals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLengthPromise:
    """Average run lengths of a chart with independent normal values and limits that are known.

    Attributes
    ----------
    chart : str
        Kind of chart.
    run_rules : tuple of str
        Rules that are on.
    parameters : mapping of str to float
        Settings by name.
    shifts : tuple of float
        Shifts of the level, in standard deviations of a single value; the first is zero.
    lengths : tuple of float
        Lots, on average, to the first signal, for each shift.
    standard_errors : tuple of float
        Of those lengths; zero where they are exact.
    basis : str
        How they were found.
    """

    chart: str
    run_rules: tuple[str, ...]
    parameters: Mapping[str, float]
    shifts: tuple[float, ...]
    lengths: tuple[float, ...]
    standard_errors: tuple[float, ...]
    basis: str
