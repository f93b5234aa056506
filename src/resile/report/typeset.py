"""Setting type on paper: our own font first, and a way on where it lacks a letter."""

from __future__ import annotations

import datetime
import re
from functools import cache
from typing import Any

from resile.errors import MissingDependencyError
from resile.report.render import FONT_FOLDER

PDF_STANDARDS = ("a-2a", "ua-1")
"""Archivable with its structure, and readable by assistive programs."""
STANDARDS_WITH_FILES = ("a-3a", "ua-1")
"""The same for a PDF that carries other files."""

_NO_GLYPH = re.compile(r"the text `\"(.+?)\"` could not be displayed", re.DOTALL)
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")
_MOST_TRIES = 200


def typeset(
    files: dict[str, bytes],
    *,
    timestamp: datetime.datetime,
    standards: tuple[str, ...] = PDF_STANDARDS,
) -> bytes:
    """Set files as a PDF.

    Parameters
    ----------
    files : dict of str to bytes
        ``main.typ`` and all it reads.
    timestamp : datetime
        When the PDF says it was made.
    standards : tuple of str
        What it has to keep to.

    Returns
    -------
    bytes
        The PDF. An archivable PDF must show every letter: one that our own font lacks (Chinese, say) is taken
        from the fonts of the machine; one that none has is written as its code, for example ``[U+6837]``.
    """
    engine = _engine()
    made = _tried(engine, files, timestamp, standards, system_fonts=False)
    for _ in range(_MOST_TRIES):
        if isinstance(made, bytes):
            return made
        made = _tried(engine, files, timestamp, standards, system_fonts=True)
        if isinstance(made, str):
            files = _spelled_out(files, made)
    raise ValueError(f"more than {_MOST_TRIES} texts cannot be displayed, the last is {made!r}")


def _engine() -> Any:
    try:
        import typst
    except ImportError as error:
        raise MissingDependencyError(
            "The paper page needs the library typst, which is not installed."
        ) from error
    return typst


@cache
def _fonts(system_fonts: bool) -> Any:
    return _engine().Fonts(
        include_system_fonts=system_fonts, include_embedded_fonts=False, font_paths=[str(FONT_FOLDER)]
    )


def _tried(
    engine: Any,
    files: dict[str, bytes],
    timestamp: datetime.datetime,
    standards: tuple[str, ...],
    *,
    system_fonts: bool,
) -> bytes | str:
    """Give the PDF, or the text that no font could show."""
    try:
        made: bytes = engine.compile(
            files,
            format="pdf",
            font_paths=_fonts(system_fonts),
            ignore_system_fonts=not system_fonts,
            pdf_standards=list(standards),
            timestamp=timestamp,
        )
    except engine.TypstError as error:
        lacking = _NO_GLYPH.search(str(error))
        if lacking is None:
            raise
        return _ESCAPED.sub(lambda code: chr(int(code.group(1), 16)), lacking.group(1))
    return made


def _spelled_out(files: dict[str, bytes], text: str) -> dict[str, bytes]:
    """Write the letters of a text as their codes, in every file but the template."""
    spelled = {letter: f"[U+{ord(letter):04X}]" for letter in text if not letter.isascii()}

    def replaced(content: bytes) -> bytes:
        words = content.decode()
        for letter, code in spelled.items():
            words = words.replace(letter, code)
        return words.encode()

    return {name: content if name == "main.typ" else replaced(content) for name, content in files.items()}
