"""A key that vouches for itself, to try signing with: worth nothing, and its certificate says so."""

from __future__ import annotations

import datetime

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding, pkcs12
from cryptography.x509.oid import NameOID

VALID_FOR = datetime.timedelta(days=365)
_CLOCKS_APART = datetime.timedelta(hours=1)


def throwaway_key_file(
    *, owner: str, organisation: str, password: str, at: datetime.datetime
) -> tuple[bytes, bytes]:
    """Make a key file and its certificate.

    Parameters
    ----------
    owner, organisation : str
        Stand in the certificate; they must say that it is worth nothing.
    password : str
        Locks the key file; not empty.
    at : datetime
        When it is made; it is valid for a year from then.

    Returns
    -------
    tuple of (bytes, bytes)
        PKCS#12 file, and the certificate alone (PEM).
    """
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, organisation),
            x509.NameAttribute(NameOID.COMMON_NAME, owner),
        ]
    )
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - _CLOCKS_APART)
        .not_valid_after(at + VALID_FOR)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    locked = pkcs12.serialize_key_and_certificates(
        b"demonstration", key, certificate, None, BestAvailableEncryption(password.encode())
    )
    return locked, certificate.public_bytes(Encoding.PEM)
