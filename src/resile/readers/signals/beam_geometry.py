"""Span, width and thickness of a bending beam: from the layout, a line or column of the file, or as usual."""

from __future__ import annotations

from resile.errors import InputError
from resile.readers.grids.table import Table
from resile.readers.layout import Layout
from resile.readers.signals.chosen_columns import ChosenColumns
from resile.readers.signals.plate_geometry import length_in_file

USUAL_MM = {"span_mm": 102.0, "width_mm": 12.7, "thickness_mm": 6.35}
"""Span and cross-section of the method. AASHTO T 313, from memory (high)."""


def beam_lengths(table: Table, chosen: ChosenColumns, layout: Layout, path: str) -> dict[str, float]:
    """Find the lengths of a beam.

    Parameters
    ----------
    table : Table
        The record.
    chosen : ChosenColumns
        Its remarks say where each length comes from.
    layout : Layout
        What is given wins.
    path : str
        Named in a refusal.

    Returns
    -------
    dict of str to float
        ``span_mm``, ``width_mm``, ``thickness_mm`` [mm].

    Raises
    ------
    InputError
        A length is not above zero.
    """
    lengths = {}
    for quantity, usual in USUAL_MM.items():
        given: float | None = getattr(layout, quantity)
        found = (given, "as given") if given is not None else length_in_file(table, quantity)
        length, origin = found or (usual, "nothing is said in the file: the usual beam of AASHTO T 313")
        title = quantity.removesuffix("_mm")
        if not length > 0.0:
            raise InputError(
                f"{path}: the {title} of the beam is {length:g} mm ({origin}); above 0 is needed"
            )
        if found is None:
            chosen.supposed.append(title)
        lengths[quantity] = length
        chosen.remarks.append(f"{title} of the beam {length:g} mm ({origin})")
    return lengths
