"""What the signatures of a PDF are worth: from what was found in the file to findings."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from resile.records.finding import Finding, Severity
from resile.records.signature import Additions, Coverage, DocumentSignature

_DEFINITION = "by definition"
_PADES = "ETSI EN 319 142-1, baseline B-B, from memory (medium)"


def judge_signatures(
    signatures: Sequence[DocumentSignature], *, at: datetime.datetime, remains: bool = False
) -> tuple[Finding, ...]:
    """Judge the signatures of one file together.

    Parameters
    ----------
    signatures : sequence of DocumentSignature
        All of the file.
    at : datetime
        Moment of judging, with its time zone.
    remains : bool
        The bytes of the file hold the words of a signature, though none can be reached.

    Returns
    -------
    tuple of Finding
        An invalid one says that the file must not be relied on. Without one the file is signed and intact.
    """
    if not signatures:
        return (_unsigned(remains),)
    found: list[Finding] = []
    for signature in signatures:
        if signature.problem:
            found.append(_broken(signature))
        else:
            found += [*_scope(signature), *_validity(signature, at), *_trust(signature)]
    if any(not signature.problem for signature in signatures):
        found.append(_own_clock())
    return tuple(found)


def _who(signature: DocumentSignature) -> str:
    owner = signature.certificate.owner if signature.certificate else "unknown signer"
    return f"{signature.field_name} ({owner})"


def _unsigned(remains: bool) -> Finding:
    message = "The file carries no signature."
    if remains:
        message = "The file holds the remains of a signature, but none that can be reached."
    return Finding(
        "not-signed",
        Severity.INVALID,
        message,
        rule="at least one signature",
        source=_DEFINITION,
        advice="Ask the laboratory for the signed copy.",
    )


def _broken(signature: DocumentSignature) -> Finding:
    return Finding(
        "signature-broken",
        Severity.INVALID,
        f"{_who(signature)}: {signature.problem}.",
        rule="every covered byte as it was signed",
        source=_DEFINITION,
        advice="Do not rely on this copy; ask the laboratory for the original.",
    )


def _scope(signature: DocumentSignature) -> list[Finding]:
    """What the signature does not reach."""
    if signature.coverage is Coverage.PART:
        return [
            Finding(
                "partly-covered",
                Severity.INVALID,
                f"{_who(signature)}: only part of the file is covered by the signature.",
                rule="the whole file, or the whole of an earlier state of it",
                source=_DEFINITION,
                advice="What is not covered can be anything; ask the laboratory for the original.",
            )
        ]
    if signature.additions is Additions.OTHER:
        return [
            Finding(
                "added-after-signing",
                Severity.INVALID,
                f"{_who(signature)}: more than a further signature was added to the file afterwards.",
                rule="nothing but invisible signatures after a signature",
                source=_DEFINITION,
                advice="The page may no longer show what was signed; ask the laboratory for the original.",
            )
        ]
    if signature.additions is Additions.SIGNATURES:
        return [
            Finding(
                "signed-again",
                Severity.NOTE,
                f"{_who(signature)}: the file was signed again afterwards; the page is as it was.",
                rule="nothing but invisible signatures after a signature",
                source=_DEFINITION,
            )
        ]
    return []


def _validity(signature: DocumentSignature, at: datetime.datetime) -> list[Finding]:
    """Hold the stated time of signing, and today, against the dates of the certificate."""
    if signature.certificate is None:
        return []
    first, last = (
        datetime.datetime.fromisoformat(end)
        for end in (signature.certificate.valid_from, signature.certificate.valid_until)
    )
    signed = datetime.datetime.fromisoformat(signature.signed_at) if signature.signed_at else at
    rule = "signed while the certificate was valid"
    if not first <= signed <= last:
        return [
            Finding(
                "certificate-not-valid",
                Severity.INVALID,
                f"{_who(signature)}: signed on {signed:%Y-%m-%d}, but the certificate is valid from "
                f"{first:%Y-%m-%d} to {last:%Y-%m-%d}.",
                rule=rule,
                source="RFC 5280, section 6.1, from memory (high)",
                advice="Ask the laboratory to sign with a valid certificate.",
            )
        ]
    if at > last:
        return [
            Finding(
                "certificate-expired",
                Severity.CAUTION,
                f"{_who(signature)}: the certificate expired on {last:%Y-%m-%d}; by its own clock the "
                "laboratory signed before that.",
                rule=rule,
                source=_PADES,
                advice="Without a time stamp by a third party the time cannot be proved: ask the laboratory.",
            )
        ]
    return []


def _trust(signature: DocumentSignature) -> list[Finding]:
    if signature.trusted is None:
        return [
            Finding(
                "signer-not-checked",
                Severity.CAUTION,
                f"{_who(signature)}: the name is only what the certificate says; anyone can make one.",
                rule="the certificate leads to one that is trusted",
                source=_DEFINITION,
                advice="Get the laboratory's certificate by another way and name it with --trust, "
                "or compare the fingerprint.",
            )
        ]
    if not signature.trusted:
        return [
            Finding(
                "certificate-not-trusted",
                Severity.INVALID,
                f"{_who(signature)}: the certificate does not lead to a trusted one.",
                rule="the certificate leads to one that is trusted",
                source="RFC 5280, section 6.1, from memory (high)",
                advice="Compare the fingerprint with the laboratory: someone else may have signed.",
            )
        ]
    return [
        Finding(
            "revocation-not-checked",
            Severity.NOTE,
            f"{_who(signature)}: whether the certificate was withdrawn is not looked up, since nothing is "
            "fetched from a network.",
            rule="no network",
            source=_PADES,
            advice="Where a key was lost, the laboratory says from when on its signatures do not count.",
        )
    ]


def _own_clock() -> Finding:
    return Finding(
        "time-not-proved",
        Severity.NOTE,
        "The time of signing is that of the signing computer's clock; no third party has stamped it.",
        rule="no time stamp",
        source=_PADES,
    )
