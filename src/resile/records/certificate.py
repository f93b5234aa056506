"""A supplier's certificate, and what a line-by-line check of it gave."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.price import PriceView
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.specification import DecisionRule, Specification
from resile.records.verdict import Verdict


@dataclass(frozen=True, slots=True)
class CertificateLine:
    """One property as a certificate prints it.

    Attributes
    ----------
    determination : Determination
        Value, residue and temperature in the units of the glossary, with the place in the file.
    title : str
        Name of the property as printed.
    method : str
        Test method as printed; empty where none is.
    edition : str
        Edition of method or specification printed beside the line; empty where none is.
    printed_limit : float or None
        Limit that the certificate prints, in the unit of the value; None where none can be read.
    printed_limit_text : str
        The same as printed.
    printed_bound : str
        ``"maximum"``, ``"minimum"``, or empty where the print does not say.
    value_basis : str
        ``"measured"``, ``"typical"``, ``"specification"``, or empty where nothing says which.
    """

    determination: Determination
    title: str = ""
    method: str = ""
    edition: str = ""
    printed_limit: float | None = None
    printed_limit_text: str = ""
    printed_bound: str = ""
    value_basis: str = ""


@dataclass(frozen=True, slots=True)
class SupplierCertificate:
    """A certificate as typed or imported.

    Attributes
    ----------
    lines : tuple of CertificateLine
        In the order of the certificate.
    source : SourceFile
        The file.
    account : ReadingAccount
        How it was understood.
    number, supplier, product, claimed_grade, stated_specification, batch, tank : str
        As printed; empty where not stated.
    issued, delivered, valid_until : str
        Dates as printed; empty where not stated.
    invented : bool
        True where supplier, product and numbers are made up.
    findings : tuple of Finding
        Rows that could not be used.
    """

    lines: tuple[CertificateLine, ...]
    source: SourceFile
    account: ReadingAccount
    number: str = ""
    supplier: str = ""
    product: str = ""
    claimed_grade: str = ""
    stated_specification: str = ""
    batch: str = ""
    tank: str = ""
    issued: str = ""
    delivered: str = ""
    valid_until: str = ""
    invented: bool = False
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class LaboratoryComparison:
    """Two laboratories, one property: do they agree, and what does their mean say of the limit?

    Attributes
    ----------
    difference : float
        Certificate value less own value, in the unit of the property.
    mean_value : float
        Mean of the two.
    certificate_count, own_count : int
        Determinations behind each value.
    allowed_difference : float or None
        Largest difference that precision allows; None where no precision is published.
    agrees : bool or None
        None where no precision is published.
    reproducibility_limit, repeatability_limit : float or None
        Difference of two single results at the level of the mean: two laboratories, one operator.
    proof_distance : float or None
        Distance from the limit beyond which the mean of two laboratories proves something (95 %).
    proof_rule : str
        How that distance was found, for a person; empty where there is none.
    mean_margin : float or None
        Distance of the mean to the limit, positive on the good side.
    note : str
        Where the precision comes from, or why there is none.
    """

    difference: float
    mean_value: float
    certificate_count: int
    own_count: int
    allowed_difference: float | None = None
    agrees: bool | None = None
    reproducibility_limit: float | None = None
    repeatability_limit: float | None = None
    proof_distance: float | None = None
    proof_rule: str = ""
    mean_margin: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class CheckedLine:
    """One requirement of the grade, and what certificate and own laboratory say of it.

    Attributes
    ----------
    verdict : Verdict
        Certificate value against the limit; *not tested* where the certificate states no value.
    line : CertificateLine or None
        The line that answers it, or that comes nearest: right property, wrong temperature or residue.
    own_verdict : Verdict or None
        Own value against the limit; None where no own results were given.
    comparison : LaboratoryComparison or None
        Where both have a value.
    limit_differs : bool
        The certificate prints another limit than the specification.
    findings : tuple of Finding
        What is odd about this line.
    """

    verdict: Verdict
    line: CertificateLine | None = None
    own_verdict: Verdict | None = None
    comparison: LaboratoryComparison | None = None
    limit_differs: bool = False
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class CertificateCheck:
    """A certificate held line by line against the specification in force and own results.

    Attributes
    ----------
    certificate : SupplierCertificate
        As read.
    specification : Specification
        In force.
    decision_rule : DecisionRule
        Agreed beforehand.
    claim : str
        Grade that has to be shown.
    lines : tuple of CheckedLine
        Every requirement of that grade.
    unasked : tuple of CertificateLine
        Lines that no requirement of the grade asks for.
    stands : bool
        Every requirement is met by a value of the certificate, and no finding is invalid.
    findings : tuple of Finding
        All of them, of the lines too.
    own_sample : str
        Name of the own sample; empty where none was compared.
    own_sources : tuple of SourceFile
        Files behind the own results.
    price_views : tuple of PriceView
        What price rules of the contract make of the certificate's and the own values.
    """

    certificate: SupplierCertificate
    specification: Specification
    decision_rule: DecisionRule
    claim: str
    lines: tuple[CheckedLine, ...]
    unasked: tuple[CertificateLine, ...]
    stands: bool
    findings: tuple[Finding, ...] = ()
    own_sample: str = ""
    own_sources: tuple[SourceFile, ...] = ()
    price_views: tuple[PriceView, ...] = ()
