"""What was measured, found and said: runs, results, verdicts, statements."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from resile.records.determination import Condition

TYPED_RESULTS = "typed"
"""Test of a run that is a table of results, such as flash points or hand readings, and no raw record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run of a record file, attached to a sample.

    Attributes
    ----------
    test : str
        Kind of test: creep_recovery, oscillation, bending_beam, rotational_viscosity; ``typed``
        for a table of results.
    file, file_name : str
        SHA-256 of the record file, and the name under which it came.
    part : str
        Which run of the file it is, in the words of the reader (sheet, block, replicate); empty for the
        only one.
    sample, specimen : str
        Keys of the sample and specimen; empty while the run is not attached.
    condition : Condition
        State of the binder.
    layout : str
        SHA-256 of the layout (TOML) by which the file is read; empty where it was read without one.
    sheet : str
        Sheet of a workbook; empty for all.
    temperature_c : float or None
        Test temperature given with the file, where the record does not hold it [°C].
    plate_diameter_mm, gap_mm : float or None
        Plates given with the file [mm].
    instrument, operator : str
        Key of the instrument; who tested.
    tested : str
        Day or time of the test.
    verification : str
        State of the instrument's verification on that day: verified, overdue, failed, unknown.
    note : str
        What else is to be known.
    """

    test: str
    file: str
    file_name: str
    part: str = ""
    sample: str = ""
    specimen: str = ""
    condition: Condition = Condition.UNKNOWN
    layout: str = ""
    sheet: str = ""
    temperature_c: float | None = None
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    instrument: str = ""
    operator: str = ""
    tested: str = ""
    verification: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One value that a run gave.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    value : float or None
        In `unit`, at full precision; None where the run does not give it.
    unit : str
        Unit of the glossary.
    temperature_c : float or None
        Test temperature [°C].
    stress_kpa : float or None
        Shear stress [kPa].
    condition : Condition or None
        Residue, for a line of a table of results; None where it is that of the run.
    """

    quantity: str
    value: float | None
    unit: str
    temperature_c: float | None = None
    stress_kpa: float | None = None
    condition: Condition | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What one run gave when it was reduced.

    Attributes
    ----------
    run, sample : str
        Keys of the run and its sample.
    lines : tuple of ResultLine
        The values.
    findings : tuple of str
        Codes of the findings, the worst first.
    messages : tuple of str
        Their sentences, in the same order.
    worst : str
        Worst severity: invalid, caution, note; empty for no finding.
    software : str
        Version of resile that reduced it.
    input : str
        SHA-256 of what it was reduced from: file, layout and options.
    cycles : tuple of tuple of float
        For creep recovery, a row a cycle: stress [kPa], percent recovery, Jnr [1/kPa]; the strip on pages.
    """

    run: str
    sample: str = ""
    lines: tuple[ResultLine, ...] = ()
    findings: tuple[str, ...] = ()
    messages: tuple[str, ...] = ()
    worst: str = ""
    software: str = ""
    input: str = ""
    cycles: tuple[tuple[float, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PrecisionUsed:
    """Which own precision of the laboratory one result of a verdict was judged with.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue that was tested.
    temperature_c : float or None
        Test temperature [°C].
    value : float
        The result, in the unit of the glossary.
    tested : str
        Day of the test, on which it had to be in force.
    key : str
        Key of the own precision, with its revision where that is not the first; empty where none was in
        force.
    """

    quantity: str
    condition: Condition
    temperature_c: float | None
    value: float
    tested: str
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What can be said of a sample by one specification.

    Attributes
    ----------
    sample : str
        Key of the sample.
    specification, edition : str
        What it was judged by.
    decision_rule : str
        Rule of the decision.
    grade : str
        Grade or classes satisfied, in words; empty where none is.
    outcome : str
        pass, fail, conditional or not tested, for what was asked.
    nearest_margin : float or None
        Smallest margin to a limit in multiples of the repeatability; None where none is known.
    nearest_line : str
        The line it belongs to.
    results : tuple of str
        Keys of the results judged, each with its revision: ``E-000012/1``.
    file : str
        SHA-256 of the statement as JSON, with every line.
    software : str
        Version of resile that judged.
    pictures : dict of str to str
        Name of each picture and the SHA-256 of its SVG: the grade ladder, the margins.
    author : str
        Key of the person who graded.
    complies : bool
        True where what was asked, and the grade claimed, is satisfied.
    own_precision : tuple of PrecisionUsed
        Which own precision each result was judged with, where the uncertainty rests on it.
    """

    sample: str
    specification: str = ""
    edition: str = ""
    decision_rule: str = ""
    grade: str = ""
    outcome: str = ""
    nearest_margin: float | None = None
    nearest_line: str = ""
    results: tuple[str, ...] = ()
    file: str = ""
    software: str = ""
    pictures: dict[str, str] = field(default_factory=dict)
    author: str = ""
    complies: bool = False
    own_precision: tuple[PrecisionUsed, ...] = ()


class StatementState(StrEnum):
    """Where a statement stands."""

    DRAFT = "draft"
    ISSUED = "issued"
    REPLACED = "replaced"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """A certificate or report on a sample.

    Attributes
    ----------
    number : str
        Number of the certificate; a new issue of it has a number of its own.
    sample, verdict, customer : str
        Keys of the sample, the verdict it states, and the customer.
    state : StatementState
        Draft until another person, where the laboratory wants four eyes, has released it.
    author, releaser : str
        Keys of the persons who wrote and who released it.
    issued : str
        Day of issue.
    replaces : str
        Key of the statement that it replaces.
    replaced_by : str
        Key of the statement that replaces it.
    reason : str
        Why it replaces another, or was withdrawn.
    files : dict of str to str
        Name of each file issued and its SHA-256.
    software : str
        Version of resile that made it.
    head : str
        Head of the log when it was issued, ``SEQ:HASH``.
    changes : tuple of str
        What it states differently from the one that it replaces, a sentence each.
    """

    number: str
    sample: str
    verdict: str = ""
    customer: str = ""
    state: StatementState = StatementState.DRAFT
    author: str = ""
    releaser: str = ""
    issued: str = ""
    replaces: str = ""
    replaced_by: str = ""
    reason: str = ""
    files: dict[str, str] = field(default_factory=dict)
    software: str = ""
    head: str = ""
    changes: tuple[str, ...] = ()
