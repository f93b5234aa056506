"""Signing a PDF: an addition at the end of the file, so that every byte of the page stays as it was."""

from __future__ import annotations

import datetime
import io
from typing import Any

from asn1crypto import cms, keys, tsp
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers
from pyhanko.sign.general import as_signing_certificate_v2
from pyhanko.sign.signers.constants import ESIC_EXTENSION_1
from pyhanko_certvalidator.registry import SimpleCertificateStore

from resile.errors import FileFormatError
from resile.report.signature.engine import FOREIGN_ERRORS, in_one_line, open_pdf, quietly
from resile.report.signature.key_file import LaboratoryKey

FIELD_STEM = "Signature"
FIELD_WORDS = "Digital signature of the report"


class _PageUntouched(IncrementalPdfFileWriter):
    """Adds to a file and leaves its metadata as they are.

    The library would write the metadata anew, in another form and with itself as producer; what says that
    the page is archivable (PDF/A) and accessible (PDF/UA) is then no longer as the typesetter wrote it.
    """

    def _update_meta(self) -> None:
        pass


class _Session(signers.PdfSigner):
    """Signs at a given moment, and keeps to the version of PDF that the page was set in."""

    def __init__(self, *given: Any, at: datetime.datetime, **more: Any) -> None:
        super().__init__(*given, **more)
        self.at = at

    def init_signing_session(self, *given: Any, **more: Any) -> Any:
        session = super().init_signing_session(*given, **more)
        session.system_time = self.at
        return session

    def register_extensions(self, pdf_out: Any, *, md_algorithm: str) -> None:
        # For an elliptic-curve key the library would raise the file to PDF 2.0, which PDF/A-2 does not know.
        pdf_out.register_extension(ESIC_EXTENSION_1)


class _ListingSigner(signers.SimpleSigner):
    """States in what is signed the digest of every certificate that goes along, not of the signer's alone.

    Otherwise a changed byte in one of the others would go unseen (RFC 5035, section 3, from memory, high).
    """

    async def signed_attrs(self, *given: Any, **more: Any) -> Any:
        attributes = await super().signed_attrs(*given, **more)
        own: Any = self.signing_cert
        others = [one for one in self.cert_registry if one.dump() != own.dump()]
        listed = [as_signing_certificate_v2(one)["certs"][0] for one in (own, *others)]
        return cms.CMSAttributes(
            [
                cms.CMSAttribute(
                    {"type": one["type"], "values": [tsp.SigningCertificateV2({"certs": listed})]}
                )
                if one["type"].native == "signing_certificate_v2"
                else one
                for one in attributes
            ]
        )


def sign_pdf(content: bytes, key: LaboratoryKey, *, path: str, reason: str, at: datetime.datetime) -> bytes:
    """Sign a PDF (PAdES baseline B-B: no time stamp, nothing from a network).

    Parameters
    ----------
    content : bytes
        The PDF; it may be signed already, then the signature is a further one.
    key : LaboratoryKey
        Key and certificate.
    path : str
        Name of the PDF, for messages.
    reason : str
        Why it is signed, for example ``"test report issued"``.
    at : datetime
        Moment of signing, with its time zone; it is what the signer says, not proved.

    Returns
    -------
    bytes
        The same bytes, and the signature after them. The signature is invisible: no mark on the page.

    Raises
    ------
    FileFormatError
        Not a PDF, damaged, or of a kind that cannot be added to.
    """
    with quietly():
        reader = open_pdf(content, path)
        try:
            taken = {name for name, _, _ in fields.enumerate_sig_fields(reader)}
            name = next(
                f"{FIELD_STEM}{n}" for n in range(1, len(taken) + 2) if f"{FIELD_STEM}{n}" not in taken
            )
            signed = io.BytesIO()
            _session(key, name, reason, at).sign_pdf(_PageUntouched(io.BytesIO(content)), output=signed)
        except FOREIGN_ERRORS as error:
            raise FileFormatError(
                f"{path}: a signature cannot be added ({in_one_line(error)}); an undamaged PDF is needed"
            ) from error
    return signed.getvalue()


def _session(key: LaboratoryKey, name: str, reason: str, at: datetime.datetime) -> _Session:
    meta = signers.PdfSignatureMetadata(
        field_name=name,
        md_algorithm="sha256",
        reason=reason,
        subfilter=fields.SigSeedSubFilter.PADES,
    )
    # A field of no size, outside the page: PDF/A then asks for no picture of it, PDF/UA for no tag.
    field = fields.SigFieldSpec(
        name,
        on_page=0,
        readable_field_name=FIELD_WORDS,
        invis_sig_settings=fields.InvisSigSettings(box_out_of_bounds=True),
    )
    return _Session(meta, _signer(key), new_field_spec=field, at=at)


def _signer(key: LaboratoryKey) -> _ListingSigner:
    """Give the key in the library's own form."""
    chain: Any = SimpleCertificateStore()  # type: ignore[no-untyped-call]
    chain.register_multiple([_asn1(certificate) for certificate in key.chain])
    private = key.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    return _ListingSigner(
        signing_cert=_asn1(key.certificate),
        signing_key=keys.PrivateKeyInfo.load(private),
        cert_registry=chain,
    )


def _asn1(certificate: x509.Certificate) -> Any:
    return asn1.Certificate.load(certificate.public_bytes(Encoding.DER))
