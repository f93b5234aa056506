"""What came in: products and tanks, samples and what was asked of them, and how long they are kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A binder that is made or bought under one name.

    Attributes
    ----------
    name : str
        Name of the product.
    grade : str
        Grade under which it is sold.
    maker : str
        Who makes it.
    note : str
        What else is to be known: modifier, base stock.
    invented : bool
        True for a product of the demonstration.
    """

    name: str
    grade: str = ""
    maker: str = ""
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """Where a product is stored.

    Attributes
    ----------
    name : str
        Name of the tank.
    product : str
        Key of the product in it.
    place : str
        Terminal or plant.
    temperature_c : float or None
        Storage temperature [°C].
    note : str
        What else is to be known.
    """

    name: str
    product: str = ""
    place: str = ""
    temperature_c: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked of a sample, fixed before it is tested.

    Attributes
    ----------
    specification : str
        Identifier of the specification in force.
    decision_rule, uncertainty_basis, retest_rule, budget, correlation : str
        Names of the rules agreed; empty for the default.
    price_rules : tuple of str
        Price rules of the contract.
    price_limit : float or None
        Limit that they count from, where neither rule nor specification has one.
    service_class : str
        Class asked for; empty where none is.
    high_temperature_c : float or None
        Climatic high temperature asked for [°C].
    """

    specification: str = ""
    decision_rule: str = ""
    uncertainty_basis: str = ""
    retest_rule: str = ""
    budget: str = ""
    correlation: str = ""
    price_rules: tuple[str, ...] = ()
    price_limit: float | None = None
    service_class: str = ""
    high_temperature_c: float | None = None


class SampleStage(StrEnum):
    """How far a sample has come; worked out by the record, never typed in."""

    RECEIVED = "received"
    TESTED = "tested"
    GRADED = "graded"
    STATED = "stated"
    DISPOSED = "disposed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A sample as received, or a half of one.

    Attributes
    ----------
    number : str
        Number of the sample in the laboratory; no two samples share one.
    product, tank : str
        Keys of the product and the tank it was taken from.
    lot : str
        Lot or batch, as the maker numbers it.
    customer : str
        Key of the customer it is tested for.
    claimed_grade : str
        Grade that the sender claims.
    label : str
        Words of the label on the can.
    taken, taken_by, taken_at : str
        Day or time of sampling, who took it, where.
    received : str
        Day of receipt.
    container, state : str
        What it came in, with seal; state on arrival.
    quantity_g : float or None
        Mass received [g].
    represents_t : float or None
        Mass of binder that it stands for [t].
    parent, half : str
        Key of the sample it was split from, and which half it is (``A, tested``; ``B, retained``).
    asked : Asked
        What was asked, fixed before the test.
    note : str
        What else is to be known.
    invented : bool
        True for a sample of the demonstration.
    """

    number: str
    product: str = ""
    tank: str = ""
    lot: str = ""
    customer: str = ""
    claimed_grade: str = ""
    label: str = ""
    taken: str = ""
    taken_by: str = ""
    taken_at: str = ""
    received: str = ""
    container: str = ""
    state: str = ""
    quantity_g: float | None = None
    represents_t: float | None = None
    parent: str = ""
    half: str = ""
    asked: Asked = field(default_factory=Asked)
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Retention:
    """How long a sample, or a half of one, is kept.

    Attributes
    ----------
    sample : str
        Key of the sample.
    rule : str
        Rule of the laboratory it follows.
    starts : str
        Day from which it counts.
    due : str
        Day from which it may be disposed of.
    place : str
        Where it stands.
    """

    sample: str
    rule: str = ""
    starts: str = ""
    due: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Disposal:
    """That a retained sample was disposed of.

    Attributes
    ----------
    retention : str
        Key of the retention that ends.
    sample : str
        Key of the sample.
    disposed : str
        Day.
    way : str
        How it was disposed of.
    note : str
        Who agreed to an early disposal, and why.
    """

    retention: str
    sample: str
    disposed: str
    way: str = ""
    note: str = ""
