"""What a digital signature in a PDF says of itself, and what was found when it was looked into."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Coverage(StrEnum):
    """How much of the file a signature covers."""

    WHOLE_FILE = "whole file"
    EARLIER_STATE = "earlier state"
    PART = "part of the file"


class Additions(StrEnum):
    """What stands in the file beyond the state that was signed."""

    NONE = "nothing"
    SIGNATURES = "further signatures"
    OTHER = "other content"


@dataclass(frozen=True, slots=True)
class SigningCertificate:
    """The certificate that came with a signature.

    Attributes
    ----------
    owner : str
        Name the certificate is made out to.
    organisation : str
        Organisation of the owner; empty where the certificate names none.
    issuer : str
        Who vouches for the name; the owner's own name where nobody else does.
    valid_from, valid_until : str
        First and last moment of validity, ISO 8601 in universal time.
    fingerprint : str
        SHA-256 of the certificate, 64 hexadecimal digits: what is compared by telephone or on paper.
    """

    owner: str
    organisation: str
    issuer: str
    valid_from: str
    valid_until: str
    fingerprint: str


@dataclass(frozen=True, slots=True)
class DocumentSignature:
    """One signature of a PDF.

    Attributes
    ----------
    field_name : str
        Name of the signature field.
    certificate : SigningCertificate or None
        Who signed; None where the signature cannot be read.
    signed_at : str
        Time of signing by the clock of the signing computer, ISO 8601; empty where none is stated.
    reason : str
        Reason as given by the signer.
    unchanged : bool
        The bytes it covers are those that were signed, and the signature belongs to the certificate.
    coverage : Coverage
        How much of the file it covers.
    additions : Additions
        What was added to the file afterwards.
    trusted : bool or None
        Whether the certificate leads to one of those named as trusted; None where none was named.
    problem : str
        Why the signature cannot be read or does not hold; empty where it holds.
    """

    field_name: str
    certificate: SigningCertificate | None
    signed_at: str
    reason: str
    unchanged: bool
    coverage: Coverage
    additions: Additions
    trusted: bool | None
    problem: str = ""
