"""The place in a PDF that no signature can cover: its own.

A signature covers every byte but its own, which stand between ``<`` and ``>`` as hexadecimal digits followed
by noughts. What stands there and is not protected by the signature itself must be exactly as signing writes
it, or a changed byte would go unseen: a digit made a capital, something among the noughts, another version.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from typing import Any

from asn1crypto import parser
from cryptography import x509
from cryptography.exceptions import InvalidSignature

_DIGITS = re.compile(rb"<((?:[0-9a-f]{2})+|(?:[0-9A-F]{2})+)>")
_NO_PARAMETERS = (b"", b"\x05\x00")


def container_flaw(content: bytes, byte_range: Sequence[int], signed_data: Any, signer: Any) -> str:
    """Look for anything in the container that the signature does not protect and that is not as it must be.

    Parameters
    ----------
    content : bytes
        The whole file.
    byte_range : sequence of int
        Offset and length of the two covered parts.
    signed_data : asn1crypto.cms.SignedData
        As read from the container.
    signer : asn1crypto.x509.Certificate
        Certificate of the signer, which the signature protects by its digest.

    Returns
    -------
    str
        What is wrong; empty where nothing is.
    """
    if len(byte_range) != 4 or byte_range[0] != 0:
        return "the covered bytes are not stated as two parts from the start of the file"
    digits = _DIGITS.fullmatch(content[byte_range[1] : byte_range[2]])
    if digits is None:
        return "what stands between the covered parts is not a signature alone"
    written = bytes.fromhex(digits[1].decode("ascii"))
    length = parser.peek(written)
    if any(written[length:]):
        return "the signature is not followed by noughts"
    if not _is_plain(written[:length]):
        return "a length stated in the signature is wrong"
    return _flaw_of_header(signed_data, signer) or _flaw_of_certificates(signed_data)


def _is_plain(written: bytes) -> bool:
    """Tell whether every length, of parts and of parts in them, is stated in the one form that DER has."""
    while written:
        length = parser.peek(written)
        one, written = written[:length], written[length:]
        kind, method, tag, _, inner, _ = parser.parse(one)
        is_filling = kind == 0 and tag == 0  # noughts drawn in by a length that is too great
        if is_filling or parser.emit(kind, method, tag, inner) != one or (method and not _is_plain(inner)):
            return False
    return True


def _flaw_of_header(signed_data: Any, certificate: Any) -> str:
    """Hold what is said about the signature to RFC 5652, sections 5.1 and 5.3 (from memory, high)."""
    (signer,) = signed_data["signer_infos"]
    by_serial = signer["sid"].name == "issuer_and_serial_number"
    if by_serial and signer["sid"].chosen["issuer"].dump() != certificate.issuer.dump():
        return "the signature names another issuer than its certificate"
    whole = 1 if by_serial and all(one.name == "certificate" for one in signed_data["certificates"]) else None
    for version, right in ((signer["version"], 1 if by_serial else 3), (signed_data["version"], whole)):
        if right is not None and int(version) != right:
            return f"a version number in the signature is {int(version)} instead of {right}"
    digest = signer["digest_algorithm"]
    if any(one.dump() != digest.dump() for one in signed_data["digest_algorithms"]):
        return "the signature states two different digests"
    if digest["parameters"].dump() not in _NO_PARAMETERS:
        return "the digest of the signature is not stated in the usual form"
    return ""


def _flaw_of_certificates(signed_data: Any) -> str:
    """Hold the certificates beside the signer's to what the signature says of them.

    Our own signatures list the digest of every one. Those of other programs mostly list that of the signer
    alone: then each is held to the one that vouches for it, as far as that came along.
    """
    held = [one.chosen.untag().dump() for one in signed_data["certificates"] if one.name == "certificate"]
    listed = _listed_digests(signed_data)
    if len(listed) == len(held) > 1:
        right = all(any(hashlib.new(name, one).digest() == value for name, value in listed) for one in held)
    else:
        certificates = [x509.load_der_x509_certificate(one) for one in held]
        right = all(_is_vouched_for(one, certificates) for one in certificates)
    return "" if right else "a certificate that came with the signature is damaged"


def _listed_digests(signed_data: Any) -> set[tuple[str, bytes]]:
    (signer,) = signed_data["signer_infos"]
    return {
        (entry["hash_algorithm"]["algorithm"].native, entry["cert_hash"].native)
        for attribute in signer["signed_attrs"]
        if attribute["type"].native == "signing_certificate_v2"
        for value in attribute["values"]
        for entry in value["certs"]
    }


def _is_vouched_for(certificate: x509.Certificate, others: Sequence[x509.Certificate]) -> bool:
    """Tell whether a certificate is as its issuer made it; true where no issuer is at hand."""
    issuers = [one for one in others if one.subject == certificate.issuer]
    return not issuers or any(_vouches(issuer, certificate) for issuer in issuers)


def _vouches(issuer: x509.Certificate, certificate: x509.Certificate) -> bool:
    try:
        certificate.verify_directly_issued_by(issuer)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True
