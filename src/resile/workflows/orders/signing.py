"""Signing the paper page with the laboratory's own certificate, and verifying a signed one."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import InputError, ResileError
from resile.judge.rules.signature import judge_signatures
from resile.readers.source_file import read_source
from resile.records.finding import Finding, Severity
from resile.records.reading import SourceFile
from resile.records.signature import DocumentSignature

MOST_PDF_BYTES = 200_000_000
MOST_KEY_BYTES = 1_000_000
REASON = "Issue of the test report"


@dataclass(frozen=True, slots=True)
class VerifiedReport:
    """A PDF and what its signatures are worth.

    Attributes
    ----------
    source : SourceFile
        The file.
    signatures : tuple of DocumentSignature
        All it carries.
    findings : tuple of Finding
        What speaks against it, and what remains open.
    """

    source: SourceFile
    signatures: tuple[DocumentSignature, ...]
    findings: tuple[Finding, ...]

    @property
    def intact(self) -> bool:
        """True where the file is signed and nothing speaks against it."""
        return bool(self.signatures) and all(f.severity is not Severity.INVALID for f in self.findings)

    def to_json(self) -> dict[str, Any]:
        """Give what was found for machines."""
        from resile.report.machine.signatures import signatures_to_json

        return signatures_to_json(self.source, self.signatures, self.findings, intact=self.intact)

    def to_terminal(self, *, full: bool = True) -> Any:
        """Give a readable sheet for a terminal, findings first.

        Parameters
        ----------
        full : bool
            False for the answer and the latest signature only: what the signer wants to see.
        """
        from resile.report.terminal.signatures import render_latest, render_signatures

        if not full:
            return render_latest(self.source, self.signatures)
        return render_signatures(self.source, self.signatures, self.findings, intact=self.intact)


def verify_report(
    pdf: str | Path, *, trusted: Sequence[str | Path] = (), at: datetime.datetime | None = None
) -> VerifiedReport:
    """Look into the signatures of a PDF.

    Parameters
    ----------
    pdf : str or Path
        The file.
    trusted : sequence of str or Path
        Certificates of laboratories, or of those who vouch for them, that are trusted (PEM or DER). Where
        none is named, the name in a certificate is not checked, and a finding says so.
    at : datetime, optional
        Moment of verifying, with its time zone; now where not given.

    Returns
    -------
    VerifiedReport
        Who signed and when, whether the bytes are those that were signed, and what remains open.

    Raises
    ------
    ResileError
        Where the file is not a PDF, or a certificate cannot be read. A changed PDF is not an error.
    """
    from resile.report.signature.certificates import read_certificates

    certificates = [
        certificate
        for path in map(Path, trusted)
        for certificate in read_certificates(
            read_source(path, "certificate (.pem, .crt, .cer)", MOST_KEY_BYTES)[0], path=str(path)
        )
    ]
    content, source = read_source(Path(pdf), "signed report in PDF", MOST_PDF_BYTES)
    return _verified(content, source, certificates, at or datetime.datetime.now(datetime.UTC))


def sign_report(
    pdf: str | Path,
    key_file: str | Path,
    password: str,
    *,
    reason: str = REASON,
    output: str | Path | None = None,
    at: datetime.datetime | None = None,
) -> VerifiedReport:
    """Sign a PDF with the laboratory's own certificate.

    The page itself stays as it was, byte by byte; the signature is put after it. What was written is verified
    before it is kept.

    Parameters
    ----------
    pdf : str or Path
        The file; one that is signed already gets a further signature.
    key_file : str or Path
        PKCS#12 file (.p12, .pfx) with key and certificate.
    password : str
        Password of the key file; empty where it has none.
    reason : str
        Why it is signed; stands in the signature.
    output : str or Path, optional
        File to write; the name with ``-signed`` beside the PDF where not given. It must not exist yet.
    at : datetime, optional
        Moment of signing, with its time zone; now where not given.

    Returns
    -------
    VerifiedReport
        The file written, verified.

    Raises
    ------
    ResileError
        Where PDF or key file cannot be used, the PDF was changed after an earlier signature, or the output
        exists.
    """
    from resile.report.signature.key_file import read_key_file
    from resile.report.signature.signing import sign_pdf

    pdf = Path(pdf)
    target = Path(output) if output is not None else pdf.with_name(f"{pdf.stem}-signed.pdf")
    _is_free(target)
    moment = at or datetime.datetime.now(datetime.UTC)
    content, source = read_source(pdf, "report in PDF", MOST_PDF_BYTES)
    _may_be_signed(_verified(content, source, (), moment))
    key = read_key_file(read_locked_key(key_file), password, path=str(key_file), at=moment)
    signed = sign_pdf(content, key, path=str(pdf), reason=reason, at=moment)
    return _kept(signed, target, moment)


def read_locked_key(key_file: str | Path) -> bytes:
    """Read a key file without opening it: what is missing is said before a password is asked for.

    Parameters
    ----------
    key_file : str or Path
        PKCS#12 file.

    Returns
    -------
    bytes
        Its content, still locked.

    Raises
    ------
    MissingDependencyError
        The library that signs is not installed.
    ResileError
        There is no such file, or it is none of this kind.
    """
    import resile.report.signature  # noqa: F401 - says what to install where the library is missing

    return read_source(Path(key_file), "PKCS#12 file (.p12 or .pfx)", MOST_KEY_BYTES)[0]


def seal_with(
    key_file: str | Path, password: str, *, reason: str = REASON, at: datetime.datetime | None = None
) -> Callable[[bytes, Path], bytes]:
    """Open a key file once, to sign the pages of one or of many reports.

    Parameters
    ----------
    key_file : str or Path
        Key and certificate of the laboratory (PKCS#12).
    password : str
        Password of the key file; empty where it has none.
    reason : str
        Why it is signed; stands in the signature.
    at : datetime, optional
        Moment of signing, with its time zone; now where not given.

    Returns
    -------
    callable
        Takes a page in PDF and the file it is for, and gives the signed page, verified.

    Raises
    ------
    ResileError
        Where the key file cannot be used.
    """
    return seal_of_key(read_locked_key(key_file), password, name=str(key_file), reason=reason, at=at)


def seal_of_key(
    locked: bytes,
    password: str,
    *,
    name: str,
    reason: str = REASON,
    at: datetime.datetime | None = None,
) -> Callable[[bytes, Path], bytes]:
    """Open a key that is held as bytes, as it came with a form; it is used, and kept nowhere.

    Parameters
    ----------
    locked : bytes
        Key and certificate of the laboratory (PKCS#12), locked.
    password, reason, at
        As in `seal_with`.
    name : str
        Name under which it came, for messages.

    Returns
    -------
    callable
        As in `seal_with`.

    Raises
    ------
    ResileError
        Where the key cannot be used, or the library that signs is not installed.
    """
    from resile.report.signature.key_file import read_key_file
    from resile.report.signature.signing import sign_pdf

    if len(locked) > MOST_KEY_BYTES:
        raise InputError(f"{name}: {len(locked)} bytes is too large for a key file (.p12, .pfx)")
    moment = at or datetime.datetime.now(datetime.UTC)
    key = read_key_file(locked, password, path=name, at=moment)

    def seal(content: bytes, target: Path) -> bytes:
        signed = sign_pdf(content, key, path=str(target), reason=reason, at=moment)
        _checked(signed, target, moment)
        return signed

    return seal


def _verified(
    content: bytes, source: SourceFile, trusted: Sequence[bytes], at: datetime.datetime
) -> VerifiedReport:
    from resile.report.signature.reading import read_signatures

    signatures = read_signatures(content, path=source.path, trusted=trusted, at=at)
    findings = judge_signatures(signatures, at=at, remains=b"/ByteRange" in content)
    return VerifiedReport(source, signatures, findings)


def _may_be_signed(report: VerifiedReport) -> None:
    """Refuse to put a good name under a page that was changed after someone else signed it."""
    spoken = [finding.message for finding in report.findings if finding.severity is Severity.INVALID]
    if report.signatures and spoken:
        raise InputError(f"{report.source.path}: {spoken[0]} The original is needed.")


def _is_free(target: Path) -> None:
    if target.exists():
        raise InputError(f"{target}: the file exists and is not overwritten; name another with --output")


def _checked(signed: bytes, target: Path, at: datetime.datetime) -> VerifiedReport:
    """Verify what was signed before any of it is written."""
    source = SourceFile(str(target), hashlib.sha256(signed).hexdigest(), len(signed))
    verified = _verified(signed, source, (), at)
    if not verified.intact:
        raise ResileError(f"{target}: the signature that was made does not verify; nothing was written")
    return verified


def _kept(signed: bytes, target: Path, at: datetime.datetime) -> VerifiedReport:
    """Verify what was signed, then write it to a file that is not there yet."""
    verified = _checked(signed, target, at)
    try:
        with target.open("xb") as file:
            file.write(signed)
    except FileExistsError:
        _is_free(target)
    except OSError as error:
        raise InputError(f"{target}: cannot be written ({error.strerror or error})") from error
    return verified
