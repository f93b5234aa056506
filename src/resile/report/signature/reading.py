"""Looking into the signatures of a PDF: facts only; what they are worth is judged elsewhere."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from typing import Any

from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import fields
from pyhanko.sign.diff_analysis import DiffResult, ModificationLevel
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.pdf_embedded import EmbeddedPdfSignature
from pyhanko.sign.validation.status import PdfSignatureStatus, SignatureCoverageLevel

from resile.errors import FileFormatError
from resile.records.signature import Additions, Coverage, DocumentSignature
from resile.report.signature.certificates import certificate_of, context_of, in_universal_time, usages_asked
from resile.report.signature.container import container_flaw
from resile.report.signature.engine import FOREIGN_ERRORS, in_one_line, open_pdf, quietly


def read_signatures(
    content: bytes, *, path: str, trusted: Sequence[bytes] = (), at: datetime.datetime
) -> tuple[DocumentSignature, ...]:
    """Look into every signature of a PDF.

    Parameters
    ----------
    content : bytes
        The file.
    path : str
        Its name, for messages.
    trusted : sequence of bytes
        Certificates that are trusted, in DER; empty where none is named.
    at : datetime
        Moment for which a certificate is tried where a signature states no time.

    Returns
    -------
    tuple of DocumentSignature
        In the order of the file's form; empty where it is not signed. One that cannot be read says so.

    Raises
    ------
    FileFormatError
        Not a PDF, damaged or cut short.
    InputError
        Locked with a password.
    """
    with quietly():
        reader = open_pdf(content, path)
        try:
            found = list(fields.enumerate_sig_fields(reader, filled_status=True))
        except FOREIGN_ERRORS:
            raise FileFormatError(
                f"{path}: the form that holds the signatures is damaged; a whole copy is needed"
            ) from None
        return tuple(_looked_into(reader, content, name, field, trusted, at) for name, _, field in found)


def _looked_into(
    reader: PdfFileReader,
    content: bytes,
    name: str,
    field: Any,
    trusted: Sequence[bytes],
    at: datetime.datetime,
) -> DocumentSignature:
    try:
        signature = EmbeddedPdfSignature(reader, field.get_object(), name)
        claimed = signature.self_reported_timestamp
        status = validate_pdf_signature(
            signature,
            context_of(trusted, claimed or at),
            key_usage_settings=usages_asked(signature.signer_cert),
        )
        flaw = container_flaw(content, signature.byte_range, signature.signed_data, signature.signer_cert)
        return _facts(signature, status, flaw, len(content), trusted_asked=bool(trusted))
    except FOREIGN_ERRORS as error:
        return DocumentSignature(
            field_name=name,
            certificate=None,
            signed_at="",
            reason="",
            unchanged=False,
            coverage=Coverage.PART,
            additions=Additions.OTHER,
            trusted=None,
            problem=f"the signature cannot be read ({in_one_line(error)})",
        )


def _facts(
    signature: EmbeddedPdfSignature,
    status: PdfSignatureStatus,
    flaw: str,
    length: int,
    *,
    trusted_asked: bool,
) -> DocumentSignature:
    claimed = signature.self_reported_timestamp
    return DocumentSignature(
        field_name=signature.field_name,
        certificate=certificate_of(signature.signer_cert),
        signed_at=in_universal_time(claimed) if claimed else "",
        reason=str(signature.sig_object.get("/Reason", "")),
        unchanged=bool(status.intact and status.valid and not flaw),
        coverage=_coverage(signature, status, length),
        additions=_additions(signature, status),
        trusted=bool(status.trusted) if trusted_asked else None,
        problem=_problem(status, flaw),
    )


def _problem(status: PdfSignatureStatus, flaw: str) -> str:
    if not status.intact:
        return "the bytes of the file are not those that were signed"
    if not status.valid:
        return "the signature does not belong to its certificate"
    return flaw


def _coverage(signature: EmbeddedPdfSignature, status: PdfSignatureStatus, length: int) -> Coverage:
    end = int(signature.byte_range[-2]) + int(signature.byte_range[-1])
    if status.coverage == SignatureCoverageLevel.ENTIRE_FILE and end == length:
        return Coverage.WHOLE_FILE
    if status.coverage == SignatureCoverageLevel.ENTIRE_REVISION:
        return Coverage.EARLIER_STATE
    return Coverage.PART


def _additions(signature: EmbeddedPdfSignature, status: PdfSignatureStatus) -> Additions:
    """Tell a further signature, which leaves the page as it is, from anything else."""
    if status.coverage == SignatureCoverageLevel.ENTIRE_FILE:
        return Additions.NONE
    result = status.diff_result
    if not isinstance(result, DiffResult) or result.modification_level not in (
        ModificationLevel.NONE,
        ModificationLevel.LTA_UPDATES,
        ModificationLevel.FORM_FILLING,
    ):
        return Additions.OTHER
    later = list(_later_fields(signature))
    names = {field.get("/T") for field in later}
    if not later or set(result.changed_form_fields) - names or any(map(_is_visible, later)):
        return Additions.OTHER
    return Additions.SIGNATURES


def _later_fields(signature: EmbeddedPdfSignature) -> Iterator[Any]:
    """Give the signature fields that were filled after this one."""
    for _, value, field in fields.enumerate_sig_fields(signature.reader, filled_status=True):
        changed = signature.reader.xrefs.get_last_change(value.reference)
        if changed > signature.signed_revision:
            yield field.get_object()


def _is_visible(field: Any) -> bool:
    """Tell a field with room on the page: a picture in it could lie over what was signed."""
    left, low, right, high = (float(end) for end in field.get("/Rect", (0, 0, 0, 0)))
    return left != right and low != high
