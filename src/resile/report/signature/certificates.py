"""Certificates: who they name, and whether one leads to another that is trusted."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Sequence
from typing import Any

from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko_certvalidator import ValidationContext

from resile.errors import InputError
from resile.records.signature import SigningCertificate

SIGNING_USAGES = frozenset({"digital_signature", "non_repudiation"})


def read_certificates(content: bytes, *, path: str) -> tuple[bytes, ...]:
    """Read the certificates that a person trusts.

    Parameters
    ----------
    content : bytes
        PEM with one certificate or several, or one in DER.
    path : str
        Name of the file, for messages.

    Returns
    -------
    tuple of bytes
        Each in DER.

    Raises
    ------
    InputError
        Where the file holds no certificate.
    """
    try:
        if b"-----BEGIN" in content:
            found = x509.load_pem_x509_certificates(content)
        else:
            found = [x509.load_der_x509_certificate(content)]
    except ValueError:
        raise InputError(
            f"{path}: the file holds no certificate that can be read; "
            "a certificate as PEM or DER (.pem, .crt, .cer) is needed"
        ) from None
    return tuple(certificate.public_bytes(Encoding.DER) for certificate in found)


def certificate_of(certificate: Any) -> SigningCertificate:
    """Give what a certificate says, in words a person compares."""
    owner = certificate.subject.native
    validity = certificate["tbs_certificate"]["validity"]
    return SigningCertificate(
        owner=_text(owner.get("common_name")) or certificate.subject.human_friendly,
        organisation=_text(owner.get("organization_name")),
        issuer=_text(certificate.issuer.native.get("common_name")) or certificate.issuer.human_friendly,
        valid_from=in_universal_time(validity["not_before"].native),
        valid_until=in_universal_time(validity["not_after"].native),
        fingerprint=hashlib.sha256(certificate.dump()).hexdigest(),
    )


def _text(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return str(value or "")


def in_universal_time(moment: datetime.datetime) -> str:
    """Give a moment as ISO 8601 in universal time, to the second."""
    aware = moment if moment.tzinfo else moment.replace(tzinfo=datetime.UTC)
    return aware.astimezone(datetime.UTC).isoformat(timespec="seconds")


def context_of(trusted: Sequence[bytes], at: datetime.datetime) -> ValidationContext:
    """Give what certificates are held against: the named ones only, no network, at the moment of signing.

    Parameters
    ----------
    trusted : sequence of bytes
        Certificates in DER; empty where none is trusted. The computer's own list is never asked.
    at : datetime
        Moment at which the certificates must be valid.

    Returns
    -------
    ValidationContext
        Of the library.
    """
    return ValidationContext(
        trust_roots=[asn1.Certificate.load(one) for one in trusted],
        allow_fetching=False,
        moment=at,
        revocation_mode="soft-fail",
    )


def usages_asked(certificate: Any) -> KeyUsageConstraints:
    """Ask for a usage that signs, where a certificate states usages at all."""
    stated = certificate.key_usage_value is not None
    return KeyUsageConstraints(key_usage=SIGNING_USAGES if stated else frozenset())
