"""The sheet of a verified PDF: the answer, the findings, then each signature."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding
from resile.records.reading import SourceFile
from resile.records.signature import DocumentSignature, SigningCertificate
from resile.report.terminal.grids import fact_lines, finding_lines, heading_line, sheet_of, title_line

if TYPE_CHECKING:
    from rich.console import Group

TRUST_LABEL = "Certificate trusted"


def render_signatures(
    source: SourceFile,
    signatures: Sequence[DocumentSignature],
    findings: tuple[Finding, ...],
    *,
    intact: bool,
) -> Group:
    """Give what was found in the signatures of a file.

    Parameters
    ----------
    source : SourceFile
        The file.
    signatures : sequence of DocumentSignature
        All of it.
    findings : tuple of Finding
        What they are worth.
    intact : bool
        Signed, and nothing speaks against it.

    Returns
    -------
    rich.console.Group
        The answer first.
    """
    answer = "signed, and unchanged since" if intact else "NOT signed and intact"
    if not signatures:
        answer = "not signed"
    parts: list[Any] = [title_line(f"{source.path}: {answer}")]
    parts += finding_lines(findings)
    for signature in signatures:
        parts += ["", heading_line(signature.field_name), *fact_lines(_facts(signature))]
    parts += ["", *fact_lines((("SHA-256 of the file", source.sha256),))]
    return sheet_of(parts)


def render_latest(source: SourceFile, signatures: Sequence[DocumentSignature]) -> Group:
    """Give the latest signature of a file, as the one who has just signed wants to see it."""
    facts = tuple(fact for fact in _facts(signatures[-1]) if fact[0] != TRUST_LABEL)
    return sheet_of([title_line(f"{source.path}: signed"), *fact_lines(facts)])


def _facts(signature: DocumentSignature) -> tuple[tuple[str, str], ...]:
    certificate = signature.certificate
    if certificate is None:
        return (("Problem", signature.problem),)
    trusted = {True: "yes", False: "NO", None: "not checked (name a certificate with --trust)"}
    return (
        ("Signed by", ", ".join(part for part in (certificate.owner, certificate.organisation) if part)),
        ("Signed at", _moment(signature.signed_at) or "not stated"),
        ("Reason", signature.reason or "not stated"),
        ("Covered bytes", "unchanged since" if signature.unchanged else f"CHANGED: {signature.problem}"),
        ("Covers", f"the {signature.coverage}".replace("the part", "only part")),
        ("Added since", str(signature.additions)),
        (TRUST_LABEL, trusted[signature.trusted]),
        *_certificate_facts(certificate),
    )


def _certificate_facts(certificate: SigningCertificate) -> tuple[tuple[str, str], ...]:
    vouched = "itself" if certificate.issuer == certificate.owner else certificate.issuer
    return (
        ("Issued by", vouched),
        ("Valid", f"{certificate.valid_from[:10]} to {certificate.valid_until[:10]}"),
        ("Fingerprint", certificate.fingerprint),
    )


def _moment(iso: str) -> str:
    return f"{iso[:10]} {iso[11:19]} UTC, by the signer's clock" if iso else ""
