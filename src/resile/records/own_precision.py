"""The laboratory's own precision as a verdict uses it: what was found, and under which key it is kept."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.register.laboratories import OwnPrecision


@dataclass(frozen=True, slots=True)
class KeyedPrecision:
    """An own precision and the key by which a verdict names it.

    Attributes
    ----------
    key : str
        Key in the record, as ``OP-000003``, or the name in a file.
    value : OwnPrecision
        What the laboratory found.
    """

    key: str
    value: OwnPrecision
