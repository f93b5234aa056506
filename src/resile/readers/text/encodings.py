"""Bytes to text: byte-order mark, zero bytes, strict UTF-8, then the code page whose words make sense."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from resile.errors import FileFormatError
from resile.readers.grids.vocabulary import fold, vocabulary
from resile.units import find_unit

CANDIDATES = ("cp1252", "cp1250", "cp1251", "gb18030", "koi8-r", "cp866", "big5")
_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_KINDS = (
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a zip archive"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"II*\x00", "a picture (TIFF)"),
    (b"MM\x00*", "a picture (TIFF)"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\xd0\xcf\x11\xe0", "an old office document (.doc or .xls)"),
    (b"SQLite format 3", "a database"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
    (b"{\\rtf", "a word-processor document (RTF)"),
)
_NEEDED = "a text file (.csv, .txt) or a workbook (.xlsx) with columns is needed"
_CONTROLS = bytes(c for c in range(32) if c not in b"\t\n\r\f\x1a")
_SAMPLE_BYTES = 65_536
_ODD_LINES = 100
_TOKEN = re.compile(r"[;,\t\n|\[\]()（）【】，；/#\"]+|\s{2,}")


@dataclass(frozen=True, slots=True)
class Decoded:
    """A text and how it was decoded.

    Attributes
    ----------
    text : str
        The text without a byte-order mark.
    encoding : str
        Name of the encoding.
    remark : str
        Why that encoding, where it was not certain; empty otherwise.
    """

    text: str
    encoding: str
    remark: str = ""


def refuse_other_kinds(data: bytes, path: str) -> None:
    """Refuse bytes that are plainly no text.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Named in the refusal.

    Raises
    ------
    FileFormatError
        One sentence that says what the file looks like.
    """
    for start, kind in _KINDS:
        if data.startswith(start) and not (
            start == b"MZ" and data[:200].isascii() and b"\x00" not in data[:200]
        ):
            raise FileFormatError(f"{path}: this looks like {kind}; {_NEEDED}")
    opening = data[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if opening.startswith((b"<!doctype html", b"<html", b"<?xml", b"<table", b"<head", b"<body")):
        kind = "an XML document" if opening.startswith(b"<?xml") else "a web page (HTML)"
        raise FileFormatError(f"{path}: this looks like {kind}; {_NEEDED}")
    if opening.startswith((b"{", b"[{", b"[[")):
        raise FileFormatError(f"{path}: this looks like JSON; {_NEEDED}")


def _utf16_without_mark(data: bytes) -> str | None:
    """Tell UTF-16 without a mark by its zero bytes."""
    sample = data[:2048]
    pairs = len(sample) // 2
    if pairs < 4:
        return None
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > 0.6 * pairs and even < 0.05 * pairs:
        return "utf-16-le"
    if even > 0.6 * pairs and odd < 0.05 * pairs:
        return "utf-16-be"
    return None


def _sense(text: str) -> int:
    """Count the words of a text that make sense as headings or units; those beyond ASCII weigh more."""
    known = vocabulary()
    score = 0
    for token in dict.fromkeys(part.strip() for part in _TOKEN.split(text)):
        weight = 1 if token.isascii() else 4
        folded = fold(token)
        hit = folded in known.words or folded in known.unused or folded in known.levelled
        hit = hit or find_unit(token) is not None
        if not hit:
            pieces = token.replace("_", " ").split()
            odd = [piece for piece in (*pieces, " ".join(pieces[:-1])) if not piece.isascii()]
            hit = any(fold(piece) in known.words or find_unit(piece) is not None for piece in odd)
        score += weight if hit else 0
    return score


def _decode_as(data: bytes, encoding: str, path: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise FileFormatError(
            f"{path}, line {line}: byte 0x{data[error.start]:02x} is not {encoding}; "
            "give the encoding the file was written in (--encoding)"
        ) from None
    except LookupError:
        raise FileFormatError(
            f"{path}: {encoding!r} is not an encoding; try utf-8, utf-16 or cp1252"
        ) from None


def _code_page(data: bytes, path: str) -> Decoded:
    """Choose among one-byte code pages and the Chinese one by the words they make."""
    best: tuple[int, str, str] | None = None
    for encoding in CANDIDATES:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        # Only lines with other than ASCII letters differ between the candidates.
        odd = [line for line in text[:_SAMPLE_BYTES].split("\n") if not line.isascii()]
        score = _sense("\n".join(odd[:_ODD_LINES]))
        if best is None or score > best[0]:
            best = (score, encoding, text)
    if best is None:
        raise FileFormatError(
            f"{path}: the bytes are no text in any encoding tried "
            f"(UTF-8, {', '.join(CANDIDATES)}); give --encoding"
        )
    why = "in which the headings make most sense" if best[0] else "a guess, as no heading is known in any"
    return Decoded(best[2], best[1], f"not UTF-8; read as {best[1]}, {why}")


def decode(data: bytes, path: str, *, encoding: str = "") -> Decoded:
    """Turn the bytes of a record into text.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Named in a refusal.
    encoding : str
        Encoding to take; found where empty.

    Returns
    -------
    Decoded
        Text, encoding and, where a choice was made, the reason.

    Raises
    ------
    FileFormatError
        The bytes are no text.
    """
    refuse_other_kinds(data, path)
    for mark, name in _MARKS:
        if data.startswith(mark) and (not encoding or mark == codecs.BOM_UTF8):
            return Decoded(_decode_as(data[len(mark) :], name, path), name)
    if encoding:
        return Decoded(_decode_as(data, encoding, path).lstrip("\ufeff"), encoding, "encoding as given")
    wide = _utf16_without_mark(data)
    if wide:
        return Decoded(
            _decode_as(data[: len(data) // 2 * 2], wide, path), wide, "UTF-16 without a byte-order mark"
        )
    sample = data[:_SAMPLE_BYTES]
    controls = len(sample) - len(sample.translate(None, _CONTROLS))
    if b"\x00" in data or controls > len(sample) // 100:
        place = data.find(b"\x00")
        line = data.count(b"\n", 0, place) + 1
        where = f"line {line}: zero byte" if place >= 0 else "control bytes"
        raise FileFormatError(f"{path}, {where}: this is binary data or a damaged text; {_NEEDED}")
    try:
        return Decoded(data.decode("utf-8"), "utf-8")
    except UnicodeDecodeError:
        return _code_page(data, path)
