"""Editions printed beside the lines of a certificate, as measures; thresholds are in the rules."""

from __future__ import annotations

import re
from collections.abc import Iterator

from resile.judge.certificates.certificate_whole import edition_year
from resile.records.certificate import CertificateLine, SupplierCertificate
from resile.records.finding import Measure
from resile.records.specification import Specification

_YEAR_BEHIND = re.compile(r"[-–:]\s*(?:19|20)?\d\d[a-z]?$")


def measure_line_editions(
    certificate: SupplierCertificate, specification: Specification
) -> Iterator[tuple[Measure, ...]]:
    """Give the measures of the editions beside the lines.

    Parameters
    ----------
    certificate : SupplierCertificate
        As read.
    specification : Specification
        In force.

    Yields
    ------
    tuple of Measure
        For `judge_measures`, one comparison at a time: of a line that names the specification, or no method,
        with the edition in force; of an edition with the date of issue; of two editions of one method.

    Notes
    -----
    The edition of a test method is not held against one in force: the specifications here name none.
    """
    asked, issued = edition_year(specification.edition), _year_of_date(certificate.issued)
    by_method: dict[str, dict[int, str]] = {}
    for line in certificate.lines:
        year = edition_year(line.edition) or edition_year(line.method)
        if year is None:
            continue
        where, method = _place(line), _method(line.method)
        if asked is not None and method in ("", *_names(specification)):
            yield _pair("line_edition_difference_years", year, "asked_edition", asked, where)
        if issued is not None:
            yield _pair("edition_after_issue_years", year, "issued_year", issued, where)
        if method:
            by_method.setdefault(method, {}).setdefault(year, f"{year} ({where})")
    for method, years in by_method.items():
        words = f"{method.upper()}: {', '.join(years.values())}"
        yield (Measure("editions_of_one_method", float(len(years)), where=words),)


def _year_of_date(text: str) -> int | None:
    """Give the year of a date written as 2026-05-02; another form is told of elsewhere."""
    year = text.strip()[:5]
    return int(year[:4]) if year[:4].isdigit() and year.endswith("-") else None


def _pair(name: str, year: int, other: str, compared: int, where: str) -> tuple[Measure, ...]:
    return (
        Measure(name, float(year - compared), "a", where),
        Measure("line_edition", float(year)),
        Measure(other, float(compared)),
    )


def _place(line: CertificateLine) -> str:
    title = line.title or line.determination.quantity
    return f"{title}, {line.determination.place}" if line.determination.place else title


def _method(text: str) -> str:
    """Give a method without its year and its body: ``AASHTO T 350-14`` is ``t350``."""
    bare = _YEAR_BEHIND.sub("", text.strip().casefold())
    return "".join(letter for letter in bare if letter.isalnum()).removeprefix("aashto").removeprefix("astm")


def _names(specification: Specification) -> tuple[str, ...]:
    return _method(specification.document), _method(specification.identifier)
