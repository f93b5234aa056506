"""A test order: what was sent in, what was asked, and which files answer it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.form import ResultsForm
from resile.records.own_precision import KeyedPrecision
from resile.records.reading import HeldFile, SourceFile
from resile.records.revision import Replacement

if TYPE_CHECKING:
    from pathlib import Path

TESTS_OF_INSTRUMENTS = {
    "creep_recovery": "creep recovery",
    "oscillation": "oscillation",
    "bending_beam": "bending beam",
    "rotational_viscosity": "rotational viscosity",
    "short_term_ageing": "short-term ageing",
    "long_term_ageing": "long-term ageing",
    "flash_point": "flash point",
}
"""What an instrument of an order may be said to be for, in words for the page."""


@dataclass(frozen=True, slots=True)
class OrderedSample:
    """Identity of what was tested, as declared.

    Attributes
    ----------
    name : str
        Name or number of the sample in the laboratory.
    product : str
        Product as the sender declares it.
    claimed_grade : str
        Grade the sender claims; empty where none is claimed.
    received : str
        Date of receipt, ISO 8601; empty where not given.
    container : str
        What it came in, with seal.
    taken : str
        Where, when and by whom the sample was taken.
    state : str
        State on arrival.
    """

    name: str
    product: str = ""
    claimed_grade: str = ""
    received: str = ""
    container: str = ""
    taken: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class OrderedRecord:
    """One raw record file of the order.

    Attributes
    ----------
    path : Path or HeldFile
        The file, resolved against the folder of the order.
    condition : Condition
        State of the binder that was tested.
    specimen : str
        Number of the specimen or replicate; empty where not given.
    temperature_c : float or None
        Test temperature, where the record itself does not hold it [°C].
    layout : Path or HeldFile or None
        Saved layout to read the file by.
    sheet : str
        Sheet of a workbook; empty for all.
    laboratory : str
        Another laboratory that made the record; empty where the laboratory of the order did.
    plate_diameter_mm, gap_mm : float or None
        Plates of this very record: they go before what the file states [mm].
    part : str
        The one run of the file that is meant, by its label; empty for all of them.
    doubts : tuple of Finding
        What speaks against the test itself, such as an instrument out of its verification.
    tested : str
        Day or time of this very test; empty for that of the order.
    instruments : tuple of str
        Name and serial number of the instrument of this very test; empty for those of the order.
    """

    path: Path | HeldFile
    condition: Condition
    specimen: str = ""
    temperature_c: float | None = None
    layout: Path | HeldFile | None = None
    sheet: str = ""
    laboratory: str = ""
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    part: str = ""
    doubts: tuple[Finding, ...] = ()
    tested: str = ""
    instruments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OrderedTable:
    """One table of results of the order, with what was said of it beside the file.

    Attributes
    ----------
    path : Path or HeldFile
        The file.
    condition : Condition
        State of the binder for rows that name none.
    layout : Path or HeldFile or None
        Saved layout to read the file by.
    tested : str
        Day or time of its tests; empty for that of the order.
    """

    path: Path | HeldFile
    condition: Condition = Condition.UNKNOWN
    layout: Path | HeldFile | None = None
    tested: str = ""


@dataclass(frozen=True, slots=True)
class Instrument:
    """What the measurement was made with.

    Attributes
    ----------
    name : str
        Name or number of the instrument in the laboratory.
    plate_diameter_mm, gap_mm : float or None
        Plate diameter and gap [mm].
    verified : str
        Date of the last temperature verification, ISO 8601; empty where not given.
    note : str
        Trimming, gap at trimming, thermometer.
    tests : tuple of str
        Tests it was used for, of `TESTS_OF_INSTRUMENTS`; empty for all.
    """

    name: str = ""
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    verified: str = ""
    note: str = ""
    tests: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TestOrder:
    """A test order, as read from one file.

    Attributes
    ----------
    sample : OrderedSample
        What was tested.
    number : str
        Number of the order or report.
    laboratory, address, customer : str
        Who tests, where, for whom.
    customer_contact : str
        How the customer is reached.
    external_results : str
        Which results come from another laboratory, and which one; empty where none do.
    invented : bool
        True where laboratory, sample and numbers are made up; said wherever the order is shown.
    specification : str
        Identifier of the specification to judge by; empty where none is asked for.
    decision_rule, uncertainty_basis, retest_rule : str
        Names of the rules agreed before the test; empty for the default.
    budget, correlation : str
        Name or file of the uncertainty budget and of what errors share; empty for the default.
    precision : str or tuple of KeyedPrecision
        The laboratory's own precision, for the basis ``"own"``: name or file, or at hand; empty for none.
    price_rule : tuple of str
        Names or files of the price rules of the contract; empty where the money is not asked about.
    price_limit : float or None
        Limit that they count from, where neither rule nor specification has one.
    service_class : str
        Class asked for; empty where none is.
    high_temperature_c : float or None
        Climatic high temperature asked for [°C].
    records : tuple of OrderedRecord
        Raw record files.
    tables : tuple of Path, HeldFile or OrderedTable
        Summary tables.
    ageing, long_term_ageing : Path or HeldFile or None
        Short-term and long-term ageing record.
    instruments : tuple of Instrument
        What the measurements were made with.
    operator, reviewed_by : str
        Who tested, who reviewed and authorised.
    tested, place_of_work : str
        Dates of the tests; where they were made, if not at the address.
    replaces : Replacement or None
        The report this one replaces, with the reason; None for a first issue.
    notes : tuple of str
        Sentences shown with the results.
    source : SourceFile or None
        The file the order was read from.
    form : ResultsForm or None
        The filled results form it was read from; None for a TOML file.
    doubts : tuple of Finding
        What is to be told of the sample beside its results, such as a run that is left out.
    """

    __test__ = False  # a noun of the trade, not a test case

    sample: OrderedSample
    number: str = ""
    laboratory: str = ""
    address: str = ""
    customer: str = ""
    customer_contact: str = ""
    external_results: str = ""
    invented: bool = False
    specification: str = ""
    decision_rule: str = ""
    uncertainty_basis: str = ""
    retest_rule: str = ""
    budget: str = ""
    correlation: str = ""
    precision: str | tuple[KeyedPrecision, ...] = ""
    price_rule: tuple[str, ...] = ()
    price_limit: float | None = None
    service_class: str = ""
    high_temperature_c: float | None = None
    records: tuple[OrderedRecord, ...] = ()
    tables: tuple[Path | HeldFile | OrderedTable, ...] = ()
    ageing: Path | HeldFile | None = None
    long_term_ageing: Path | HeldFile | None = None
    instruments: tuple[Instrument, ...] = ()
    operator: str = ""
    reviewed_by: str = ""
    tested: str = ""
    place_of_work: str = ""
    replaces: Replacement | None = None
    notes: tuple[str, ...] = ()
    source: SourceFile | None = None
    form: ResultsForm | None = None
    doubts: tuple[Finding, ...] = ()
