"""Torque and angle between parallel plates to stress and strain at the rim; where diameter and gap stand."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from resile.errors import AmbiguousFileError, InputError
from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.table import Table
from resile.readers.grids.vocabulary import fold, vocabulary
from resile.readers.layout import Layout

_VALUE = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*([^\d\s,;]{0,4})")
_PLATE_WORDS = (
    "plate",
    "platte",
    "plateau",
    "plato",
    "placa",
    "plyt",
    "пласт",
    "板",
    "diamet",
    "durchmesser",
    "диаметр",
    "直径",
)


def rim_stress_kpa(torque_nm: NDArray[np.float64], *, diameter_mm: float) -> NDArray[np.float64]:
    """Give the shear stress at the rim of parallel plates.

    Parameters
    ----------
    torque_nm : ndarray of float, shape (n,)
        Torque [N·m].
    diameter_mm : float
        Plate diameter [mm].

    Returns
    -------
    ndarray of float, shape (n,)
        Stress [kPa].

    Notes
    -----
    ``tau = 2 M/(pi R^3)``: the nominal stress at the rim, exact for a linear
    material (definition of the geometry).
    """
    radius_m = diameter_mm / 2000.0
    return np.asarray(torque_nm, dtype=float) * (2.0 / (math.pi * radius_m**3) / 1000.0)


def rim_strain(angle_rad: NDArray[np.float64], *, diameter_mm: float, gap_mm: float) -> NDArray[np.float64]:
    """Give the shear strain at the rim of parallel plates.

    Parameters
    ----------
    angle_rad : ndarray of float, shape (n,)
        Rotation [rad].
    diameter_mm, gap_mm : float
        Plate diameter and gap [mm].

    Returns
    -------
    ndarray of float, shape (n,)
        Strain [ratio].

    Notes
    -----
    ``gamma = R theta/h`` (definition of the geometry).
    """
    return np.asarray(angle_rad, dtype=float) * (diameter_mm / 2.0 / gap_mm)


def _millimetres(text: str) -> float | None:
    """Give a printed length in mm."""
    found = _VALUE.search(text)
    if not found:
        return None
    number = parse_number(found[1], "," if "," in found[1] else ".")
    unit = read_unit(found[2])[0] if found[2] else None
    if number is None or (unit is not None and unit.dimension != "length"):
        return None
    return number * (unit.factor if unit is not None else 1.0)


def _in_words(text: str, quantity: str) -> float | None:
    """Find a length in a line such as "parallel plates 25 mm, gap 1 mm"."""
    known = vocabulary()
    for piece in re.split(r"[;,](?!\d)", text):
        words = fold(re.sub(r"[\d.,]+", " ", piece))
        is_gap = any(known.words.get(word) == "gap_mm" for word in words.split())
        is_plate = not is_gap and any(word in words for word in _PLATE_WORDS)
        if (quantity == "gap_mm" and is_gap) or (quantity == "plate_diameter_mm" and is_plate):
            return _millimetres(piece)
    return None


def length_in_lines(lines: Mapping[str, str], quantity: str) -> tuple[float, str] | None:
    """Give a length stated above the columns, and in which line.

    Parameters
    ----------
    lines : mapping of str to str
        Lines of name and value above the columns.
    quantity : str
        Name of the length, such as ``gap_mm`` or ``span_mm``.

    Returns
    -------
    tuple of (float, str) or None
        Length [mm] and where it stands; None where no line states it.
    """
    for name, value in lines.items():
        reading = read_heading([name])
        if reading.quantity == quantity:
            length = _millimetres(value)
            if length is not None:
                bare = _VALUE.search(value)
                in_heading = reading.unit is not None and bare is not None and not bare[2]
                return length * (
                    reading.unit.factor if in_heading and reading.unit else 1.0
                ), f"line {name!r}"
    for name, value in lines.items():
        length = _in_words(f"{name}, {value}", quantity)
        if length is not None:
            return length, f"line {name!r}"
    return None


def find_length(table: Table, quantity: str, layout: Layout, path: str) -> tuple[float, str]:
    """Find the plate diameter or the gap.

    Parameters
    ----------
    table : Table
        The record.
    quantity : str
        ``plate_diameter_mm`` or ``gap_mm``.
    layout : Layout
        What is given wins.
    path : str
        Named in a question.

    Returns
    -------
    tuple of (float, str)
        Length [mm] and where it comes from.

    Raises
    ------
    AmbiguousFileError
        Nobody says.
    """
    option = "--plate-diameter" if quantity == "plate_diameter_mm" else "--gap"
    title = "plate diameter" if quantity == "plate_diameter_mm" else "gap"
    given = layout.plate_diameter_mm if quantity == "plate_diameter_mm" else layout.gap_mm
    found = length_in_file(table, quantity)
    if given is not None:
        other = f"; the file states {found[0]:g} mm, {found[1]}" if found and found[0] != given else ""
        found = (given, f"as given{other}")
    if found is None:
        raise AmbiguousFileError(
            f"{path}: torque and angle are recorded but not the {title}; "
            f"what is the {title} in mm? ({option})",
            option=option,
        )
    if not found[0] > 0:
        raise InputError(
            f"{path}: the {title} is {found[0]:g} mm ({found[1]}); a length above zero is needed"
        )
    return found


def length_in_file(table: Table, quantity: str) -> tuple[float, str] | None:
    """Give a length that a line above the columns states, or a column, the same in each row.

    Parameters
    ----------
    table : Table
        The record.
    quantity : str
        Name of the length.

    Returns
    -------
    tuple of (float, str) or None
        Length [mm] and where it stands; None where nothing states it.
    """
    found = length_in_lines(table.details, quantity)
    if found is not None:
        return found
    for column in table.columns_of(quantity):
        values = column.values[np.isfinite(column.values)]
        if len(values):
            factor = column.reading.unit.factor if column.reading.unit else 1.0
            return float(np.median(values)) * factor, f"column {column.position}"
    return None
