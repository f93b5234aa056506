"""The laboratory's key and certificate, from a PKCS#12 file."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from asn1crypto import pkcs12 as container
from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat, pkcs12

from resile.errors import InputError

SHORTEST_RSA_BITS = 2048
"""Shorter keys are no longer held to be safe: NIST SP 800-131A Rev. 2, table 2, from memory (high)."""

_NEEDED = "a PKCS#12 file (.p12 or .pfx) with the laboratory's key and certificate is needed"

PrivateKey = rsa.RSAPrivateKey | ec.EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True)
class LaboratoryKey:
    """A private key with its certificate; it never leaves the room.

    Attributes
    ----------
    key : private key
        RSA or elliptic curve.
    certificate : cryptography.x509.Certificate
        Made out to the owner of the key.
    chain : tuple of cryptography.x509.Certificate
        Certificates of those who vouch for it, as far as the file holds them.
    """

    key: PrivateKey
    certificate: x509.Certificate
    chain: tuple[x509.Certificate, ...]


def read_key_file(content: bytes, password: str, *, path: str, at: datetime.datetime) -> LaboratoryKey:
    """Open a key file.

    Parameters
    ----------
    content : bytes
        The file.
    password : str
        Its password; empty where it has none.
    path : str
        Name of the file, for messages.
    at : datetime
        When the key is to be used: the certificate must be valid then.

    Returns
    -------
    LaboratoryKey
        Key, certificate and chain.

    Raises
    ------
    InputError
        Not a PKCS#12 file, wrong password, no key or certificate in it, or one that cannot sign a report now.
    """
    _is_container(content, path)
    key, certificate, chain = _opened(content, password, path)
    if key is None:
        raise InputError(f"{path}: the file holds no private key; {_NEEDED}")
    if certificate is None:
        raise InputError(f"{path}: the file holds no certificate for its key; {_NEEDED}")
    if not isinstance(key, PrivateKey):
        raise InputError(f"{path}: the key is of another kind; an RSA or elliptic-curve key is needed")
    if isinstance(key, rsa.RSAPrivateKey) and key.key_size < SHORTEST_RSA_BITS:
        raise InputError(
            f"{path}: the RSA key has {key.key_size} bits; at least {SHORTEST_RSA_BITS} are needed"
        )
    _belongs(key, certificate, path)
    _may_sign(certificate, path, at)
    return LaboratoryKey(key, certificate, tuple(chain))


def _is_container(content: bytes, path: str) -> None:
    """Tell another kind of file from a wrong password: the library gives one error for both."""
    if not content:
        raise InputError(f"{path}: the file is empty; {_NEEDED}")
    if content.lstrip().startswith(b"-----BEGIN"):
        raise InputError(f"{path}: this is a PEM text; {_NEEDED} (openssl pkcs12 -export makes one)")
    try:
        version = container.Pfx.load(content, strict=True)["version"].native
    except (ValueError, TypeError, KeyError):
        version = None
    if version != "v3":
        raise InputError(f"{path}: this is not a PKCS#12 file; {_NEEDED}")


def _opened(
    content: bytes, password: str, path: str
) -> tuple[object | None, x509.Certificate | None, list[x509.Certificate]]:
    try:
        return pkcs12.load_key_and_certificates(content, password.encode("utf-8") if password else None)
    except UnsupportedAlgorithm:
        raise InputError(
            f"{path}: the file is locked in a way that is no longer used; "
            "export it again with a present-day program (openssl pkcs12 -export)"
        ) from None
    except (ValueError, TypeError):
        found = "the password does not open the file" if password else "the file needs a password"
        raise InputError(f"{path}: {found}; the one it was exported with is needed") from None


def _belongs(key: PrivateKey, certificate: x509.Certificate, path: str) -> None:
    form = (Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    if key.public_key().public_bytes(*form) != certificate.public_key().public_bytes(*form):
        raise InputError(f"{path}: key and certificate do not belong together; export both from one store")


def _may_sign(certificate: x509.Certificate, path: str, at: datetime.datetime) -> None:
    first, last = certificate.not_valid_before_utc, certificate.not_valid_after_utc
    if at > last:
        raise InputError(f"{path}: the certificate expired on {last:%Y-%m-%d}; a valid one is needed")
    if at < first:
        raise InputError(f"{path}: the certificate is valid from {first:%Y-%m-%d} on; a valid one is needed")
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return
    if not (usage.digital_signature or usage.content_commitment):
        raise InputError(
            f"{path}: the certificate is not made for signing; "
            "key usage 'digital signature' or 'non repudiation' is needed"
        )
