"""What is odd about a certificate as a whole: gaps, edition, dates, batch, grade, copied values."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from resile.judge.certificates.certificate_lines import line_words
from resile.records.certificate import CheckedLine, SupplierCertificate
from resile.records.finding import Measure
from resile.records.specification import Specification
from resile.records.verdict import Outcome

_YEAR = re.compile(r"\b(19|20)(\d\d)\b(?!-\d\d-)|[-–:](\d\d)\b(?!\d)")


@dataclass(frozen=True, slots=True)
class Expected:
    """What is known of the load apart from the certificate; empty where nothing is.

    Attributes
    ----------
    claim : str
        Grade to be shown.
    batch, tank : str
        On the delivery note.
    delivered : str
        Date of delivery or receipt, YYYY-MM-DD.
    order_words : str
        All that the test order says of the sample; empty where there is no order.
    """

    claim: str
    batch: str = ""
    tank: str = ""
    delivered: str = ""
    order_words: str = ""


def measure_certificate(
    certificate: SupplierCertificate,
    lines: Sequence[CheckedLine],
    specification: Specification,
    expected: Expected,
) -> tuple[Measure, ...]:
    """Give the measures of a certificate as a whole.

    Parameters
    ----------
    certificate : SupplierCertificate
        As read.
    lines : sequence of CheckedLine
        Every requirement of the grade.
    specification : Specification
        In force.
    expected : Expected
        Delivery note and order.

    Returns
    -------
    tuple of Measure
        For `judge_measures`.
    """
    return (
        *_gaps(lines),
        *_edition(certificate, specification),
        *_dates(certificate, expected),
        *_identity(certificate, expected),
    )


def measure_repetition(certificate: SupplierCertificate, other: SupplierCertificate) -> tuple[Measure, ...]:
    """Give how many values are the same, digit for digit, as on another certificate.

    Parameters
    ----------
    certificate, other : SupplierCertificate
        Of two batches.

    Returns
    -------
    tuple of Measure
        Empty where they have no property in common.
    """
    mine, theirs = _printed(certificate), _printed(other)
    common = mine.keys() & theirs.keys()
    if not common:
        return ()
    equal = sum(mine[key] == theirs[key] for key in common)
    name = f"certificate {other.number}" if other.number else other.source.path
    return (
        Measure("equal_values_percent", 100.0 * equal / len(common), "%", where=name),
        Measure("values_in_common", float(len(common)), where=name),
    )


def edition_year(text: str) -> int | None:
    """Give the year of an edition in a text: ``M 332-14``, ``2014``; None where there is none.

    Parameters
    ----------
    text : str
        As printed.

    Returns
    -------
    int or None
        Four digits.
    """
    found = None
    for match in _YEAR.finditer(text):
        found = int(match[1] + match[2]) if match[1] else 2000 + int(match[3])
    return found


def _printed(certificate: SupplierCertificate) -> dict[tuple[object, ...], str]:
    return {
        (d.quantity, d.condition, d.temperature_c): d.text
        for d in (line.determination for line in certificate.lines)
    }


def _gaps(lines: Sequence[CheckedLine]) -> Iterator[Measure]:
    missing = [line for line in lines if line.verdict.outcome is Outcome.NOT_TESTED]
    yield Measure(
        "missing_lines", float(len(missing)), where="; ".join(line_words(m.verdict) for m in missing)
    )
    yield Measure("required_lines", float(len(lines)))
    without = [
        line for line in lines if line.verdict.value is not None and line.line and not line.line.value_basis
    ]
    yield Measure("lines_without_basis", float(len(without)))


def _edition(certificate: SupplierCertificate, specification: Specification) -> Iterator[Measure]:
    asked = edition_year(specification.edition)
    if asked is None:
        return
    yield Measure("asked_edition", float(asked))
    stated = edition_year(certificate.stated_specification)
    if stated is None:
        yield Measure("edition_not_stated", 1.0)
        return
    yield Measure("stated_edition", float(stated))
    yield Measure("edition_difference_years", float(stated - asked))


def _day(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text.strip()[:10])
    except ValueError:
        return None


def _dates(certificate: SupplierCertificate, expected: Expected) -> Iterator[Measure]:
    arrival = expected.delivered or certificate.delivered
    named = {"issued": certificate.issued, "delivered": arrival, "valid until": certificate.valid_until}
    unreadable = [f"{name} '{text}'" for name, text in named.items() if text and _day(text) is None]
    yield Measure("unreadable_dates", float(len(unreadable)), where=", ".join(unreadable))
    delivered, issued, valid = _day(arrival), _day(certificate.issued), _day(certificate.valid_until)
    if delivered is None:
        return
    where = f"the delivery of {delivered.isoformat()}"
    if issued is not None:
        yield Measure("age_days", float((delivered - issued).days), "d", where)
        yield Measure("issued_after_days", float((issued - delivered).days), "d", where)
    if valid is not None:
        yield Measure("days_past_validity", float((delivered - valid).days), "d", where)


def _identity(certificate: SupplierCertificate, expected: Expected) -> Iterator[Measure]:
    stated = {"batch": certificate.batch, "tank": certificate.tank}
    asked = {"batch": expected.batch, "tank": expected.tank}
    wrong = []
    for name, printed in stated.items():
        wanted = asked[name] or (_in_order(name, expected.order_words) if printed else "")
        if wanted and _plain(printed) != _plain(wanted):
            wrong.append(f"{name} {printed or 'not stated'} on the certificate, {name} {wanted} delivered")
    yield Measure("batch_differs", float(len(wrong)), where="; ".join(wrong))
    if expected.order_words:
        absent = [
            f"{name} {printed}"
            for name, printed in stated.items()
            if printed and not asked[name] and not _mentions(expected.order_words, printed)
        ]
        told = not any(name.partition(" ")[0] in " ".join(wrong) for name in absent)
        yield Measure("batch_not_in_order", float(len(absent) * told), where=" and ".join(absent))
    if certificate.claimed_grade and _grade(certificate.claimed_grade) != _grade(expected.claim):
        words = f"{certificate.claimed_grade} on the certificate, {expected.claim} to be shown"
        yield Measure("grade_differs", 1.0, where=words)


def _in_order(name: str, words: str) -> str:
    """Give the batch or tank that the words of an order name ("tank 7"); empty where they name none."""
    found = re.search(rf"\b{name}\s+(?:no\.?\s*)?([\w./-]*\d[\w/-]*)", words, re.IGNORECASE)
    return found[1] if found else ""


def _mentions(words: str, text: str) -> bool:
    """Tell whether a text stands in words as a word of its own: tank 4 is not in seal 0433."""
    return re.search(rf"(?<!\w){re.escape(text.casefold())}(?!\w)", words.casefold()) is not None


def _plain(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _grade(text: str) -> str:
    return _plain(text.replace("\N{MINUS SIGN}", "-").replace("-", "m")).removeprefix("pg")
