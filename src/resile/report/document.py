"""What a report is made of: records, identity and a date; no clock, no file access."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Finding
from resile.records.form import ResultsForm
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.revision import Revision
from resile.records.run_group import RunGroup
from resile.records.verdict import GradeStatement


@dataclass(frozen=True, slots=True)
class ReportDocument:
    """One report on one sample.

    Attributes
    ----------
    number : str
        Unique number of the report.
    date : str
        Date of issue as ``YYYY-MM-DD``; it also dates the paper page, so that equal documents give
        equal bytes.
    sample : str
        Name of the sample.
    runs : tuple of CreepRecoveryRun
        Reduced runs; those that keep their signal are drawn from it.
    machine_groups : tuple of RunGroup
        Runs of oscillation, bending beam and rotational viscosity, those that belong together in one group.
    statement : GradeStatement or None
        Verdicts; None for a report of results only.
    ageing : AgeingRecord or None
        Short-term ageing record.
    long_term_ageing : LongTermAgeingRecord or None
        Long-term ageing record.
    elastic_curve : tuple of (float, float)
        Points (Jnr [1/kPa], recovery [%]) of the elastic-response curve; empty where it is not shown.
    elastic_curve_source : str
        Where the curve comes from.
    invented : bool
        True for demonstration data: every page then says so.
    package_version : str
        Version of resile that made the numbers.
    findings : tuple of Finding
        Findings that belong to no run, result or ageing record.
    sources : tuple of SourceFile
        Further files the report hangs on (tables, ageing record), beside those of the runs.
    tables_read : tuple of (SourceFile, ReadingAccount)
        Tables of results, and how each was understood.
    title, sample_description, laboratory, laboratory_address, place_of_work, customer : str
        Identity, as given.
    method, method_edition : str
        Test method and edition in words.
    received, tested_on, sampling, deviations, instrument, tested_by, reviewed_by : str
        As given; an empty one is shown as "not stated" or as a blank line to sign on.
    revision : Revision or None
        The report this one replaces, why, and what changed; None for a first issue.
    sample_state, customer_contact, external_results : str
        State of the item on arrival; how the customer is reached; results that another laboratory made.
    laboratory_contact, accreditation : str
        As the settings file of the laboratory states them; empty where there is none.
    logo, logo_form : bytes, str
        Picture of the laboratory and its form, ``svg`` or ``png``; empty where there is none.
    form : ResultsForm or None
        The filled results form, which goes back with the workbook.
    draft : bool
        True before it is issued: every sheet says so.
    record_head : str
        Head of the laboratory's log when it was issued, ``SEQ:HASH``; empty without a record.
    """

    number: str
    date: str
    sample: str
    runs: tuple[CreepRecoveryRun, ...] = ()
    statement: GradeStatement | None = None
    ageing: AgeingRecord | None = None
    elastic_curve: tuple[tuple[float, float], ...] = ()
    elastic_curve_source: str = ""
    invented: bool = False
    package_version: str = ""
    findings: tuple[Finding, ...] = ()
    sources: tuple[SourceFile, ...] = ()
    tables_read: tuple[tuple[SourceFile, ReadingAccount], ...] = ()
    title: str = "Creep recovery of a bituminous binder"
    sample_description: str = ""
    laboratory: str = ""
    laboratory_address: str = ""
    place_of_work: str = ""
    customer: str = ""
    method: str = "Multiple-stress creep and recovery"
    method_edition: str = ""
    received: str = ""
    tested_on: str = ""
    sampling: str = ""
    deviations: str = ""
    instrument: str = ""
    tested_by: str = ""
    reviewed_by: str = ""
    revision: Revision | None = None
    sample_state: str = ""
    customer_contact: str = ""
    external_results: str = ""
    laboratory_contact: str = ""
    accreditation: str = ""
    logo: bytes = b""
    logo_form: str = ""
    long_term_ageing: LongTermAgeingRecord | None = None
    machine_groups: tuple[RunGroup, ...] = ()
    form: ResultsForm | None = None
    draft: bool = False
    record_head: str = ""
