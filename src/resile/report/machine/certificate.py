"""A checked certificate as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.certificate import (
    CertificateCheck,
    CertificateLine,
    CheckedLine,
    LaboratoryComparison,
    SupplierCertificate,
)
from resile.report.machine.grade import verdict_to_json
from resile.report.machine.price import price_to_json
from resile.report.machine.records import account_to_json, finding_to_json

Json = dict[str, Any]


def check_to_json(check: CertificateCheck) -> Json:
    """Give a checked certificate with glossary names.

    Parameters
    ----------
    check : CertificateCheck
        Line by line, with findings.

    Returns
    -------
    dict
        Certificate, specification, lines, findings, and whether it stands.
    """
    rules = check.specification
    return {
        "stands": check.stands,
        "claim": check.claim,
        "certificate": _certificate(check.certificate),
        "specification": {"identifier": rules.identifier, "edition": rules.edition, "sha256": rules.sha256},
        "decision_rule": check.decision_rule.name,
        "own_sample": check.own_sample or None,
        "own_sources": [{"path": one.path, "sha256": one.sha256} for one in check.own_sources],
        "lines": [_line(line) for line in check.lines],
        "price_views": [price_to_json(view) for view in check.price_views],
        "unasked": [_printed(line) for line in check.unasked],
        "findings": [finding_to_json(finding) for finding in check.findings],
        "account": account_to_json(check.certificate.account),
    }


def _certificate(one: SupplierCertificate) -> Json:
    return {
        "source": {"path": one.source.path, "sha256": one.source.sha256},
        "number": one.number or None,
        "supplier": one.supplier or None,
        "product": one.product or None,
        "claimed_grade": one.claimed_grade or None,
        "stated_specification": one.stated_specification or None,
        "batch": one.batch or None,
        "tank": one.tank or None,
        "issued": one.issued or None,
        "delivered": one.delivered or None,
        "valid_until": one.valid_until or None,
        "invented": one.invented,
    }


def _line(line: CheckedLine) -> Json:
    return {
        "verdict": verdict_to_json(line.verdict),
        "printed": None if line.line is None else _printed(line.line),
        "limit_differs": line.limit_differs,
        "own_verdict": None if line.own_verdict is None else verdict_to_json(line.own_verdict),
        "comparison": _comparison(line.comparison),
        "findings": [finding.code for finding in line.findings],
    }


def _printed(line: CertificateLine) -> Json:
    found = line.determination
    return {
        "title": line.title,
        "quantity": found.quantity,
        "condition": str(found.condition),
        "temperature_c": found.temperature_c,
        "value": found.value,
        "unit": found.unit,
        "text": found.text,
        "place": found.place,
        "method": line.method or None,
        "edition": line.edition or None,
        "printed_limit": line.printed_limit,
        "printed_limit_text": line.printed_limit_text or None,
        "printed_bound": line.printed_bound or None,
        "value_basis": line.value_basis or None,
    }


def _comparison(two: LaboratoryComparison | None) -> Json | None:
    if two is None:
        return None
    return {
        "difference": two.difference,
        "mean_value": two.mean_value,
        "certificate_count": two.certificate_count,
        "own_count": two.own_count,
        "allowed_difference": two.allowed_difference,
        "agrees": two.agrees,
        "reproducibility_limit": two.reproducibility_limit,
        "repeatability_limit": two.repeatability_limit,
        "proof_distance": two.proof_distance,
        "proof_rule": two.proof_rule or None,
        "mean_margin": two.mean_margin,
        "note": two.note or None,
    }
