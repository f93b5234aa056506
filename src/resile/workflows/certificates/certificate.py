"""A supplier's certificate, held line by line against the specification in force and our own results."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.judge.across.findings import findings_across_tests
from resile.judge.certificates.certificate_editions import measure_line_editions
from resile.judge.certificates.certificate_whole import Expected, measure_certificate, measure_repetition
from resile.judge.findings import judge_measures
from resile.judge.grades.grade_claim import parse_grade_claim
from resile.judge.grades.grade_lines import counts_as_good
from resile.readers.certificate import read_certificate
from resile.readers.layout import Layout
from resile.readers.order import read_order
from resile.readers.source_file import given_file
from resile.records.certificate import (
    CertificateCheck,
    SupplierCertificate,
)
from resile.records.determination import Result
from resile.records.finding import Finding, Severity
from resile.records.order import TestOrder
from resile.records.reading import HeldFile, SourceFile
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.prices import load_price_rule
from resile.version import __version__
from resile.workflows.certificates.certificate_lines import checked_lines
from resile.workflows.judging.doubts import summary_doubts
from resile.workflows.judging.grading import Yardstick, agree, grade_sample
from resile.workflows.judging.own_results import results_of, specification_for
from resile.workflows.judging.prices import price_views_of

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

_TOLD_BY_THE_CHECK = ("typical-value",)


@dataclass(frozen=True, slots=True)
class CertificateReport:
    """A checked certificate that can show itself.

    Attributes
    ----------
    check : CertificateCheck
        Line by line, with findings.
    order : TestOrder or None
        The order the own results come from.
    """

    check: CertificateCheck
    order: TestOrder | None = None

    @property
    def stands(self) -> bool:
        """True where every requirement is met by a measured value and no finding is invalid."""
        return self.check.stands

    def to_json(self) -> dict[str, Any]:
        """Give the check for machines."""
        from resile.report.machine.certificate import check_to_json

        return check_to_json(self.check)

    def to_terminal(self) -> Any:
        """Give the check as a readable sheet."""
        from resile.report.terminal.certificate import render_check

        return render_check(self.check)

    def page(self, *, date: str) -> Page:
        """Give the sheet as texts and pictures ready to be set.

        Parameters
        ----------
        date : str
            Date of the check, YYYY-MM-DD.

        Returns
        -------
        Page
            For screen and paper.
        """
        from resile.report.paper.certificates.certificate import certificate_page

        order = self.order
        return certificate_page(
            self.check,
            date=date,
            laboratory=order.laboratory if order else "",
            checked_by=order.operator if order else "",
            reviewed_by=order.reviewed_by if order else "",
            package_version=__version__,
        )

    def write(self, folder: str | Path, *, date: str) -> list[Path]:
        """Write the sheet as HTML, PDF and XLSX into a folder.

        Parameters
        ----------
        folder : str or Path
            Made if need be.
        date : str
            Date of the check, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.
        """
        from resile.report.page import html_of_page, pdf_of_page
        from resile.report.workbook.certificate import certificate_workbook
        from resile.workflows.orders.pages import file_stem, write_file

        page = self.page(date=date)
        stem = Path(folder) / file_stem(f"certificate-{self.check.certificate.number or page.sample}")
        return [
            write_file(stem.with_name(f"{stem.name}.html"), html_of_page(page, version=__version__).encode()),
            write_file(stem.with_name(f"{stem.name}.pdf"), pdf_of_page(page)),
            write_file(stem.with_name(f"{stem.name}.xlsx"), certificate_workbook(self.check, page)),
        ]


def check_certificate(
    certificate: str | Path | HeldFile,
    *,
    own: str | Path | None = None,
    specification: str | Path | None = None,
    claim: str | None = None,
    decision_rule: str | None = None,
    uncertainty_basis: str | None = None,
    retest_rule: str | None = None,
    precision: str | Path = "",
    tested: str = "",
    sample: str = "",
    batch: str = "",
    tank: str = "",
    delivered: str = "",
    earlier: Sequence[str | Path] = (),
    price_rules: Sequence[str | Path] = (),
    price_limit: float | None = None,
    layout: Layout | None = None,
) -> CertificateReport:
    """Check a certificate line by line.

    Parameters
    ----------
    certificate : str or Path or HeldFile
        Table (CSV, XLSX) or TOML.
    own : str or Path, optional
        Own results: a test order (TOML) or a table of one sample.
    specification : str or Path, optional
        In force; else that of the order, else by the way the grade is written.
    claim : str, optional
        Grade to be shown; else the one on the certificate, else that of the order.
    decision_rule, uncertainty_basis, retest_rule : str, optional
        Agreed beforehand; else those of the order.
    precision, tested : str
        The laboratory's own precision (name or file), for the basis ``own``, and the day of its tests; else
        those of the order.
    sample : str
        Which batch of a certificate that holds several.
    batch, tank, delivered : str
        As on the delivery note; the date as YYYY-MM-DD.
    earlier : sequence of str or Path
        Other certificates: values repeated from them are told.
    price_rules : sequence of str or Path
        Price rules of the contract, by name or file; `price_limit` is the limit they count from.
    price_limit : float, optional
        Where rule and specification have none.
    layout : Layout, optional
        How the certificate's table is to be understood.

    Returns
    -------
    CertificateReport
        Lines, findings, and whether it stands.

    Raises
    ------
    InputError
        Where no grade is claimed anywhere, or the specification has no such grade.
    """
    read = read_certificate(given_file(certificate), sample=sample, layout=layout)
    read = replace(read, delivered=delivered or read.delivered)
    order = read_order(Path(own)) if own is not None and Path(own).suffix.lower() == ".toml" else None
    asked = claim or read.claimed_grade or (order.sample.claimed_grade if order else "")
    if not asked:
        raise InputError(f"{certificate}: no grade is claimed on it; name the grade to be shown with --claim")
    chosen = {
        "decision_rule": decision_rule,
        "uncertainty_basis": uncertainty_basis,
        "retest_rule": retest_rule,
        "precision": precision,
        "tested": tested,
    }
    agreed = _agreed(order, asked, specification, chosen)
    agreed = replace(agreed, price_rules=tuple(map(load_price_rule, price_rules)), price_limit=price_limit)
    wanted = parse_grade_claim(asked, agreed.specification)
    own_sample, own_results = _own(own, order)
    rules = load_finding_rules("certificate")
    name = f"certificate {read.number}" if read.number else read.lines[0].determination.sample
    supplied = replace(agreed, own=())  # own precision says nothing about what the supplier measured
    certified = grade_sample(
        name, [replace(line.determination, sample=name) for line in read.lines], supplied
    )
    lines = checked_lines(read, certified.results, own_results, wanted, agreed, rules)
    used = [line.line for line in lines]
    expected = Expected(
        wanted.label, batch, tank, delivered or (order.sample.received if order else ""), _words(order)
    )
    whole = judge_measures(measure_certificate(read, lines, agreed.specification, expected), rules)
    editions = [
        finding
        for measures in measure_line_editions(read, agreed.specification)
        for finding in judge_measures(measures, rules)
    ]
    repeated = [
        finding
        for path in earlier
        for finding in judge_measures(measure_repetition(read, read_certificate(Path(path))), rules)
    ]
    findings = tuple(
        dict.fromkeys(
            (
                *whole,
                *editions,
                *(f for line in lines for f in line.findings),
                *repeated,
                *read.findings,
                *_doubts(read, certified.results, agreed),
            )
        )
    )
    check = CertificateCheck(
        certificate=read,
        specification=agreed.specification,
        decision_rule=agreed.decision_rule,
        claim=wanted.label,
        lines=lines,
        unasked=tuple(line for line in read.lines if line not in used),
        stands=bool(lines)
        and all(counts_as_good(line.verdict, agreed.decision_rule) for line in lines)
        and not any(finding.severity is Severity.INVALID for finding in findings),
        findings=findings,
        own_sample=own_sample,
        own_sources=_sources(own_results),
        price_views=(*certified.price_views, *price_views_of(own_results, agreed)),
    )
    return CertificateReport(check, order)


def _agreed(
    order: TestOrder | None, grade: str, specification: str | Path | None, given: dict[str, Any]
) -> Yardstick:
    """Give the yardstick: what is named here, else by the order, else what the grade is written by."""
    chosen: dict[str, Any] = {
        name: value or (getattr(order, name) if order else "") for name, value in given.items()
    }
    document = specification or (order.specification if order else "") or specification_for(grade)
    return agree(document, **{name: value for name, value in chosen.items() if value})


def _own(own: str | Path | None, order: TestOrder | None) -> tuple[str, tuple[Result, ...]]:
    return results_of(own if order else None, None if order else own)


def _words(order: TestOrder | None) -> str:
    if order is None:
        return ""
    sample = order.sample
    return " ".join((sample.name, sample.product, sample.container, sample.taken, sample.state, *order.notes))


def _sources(results: Sequence[Result]) -> tuple[SourceFile, ...]:
    found = [d.source for result in results for d in result.determinations if d.source is not None]
    return tuple(dict.fromkeys(found))


def _doubts(
    certificate: SupplierCertificate, results: Sequence[Result], agreed: Yardstick
) -> tuple[Finding, ...]:
    """Give the doubts about the values as such, as for any typed table."""
    values = [line.determination for line in certificate.lines]
    found = summary_doubts(values, agreed).get(values[0].sample, {})
    told = [finding for by in found.values() for finding in by]
    across = findings_across_tests(results, agreed.across)
    of_values = (f for result in results for f in result.findings if f.code not in _TOLD_BY_THE_CHECK)
    return (*told, *across, *of_values)
