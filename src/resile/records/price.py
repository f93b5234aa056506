"""Rules that make a price of a result, and what one of them gave."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition, Result


@dataclass(frozen=True, slots=True)
class PriceStep:
    """One step of a stepwise rule.

    Attributes
    ----------
    edge : float
        The factor holds from this value to the next better edge; the edge itself counts.
    factor : float
        Share of the price.
    """

    edge: float
    factor: float


@dataclass(frozen=True, slots=True)
class PriceRule:
    """A price factor by one property: along a line, or in steps; as read from one TOML file.

    Attributes
    ----------
    identifier, title, document, edition, evidence, transcribed, checked : str
        As of a specification.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue it is tested on.
    bound : str
        ``"minimum"`` or ``"maximum"``: on which side of its limit the value must lie.
    unit : str
        The unit of the glossary.
    sensitivity_step : float
        Change of the value for which the factor is shown, in `unit`.
    factor_decimals : int
        Decimals the factor is rounded to, half up.
    highest_factor, lowest_factor : float
        The factor stays within; the lowest holds beyond the last step.
    limit : float or None
        Limit it counts from; None where the contract's or the specification's is taken.
    allowance, loss_per_unit : float or None
        Of a line: what the value may miss the limit by for the full price, and the loss a unit beyond.
    steps : tuple of PriceStep
        Of a stepwise rule, best first.
    value_decimals : int or None
        Decimals the value is rounded to first, half to even.
    defective_at_most : float or None
        With a factor up to this the lot may be declared defective.
    sha256 : str
        Hash of the file.
    notes : tuple of str
        Readings and cautions in words.
    """

    identifier: str
    title: str
    document: str
    edition: str
    quantity: str
    condition: Condition
    bound: str
    unit: str
    sensitivity_step: float
    factor_decimals: int = 2
    highest_factor: float = 1.0
    lowest_factor: float = 0.0
    limit: float | None = None
    allowance: float | None = None
    loss_per_unit: float | None = None
    steps: tuple[PriceStep, ...] = ()
    value_decimals: int | None = None
    defective_at_most: float | None = None
    evidence: str = ""
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PriceChange:
    """The factor that a somewhat different value would give.

    Attributes
    ----------
    title : str
        Which change, in words.
    value : float
        The value it would be.
    factor : float
        The factor of that value.
    """

    title: str
    value: float
    factor: float


@dataclass(frozen=True, slots=True)
class PriceView:
    """A price factor with the value that gave it, and how surely.

    Attributes
    ----------
    rule : PriceRule
        As agreed in the contract.
    result : Result
        The value it was taken from.
    limit : float or None
        Limit it was counted from; None for steps without one.
    factor : float
        Share of the price.
    may_be_defective : bool
        The lot may be declared defective.
    changes : tuple of PriceChange
        What a unit or the repeatability (d2s) more or less would do.
    expected_factor : float or None
        Mean of the factor over the uncertainty of the value; None where none is stated.
    full_price_probability, defective_probability : float or None
        Share of that uncertainty that gives the full price, or lets the lot be declared defective.
    """

    rule: PriceRule
    result: Result
    limit: float | None
    factor: float
    may_be_defective: bool = False
    changes: tuple[PriceChange, ...] = ()
    expected_factor: float | None = None
    full_price_probability: float | None = None
    defective_probability: float | None = None
