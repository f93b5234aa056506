"""An own precision beside the published one, at one value: what a picture of it needs."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class PrecisionBeside:
    """An own precision and the published one at one value, in percent of that value or in the unit.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue; unknown for every residue.
    value : float
        Level at which both are taken, in the unit of the quantity.
    unit : str
        ``%`` where the amounts are percent of the value, else the unit of the quantity.
    repeatability, intermediate, bias, bias_standard, standard : float
        Of the laboratory.
    published_repeatability, published_reproducibility : float or None
        Standard deviations of the published statement; None where it has none.
    note : str
        Document and band.
    """

    quantity: str
    condition: Condition
    value: float
    unit: str
    repeatability: float
    intermediate: float
    bias: float
    bias_standard: float
    standard: float
    published_repeatability: float | None = None
    published_reproducibility: float | None = None
    note: str = ""
