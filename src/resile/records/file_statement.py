"""What is said of a record file, by a person or by the file itself."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class FileStatement:
    """Residue, temperatures, day and instrument of one run; empty where nothing is said.

    Attributes
    ----------
    condition : Condition
        State of the binder.
    temperatures_c : tuple of float
        Test temperatures [°C].
    tested : str
        Day or time of the test, ISO 8601.
    instruments : tuple of str
        Names, and serial numbers, any of which it may be.
    """

    condition: Condition = Condition.UNKNOWN
    temperatures_c: tuple[float, ...] = ()
    tested: str = ""
    instruments: tuple[str, ...] = ()
