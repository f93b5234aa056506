"""Values that several runs of one binder gave, and how far they lie apart."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Repeats:
    """Values of one quantity from several runs, against the published repeatability.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    values : tuple of float or None
        One a run, in the unit of the quantity; None where a run does not give it.
    spread : float or None
        Largest less smallest [unit of the quantity]; None below two values.
    spread_percent : float or None
        The same in % of the mean; None where the mean is not above zero.
    limit : float or None
        Largest spread that 95 of 100 sets of so many runs of one operator keep to [unit of the quantity].
    limit_percent : float or None
        The same in % of the mean.
    within : bool or None
        Whether the spread keeps to the limit; None where one of them is not known.
    note : str
        Document and band, or why there is no limit.
    """

    quantity: str
    values: tuple[float | None, ...]
    spread: float | None = None
    spread_percent: float | None = None
    limit: float | None = None
    limit_percent: float | None = None
    within: bool | None = None
    note: str = ""
