"""The signatures of a PDF for other programs: plain dictionaries, ``None`` where unknown."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.finding import Finding
from resile.records.reading import SourceFile
from resile.records.signature import DocumentSignature, SigningCertificate
from resile.report.machine.records import Json, finding_to_json


def signatures_to_json(
    source: SourceFile, signatures: Sequence[DocumentSignature], findings: Sequence[Finding], *, intact: bool
) -> Json:
    """Give a verified PDF as a dictionary.

    Parameters
    ----------
    source : SourceFile
        The file.
    signatures : sequence of DocumentSignature
        All of it.
    findings : sequence of Finding
        What they are worth.
    intact : bool
        Signed, and nothing speaks against it.

    Returns
    -------
    dict
        One entry a signature; times in ISO 8601.
    """
    return {
        "source": {"path": source.path, "sha256": source.sha256},
        "intact": intact,
        "signatures": [_signature(signature) for signature in signatures],
        "findings": [finding_to_json(finding) for finding in findings],
    }


def _signature(signature: DocumentSignature) -> Json:
    return {
        "field_name": signature.field_name,
        "certificate": _certificate(signature.certificate),
        "signed_at": signature.signed_at or None,
        "reason": signature.reason,
        "unchanged": signature.unchanged,
        "coverage": str(signature.coverage),
        "additions": str(signature.additions),
        "trusted": signature.trusted,
        "problem": signature.problem or None,
    }


def _certificate(certificate: SigningCertificate | None) -> Json | None:
    if certificate is None:
        return None
    return {
        "owner": certificate.owner,
        "organisation": certificate.organisation,
        "issuer": certificate.issuer,
        "valid_from": certificate.valid_from,
        "valid_until": certificate.valid_until,
        "fingerprint": certificate.fingerprint,
    }
