"""Throw-away keys and certificates of invented laboratories."""

import datetime
from dataclasses import dataclass

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    pkcs12,
)
from cryptography.x509.oid import NameOID

Key = ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey | ed25519.Ed25519PrivateKey
PASSWORD = "open sesame"
NOON = datetime.datetime(2026, 5, 12, 12, 0, tzinfo=datetime.UTC)
"""When everything in these tests is signed."""
USAGES = (
    "digital_signature",
    "content_commitment",
    "key_encipherment",
    "data_encipherment",
    "key_agreement",
    "key_cert_sign",
    "crl_sign",
    "encipher_only",
    "decipher_only",
)
YEAR = datetime.timedelta(days=365)


@dataclass(frozen=True)
class Identity:
    """A key, its certificate and those who vouch for it."""

    key: Key
    certificate: x509.Certificate
    chain: tuple[x509.Certificate, ...] = ()

    @property
    def pem(self) -> bytes:
        return self.certificate.public_bytes(Encoding.PEM)

    @property
    def key_pem(self) -> bytes:
        return self.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())

    def key_file(self, password: str = PASSWORD) -> bytes:
        lock = BestAvailableEncryption(password.encode()) if password else NoEncryption()
        return pkcs12.serialize_key_and_certificates(
            b"laboratory", self.key, self.certificate, list(self.chain), lock
        )


def make_identity(
    name: str = "Reports of the Kaltbach works (invented)",
    *,
    by: Identity | None = None,
    key: Key | None = None,
    first: datetime.datetime = NOON - YEAR,
    last: datetime.datetime = NOON + YEAR,
    authority: bool = False,
    usage: str | None = "digital_signature",
) -> Identity:
    """Make a key and a certificate; it vouches for itself unless another does."""
    key = key or ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Kaltbach works (invented)"),
            x509.NameAttribute(NameOID.COMMON_NAME, name),
        ]
    )
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(by.certificate.subject if by else subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(first)
        .not_valid_after(last)
        .add_extension(x509.BasicConstraints(authority, None), critical=True)
    )
    if usage is not None:
        allowed = {one: one == usage or (authority and one == "key_cert_sign") for one in USAGES}
        builder = builder.add_extension(x509.KeyUsage(**allowed), critical=True)
    certificate = builder.sign(
        by.key if by else key, None if isinstance(key, ed25519.Ed25519PrivateKey) else hashes.SHA256()
    )
    return Identity(key, certificate, (by.certificate, *by.chain) if by else ())
