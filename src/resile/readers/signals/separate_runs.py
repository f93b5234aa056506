"""Which rows belong to one specimen's run: by the column that says so, by temperature, by starting over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.readers.grids.grid import Column
from resile.readers.signals.running_time import find_restarts

TEMPERATURE_GAP_C = 2.5
"""Two test temperatures are at least this far apart. Common practice, no source: grades step by 6 °C."""
_FEWEST_ROWS = 20
_LOADED_KPA = 0.02
_FALLS_TO = 0.5


@dataclass(frozen=True, slots=True)
class Part:
    """Rows that belong together.

    Attributes
    ----------
    rows : ndarray of int
        Row indices in file order.
    label : str
        What tells them from the others; empty where there is one part.
    """

    rows: NDArray[np.int64]
    label: str = ""


def _number_or_text(column: Column, row: int) -> str:
    return column.texts[row] if column.texts else f"{column.values[row]:g}"


def split_by_column(part: Part, column: Column, name: str) -> list[Part]:
    """Split rows by what a column says of them.

    Parameters
    ----------
    part : Part
        Rows to split.
    column : Column
        The column, for example the replicate.
    name : str
        Word put before each value in the label.

    Returns
    -------
    list of Part
        In order of first appearance. An empty cell belongs with the cell above it.
    """
    if not column.texts:
        values = column.values[part.rows]
        if len(values) == 0 or bool((values == values[0]).all()):
            return [part]
    said: list[str] = []
    for row in part.rows:
        text = _number_or_text(column, int(row))
        said.append(text if text or not said else said[-1])
    order = list(dict.fromkeys(said))
    if len(order) < 2:
        return [part]
    keys = np.array([order.index(text) for text in said])
    return [
        Part(part.rows[keys == place], " ".join(t for t in (part.label, f"{name} {text}") if t))
        for place, text in enumerate(order)
    ]


def split_by_temperature(part: Part, temperature_c: NDArray[np.float64]) -> list[Part]:
    """Split rows where the recorded temperature takes values far apart.

    Parameters
    ----------
    part : Part
        Rows to split.
    temperature_c : ndarray of float
        Temperature of every row [°C].

    Returns
    -------
    list of Part
        One for each temperature, in order of appearance; a drift without a gap stays together.
    """
    values = temperature_c[part.rows]
    if len(values) < 2 or values.max() - values.min() < TEMPERATURE_GAP_C:
        return [part]
    ordered = np.unique(values)
    edges = ordered[1:][np.diff(ordered) > TEMPERATURE_GAP_C]
    keys = np.searchsorted(edges, values, side="right")
    counts = np.bincount(keys)
    if len(counts) < 2 or counts.min() < _FEWEST_ROWS:
        return [part]
    appearance = sorted(range(len(counts)), key=lambda key: int(np.argmax(keys == key)))
    return [
        Part(
            part.rows[keys == key],
            " ".join(t for t in (part.label, f"{float(np.mean(values[keys == key])):.4g} °C") if t),
        )
        for key in appearance
    ]


def split_where_test_starts_over(
    part: Part, time_s: NDArray[np.float64], stress_kpa: NDArray[np.float64], starts: tuple[int, ...]
) -> list[Part]:
    """Split rows where time starts again and the stress has fallen back to the lower level.

    Parameters
    ----------
    part : Part
        Rows to split.
    time_s, stress_kpa : ndarray of float
        Time and stress of every row, as recorded [s], [kPa].
    starts : tuple of int
        Rows at which a heading is repeated.

    Returns
    -------
    list of Part
        One for each run: steps and levels follow one another upwards in stress, so a fall back to the first
        level is a new specimen.
    """
    time, stress = time_s[part.rows], np.abs(stress_kpa[part.rows])  # whatever its sign
    if len(time) < 2 or bool((time[1:] > time[:-1]).all()):
        return [part]
    places = set(find_restarts(time).tolist())
    headed = (
        np.searchsorted(part.rows, np.array(starts, dtype=np.int64))
        if starts
        else np.empty(0, dtype=np.int64)
    )
    places |= {int(p) for p in headed if 0 < p < len(time) and time[p] <= time[p - 1]}
    if not places:
        return [part]
    bounds = [0, *sorted(places)]
    cuts, highest = [0], 0.0
    for begin, end in zip(bounds, [*bounds[1:], len(time)], strict=True):
        step = stress[begin:end]
        peak = float(step.max())
        if peak > _LOADED_KPA and step[np.argmax(step > _LOADED_KPA)] < _FALLS_TO * highest:
            cuts.append(begin)
            highest = 0.0
        highest = max(highest, peak)
    if len(cuts) == 1:
        return [part]
    ends = [*cuts[1:], len(time)]
    return [
        Part(part.rows[begin:end], " ".join(t for t in (part.label, f"run {number}") if t))
        for number, (begin, end) in enumerate(zip(cuts, ends, strict=True), start=1)
    ]
