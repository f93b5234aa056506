"""The border to the library that signs: what it raises, and silence about what we say ourselves."""

from __future__ import annotations

import io
import logging
import zlib
from collections.abc import Iterator
from contextlib import contextmanager

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.x509 import InvalidVersion
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader

from resile.errors import FileFormatError, InputError

FOREIGN_ERRORS = (
    PdfError,
    ValueError,  # among them all errors of signing, of signatures and of certificates
    LookupError,
    TypeError,
    AttributeError,
    AssertionError,
    NotImplementedError,
    ArithmeticError,
    RecursionError,
    EOFError,
    zlib.error,
    InvalidVersion,
    InvalidSignature,
    UnsupportedAlgorithm,
)
"""What the library raises when it walks through a damaged file: it trusts to find what it expects."""

HEADER_WITHIN = 1024
"""A PDF begins within so many bytes: ISO 32000-1, annex H, implementation note 13, from memory (medium)."""

_LOGGERS = ("pyhanko", "pyhanko_certvalidator")


def open_pdf(content: bytes, path: str) -> PdfFileReader:
    """Open a PDF.

    Parameters
    ----------
    content : bytes
        The file.
    path : str
        Its name, for messages.

    Returns
    -------
    PdfFileReader
        Over the same bytes.

    Raises
    ------
    FileFormatError
        Empty, another kind of file, damaged or cut short.
    InputError
        Locked with a password.
    """
    if not content:
        raise FileFormatError(f"{path}: the file is empty; a PDF is needed")
    if b"%PDF-" not in content[:HEADER_WITHIN]:
        raise FileFormatError(f"{path}: this is not a PDF; a report in PDF is needed")
    try:
        reader = PdfFileReader(io.BytesIO(content))
        locked = reader.encrypted
        _ = reader.root["/Pages"]
    except FOREIGN_ERRORS:
        raise FileFormatError(
            f"{path}: the file begins as a PDF but is damaged or cut short; a whole copy is needed"
        ) from None
    if locked:
        raise InputError(f"{path}: the PDF is locked with a password; one that is open is needed")
    return reader


def in_one_line(error: BaseException) -> str:
    """Give what a foreign error says as part of a sentence."""
    return " ".join(str(error).split()).rstrip(".") or type(error).__name__


@contextmanager
def quietly() -> Iterator[None]:
    """Keep the library from writing to standard error what the answer says in one sentence."""
    loggers = [logging.getLogger(name) for name in _LOGGERS]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)
