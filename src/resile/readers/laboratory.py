"""The settings file of a laboratory: who issues its reports, and under which sign.

A file that uses every key::

    name = "Laboratory of the harbour works"
    address = "Quay 3, Ambelund"
    contact = "+00 000 0000, laboratory@example.org"
    accreditation = "Accredited for T 350 and T 315 under number 000 by ..."
    logo = "logo.svg"                     # SVG or PNG, sought beside the file

The logo is drawn on every report. An SVG must be a plain drawing: it is refused where it runs scripts,
fetches anything, or needs a font, because a report has to look the same in twenty years.
"""

from __future__ import annotations

import re
import struct
import zlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from resile.errors import FileFormatError
from resile.readers.checked_toml import as_text, read_checked_toml
from resile.readers.source_file import read_source
from resile.records.laboratory import Laboratory
from resile.records.reading import HeldFile

if TYPE_CHECKING:
    from pydantic import BaseModel

MAX_LOGO_BYTES = 300_000
MAX_LOGO_PIXELS = 4000
"""Widest and highest PNG; larger ones make a report heavy and print no better."""

_PNG = b"\x89PNG\r\n\x1a\n"
_REFUSED_ELEMENTS = {
    "script": "a script",
    "foreignObject": "foreign content",
    "image": "a picture inside the picture",
    "text": "text, which needs a font; turn it into outlines",
    "style": "a style sheet; set colours on the shapes",
    "a": "a link",
    "animate": "an animation",
}


def read_laboratory(path: Path) -> Laboratory:
    """Read the settings file of a laboratory.

    Parameters
    ----------
    path : Path
        The file (.toml).

    Returns
    -------
    Laboratory
        With its logo read and checked.

    Raises
    ------
    RecordNotFoundError
        The file or its logo does not exist.
    FileFormatError
        The file is not TOML, or the logo is too large or not a plain SVG or PNG.
    SpecificationError
        Keys missing, unknown or wrong.
    """
    content: Any
    content, source = read_checked_toml(path, _model(), "laboratory settings file")
    logo, form = read_logo(path.parent / content.logo) if content.logo else (b"", "")
    return Laboratory(
        name=content.name,
        address=content.address,
        contact=content.contact,
        accreditation=content.accreditation,
        logo=logo,
        logo_form=form,
        source=source,
    )


@cache
def _model() -> type[BaseModel]:
    from typing import Annotated

    from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

    Text = Annotated[str, BeforeValidator(as_text), Field(max_length=600)]  # noqa: N806
    Needed = Annotated[Text, Field(min_length=1)]  # noqa: N806

    class LaboratoryTable(BaseModel):
        model_config = ConfigDict(extra="forbid", str_strip_whitespace=True)

        name: Needed
        address: Needed
        contact: Text = ""
        accreditation: Text = ""
        logo: Text = ""

    return LaboratoryTable


def read_logo(path: Path | HeldFile) -> tuple[bytes, str]:
    """Read the logo of a laboratory and check that it can stand on a report.

    Parameters
    ----------
    path : Path or HeldFile
        The picture (.svg, .png), on the disk or in hand.

    Returns
    -------
    tuple of (bytes, str)
        The picture, and ``"svg"`` or ``"png"``.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        Too large, or not a plain SVG or PNG.
    """
    data, _ = read_source(path, "logo (.svg, .png)", 10 * MAX_LOGO_BYTES)
    if len(data) > MAX_LOGO_BYTES:
        raise FileFormatError(
            f"{path}: the logo has {len(data) / 1000:.0f} kB; at most {MAX_LOGO_BYTES // 1000} kB can be "
            "carried by every report"
        )
    if data.startswith(_PNG):
        _check_png(path, data)
        return data, "png"
    if b"<svg" in data[:4096]:
        _check_svg(path, data)
        return data, "svg"
    raise FileFormatError(f"{path}: the logo is neither an SVG nor a PNG picture")


def _check_png(path: Path | HeldFile, data: bytes) -> None:
    """Walk through the blocks: a broken picture must be found here, not when a report is due."""
    place, kinds = len(_PNG), []
    while place + 12 <= len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        kind, body = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        checksum = data[place + 8 + length : place + 12 + length]
        if len(checksum) < 4 or struct.unpack(">I", checksum)[0] != zlib.crc32(kind + body):
            break
        if kind == b"IHDR" and len(body) == 13:
            width, height = struct.unpack(">II", body[:8])
            if not (0 < width <= MAX_LOGO_PIXELS and 0 < height <= MAX_LOGO_PIXELS):
                raise FileFormatError(
                    f"{path}: the logo has {width} x {height} pixels; at most {MAX_LOGO_PIXELS} each way"
                )
        kinds.append(kind)
        place += 12 + length
    if not kinds or kinds[0] != b"IHDR" or b"IDAT" not in kinds or kinds[-1] != b"IEND":
        raise FileFormatError(f"{path}: the logo is a broken PNG; save it anew")


def _check_svg(path: Path | HeldFile, data: bytes) -> None:
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data or b"<?xml-stylesheet" in data:
        raise FileFormatError(
            f"{path}: the logo declares a document type or style sheet; save it as a plain SVG"
        )
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, RecursionError) as error:
        raise FileFormatError(f"{path}: the logo is a broken SVG ({error})") from error
    if _bare(root.tag) != "svg" or not (root.get("viewBox") or (root.get("width") and root.get("height"))):
        raise FileFormatError(f"{path}: the logo needs a viewBox, or width and height, on its svg element")
    for element in root.iter():
        _check_element(path, element)


def _check_element(path: Path | HeldFile, element: Any) -> None:
    name = _bare(element.tag)
    refused = _REFUSED_ELEMENTS.get(name)
    if refused:
        raise FileFormatError(f"{path}: the logo holds {refused}; save it as a plain SVG")
    for key, value in element.attrib.items():
        outside = _bare(key) == "href" and not value.startswith("#")
        if outside or _bare(key).lower().startswith("on") or re.search(r"url\(\s*['\"]?[^#'\"\s]", value):
            raise FileFormatError(
                f"{path}: the logo points outside itself or runs a script ({_bare(key)}); "
                "save it as a plain SVG"
            )


def _bare(name: object) -> str:
    """Give a name without its namespace; comments have none."""
    return name.rsplit("}", 1)[-1] if isinstance(name, str) else ""
