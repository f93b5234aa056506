"""What published sources say, by kind of binder, of how a property changes with temperature."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.temperature_line import SlopePrior


@dataclass(frozen=True, slots=True)
class PublishedSlope:
    """The slope of one property on one residue.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    slope_per_c : float
        Change of the natural logarithm by one degree [1/°C].
    standard_per_c : float
        Its standard uncertainty [1/°C].
    source : str
        Where it comes from.
    condition : Condition or None
        Residue it holds for; None where the source does not tell residues apart.
    evidence : str
        ``read``, ``second-hand``, ``recalled`` or ``own``.
    """

    quantity: str
    slope_per_c: float
    standard_per_c: float
    source: str
    condition: Condition | None = None
    evidence: str = ""


@dataclass(frozen=True, slots=True)
class BinderKind:
    """A kind of binder and its slopes, as read from one TOML file.

    Attributes
    ----------
    identifier : str
        Name on the command line, for example ``sbs-modified``.
    title : str
        Words for a person.
    slopes : tuple of PublishedSlope
        The first that fits property and residue is used.
    transcribed, checked : str
        Who or what, and when; empty `checked` means unchecked.
    sha256 : str
        Hash of the file.
    notes : tuple of str
        Cautions in words.
    """

    identifier: str
    title: str
    slopes: tuple[PublishedSlope, ...]
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""
    notes: tuple[str, ...] = ()

    def prior_for(self, quantity: str, condition: Condition) -> SlopePrior | None:
        """Give the slope of a property on a residue.

        Parameters
        ----------
        quantity : str
            Name from the glossary.
        condition : Condition
            Residue tested.

        Returns
        -------
        SlopePrior or None
            None where the file has no such row.
        """
        for slope in self.slopes:
            if slope.quantity == quantity and slope.condition in (None, condition):
                return SlopePrior(self.title, slope.slope_per_c, slope.standard_per_c, slope.source)
        return None
