"""Columns of numbers with names and units: what a reader hands to the equations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from resile.records.reading import ReadingAccount, SourceFile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class RowsOfFile:
    """Which row of the file each number of a signal comes from.

    Attributes
    ----------
    row_numbers : ndarray of int, shape (n,)
        Row or line number, as a person counts in the file, of each row of the signal.
    sheets : tuple of str
        Names of the sheets the rows stand on; one empty name for a text.
    sheet_places : ndarray of int, shape (n,), or None
        Place in `sheets` of each row; None where there is one sheet.
    """

    row_numbers: NDArray[np.int64]
    sheets: tuple[str, ...] = ("",)
    sheet_places: NDArray[np.int64] | None = None


@dataclass(frozen=True, slots=True)
class Signal:
    """One block of a record, in the units of the glossary, in running time.

    Attributes
    ----------
    columns : mapping of str to ndarray of float, shape (n,)
        Keyed by quantity name: ``time_s``, ``stress_kpa``, ``strain`` (ratio), ``temperature_c``,
        ``torque_nm``, ``angle_rad``, ``cycle_number``, ``segment_number``, ``point_number``.
        All of one length, finite, ordered by running time.
    source : SourceFile
        The file the numbers come from.
    account : ReadingAccount
        How that file was understood.
    label : str
        What tells this block from others in the file (sheet, heading, replicate); empty where there is one.
    details : mapping of str to str
        Name/value lines found above the columns, as printed.
    method : str
        Which test it records: ``creep_recovery``, ``oscillation``, ``bending_beam`` or
        ``rotational_viscosity``.
    supposed : tuple of str
        Lengths that nothing states, so that nominal ones were taken: ``"span"``, ``"thickness"``.
    rows : RowsOfFile or None
        The rows of the file behind the columns; None for a signal that was not read from one.
    """

    columns: Mapping[str, NDArray[np.float64]]
    source: SourceFile
    account: ReadingAccount
    label: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    method: str = "creep_recovery"
    supposed: tuple[str, ...] = ()
    rows: RowsOfFile | None = field(default=None, repr=False, compare=False)

    def __post_init__(self) -> None:
        lengths = {len(values) for values in self.columns.values()}
        if len(lengths) > 1:
            raise ValueError(f"columns of a signal differ in length: {sorted(lengths)}")

    def __len__(self) -> int:
        for values in self.columns.values():
            return len(values)
        return 0
