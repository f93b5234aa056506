"""The settings file of a laboratory is read whole; a logo that could hurt a report is refused."""

import struct
import zlib
from pathlib import Path

import pytest

from resile.errors import FileFormatError, RecordNotFoundError, SpecificationError
from resile.readers.laboratory import MAX_LOGO_BYTES, read_laboratory

PLAIN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 10"><rect width="40" height="10"/></svg>'


def png(width: int = 2, height: int = 2) -> bytes:
    """A PNG from its definition: ISO/IEC 15948, clauses 5 and 11."""

    def block(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    rows = b"".join(b"\x00" + b"\x20\x60\x80" * width for _ in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    blocks = block(b"IHDR", head) + block(b"IDAT", zlib.compress(rows)) + block(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + blocks


def settings(folder: Path, logo: str | bytes | None = None, more: str = "") -> Path:
    text = 'name = "Works laboratory (invented)"\naddress = "Quay 3, Ambelund"\n'
    if logo is not None:
        content = logo.encode() if isinstance(logo, str) else logo
        (folder / "logo.bin").write_bytes(content)
        text += 'logo = "logo.bin"\n'
    path = folder / "laboratory.toml"
    path.write_text(text + more, encoding="utf-8")
    return path


def test_every_key_is_read(tmp_path: Path) -> None:
    more = 'contact = "lab@example.org"\naccreditation = "Accredited for nothing (invented)."\n'
    laboratory = read_laboratory(settings(tmp_path, PLAIN, more))
    assert laboratory.name == "Works laboratory (invented)"
    assert laboratory.address == "Quay 3, Ambelund"
    assert laboratory.contact == "lab@example.org"
    assert laboratory.accreditation == "Accredited for nothing (invented)."
    assert (laboratory.logo, laboratory.logo_form) == (PLAIN.encode(), "svg")
    assert laboratory.source is not None


def test_a_png_is_known_by_its_bytes_not_its_name(tmp_path: Path) -> None:
    assert read_laboratory(settings(tmp_path, png())).logo_form == "png"


@pytest.mark.parametrize(
    ("logo", "told"),
    [
        (b"GIF89a....", "neither an SVG nor a PNG"),
        (PLAIN.replace("<rect", "<script>1</script><rect"), "holds a script"),
        (PLAIN.replace("<rect", "<text>A</text><rect"), "turn it into outlines"),
        (PLAIN.replace("<rect", '<use href="https://example.org/x"/><rect'), "points outside itself"),
        (PLAIN.replace("<rect", '<rect onload="x()"'), "runs a script"),
        (PLAIN.replace("<rect", '<rect fill="url(https://example.org/)"'), "points outside itself"),
        ('<!DOCTYPE svg [<!ENTITY a "b">]>' + PLAIN, "document type"),
        (PLAIN.replace("</svg>", ""), "broken SVG"),
        (PLAIN.replace(' viewBox="0 0 40 10"', ""), "needs a viewBox"),
        (png()[:-4], "broken PNG"),
        (png().replace(b"IDAT", b"IDAX"), "broken PNG"),
        (png(5000, 1), "5000 x 1 pixels"),
        (PLAIN + " " * MAX_LOGO_BYTES, "at most 300 kB"),
    ],
)
def test_a_logo_that_is_no_plain_picture_is_refused(tmp_path: Path, logo: str | bytes, told: str) -> None:
    with pytest.raises(FileFormatError, match=told):
        read_laboratory(settings(tmp_path, logo))


def test_a_missing_logo_is_named(tmp_path: Path) -> None:
    with pytest.raises(RecordNotFoundError, match=r"sign\.svg"):
        read_laboratory(settings(tmp_path, more='logo = "sign.svg"\n'))


def test_a_misspelt_key_is_refused_with_the_nearest_one(tmp_path: Path) -> None:
    with pytest.raises(SpecificationError, match="perhaps 'accreditation'"):
        read_laboratory(settings(tmp_path, more='acreditation = "x"\n'))
