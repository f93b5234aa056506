"""What lies inside a workbook file, checked before anything opens it.

A workbook is a zip archive of XML parts. An archive of one megabyte can unpack to gigabytes, and a cell that
holds an error or a formula without a stored result reads as blank in every fast library: that is looked for
in `workbook_cells`. `unpack_workbook` gives the XML parts, `repack` an archive that holds exactly those parts
and nothing else, so that what is read later is what was checked.
"""

from __future__ import annotations

import io
import posixpath
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from resile.errors import FileFormatError
from resile.readers.workbooks.workbook_cells import RESAVE, parse_xml

if TYPE_CHECKING:
    from collections.abc import Iterator

MAX_UNPACKED_BYTES = 200_000_000
"""Common practice, no source: a record of a million rows unpacks to about 100 MB."""
MAX_RATIO = 200
"""Unpacked over packed size. Common practice, no source: sheets of numbers pack about tenfold."""
RATIO_COUNTS_FROM_BYTES = 20_000_000
MAX_PARTS = 5_000
_CHUNK = 1 << 16
_OLD_CONTAINER = b"\xd0\xcf\x11\xe0"
_LOCKED = "EncryptedPackage".encode("utf-16-le")


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One sheet as the workbook lists it.

    Attributes
    ----------
    name : str
        Name on the tab.
    part : str
        Name of its part in the archive.
    hidden : bool
        Hidden from the person who opens the workbook.
    is_worksheet : bool
        False for a chart or dialogue sheet, which holds no cells.
    """

    name: str
    part: str
    hidden: bool
    is_worksheet: bool


def unpack_workbook(
    data: bytes, path: str, *, max_unpacked_bytes: int = MAX_UNPACKED_BYTES
) -> dict[str, bytes]:
    """Give the XML parts of a workbook by name, unpacked within a bound.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Path for messages.
    max_unpacked_bytes : int
        Most that all XML parts together may unpack to [bytes].

    Returns
    -------
    dict of str to bytes
        XML parts only; pictures and macros are left out.

    Raises
    ------
    FileFormatError
        Not a workbook of the kind .xlsx or .xlsm, locked, damaged, or too large when unpacked.
    """
    if not data:
        raise FileFormatError(f"{path}: the file is empty (0 bytes); a workbook (.xlsx) is needed")
    _refuse_other_containers(data, path)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            _refuse_other_archives({entry.filename for entry in entries}, path)
            wanted = [entry for entry in entries if entry.filename.lower().endswith((".xml", ".rels"))]
            _check_declared_sizes(wanted, len(entries), path, max_unpacked_bytes)
            return _unpack(archive, wanted, path, max_unpacked_bytes)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:
        raise FileFormatError(
            f"{path}: the workbook is damaged ({error}); fetch it again, or {RESAVE}"
        ) from error


def repack(parts: Mapping[str, bytes]) -> bytes:
    """Give an archive, not compressed, that holds the parts and nothing else."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for name, content in parts.items():
            archive.writestr(zipfile.ZipInfo(name), content)
    return buffer.getvalue()


def list_sheets(parts: Mapping[str, bytes], path: str) -> tuple[SheetPart, ...]:
    """Give the sheets of a workbook in their order.

    Raises
    ------
    FileFormatError
        The workbook lists no sheet, or its list cannot be read.
    """
    workbook = _workbook_part(parts, path)
    folder, name = posixpath.split(workbook)
    relations = {
        row["Id"]: row
        for tag, row in _elements(parts.get(f"{folder}/_rels/{name}.rels", b""), path, workbook)
        if tag == "Relationship" and "Id" in row
    }
    found: list[SheetPart] = []
    for tag, row in _elements(parts[workbook], path, workbook):
        if tag != "sheet" or "name" not in row:
            continue
        key = next((value for label, value in row.items() if label.endswith(":id")), "")
        relation = relations.get(key, {})
        target = posixpath.normpath(posixpath.join("/" + folder, relation.get("Target", ""))).lstrip("/")
        is_worksheet = relation.get("Type", "").endswith("/worksheet") and target in parts
        hidden = row.get("state", "visible") != "visible"
        found.append(SheetPart(row["name"], target, hidden, is_worksheet))
    if not found:
        raise FileFormatError(f"{path}: the workbook lists no sheet; {RESAVE}")
    return tuple(found)


def results_are_stale(parts: Mapping[str, bytes], path: str) -> bool:
    """Tell whether the workbook asks to be computed when opened, as one written by a script does."""
    workbook = _workbook_part(parts, path)
    return any(
        tag == "calcPr" and row.get("fullCalcOnLoad", "0") in {"1", "true"}
        for tag, row in _elements(parts[workbook], path, workbook)
    )


def _refuse_other_containers(data: bytes, path: str) -> None:
    if data.startswith(_OLD_CONTAINER):
        if _LOCKED in data:
            raise FileFormatError(f"{path}: the workbook is locked with a password; save it without one")
        raise FileFormatError(
            f"{path}: this is a workbook of the old kind (.xls), in which error cells "
            f"cannot be told from blanks; {RESAVE}"
        )
    if not data.startswith(b"PK"):
        raise FileFormatError(f"{path}: the bytes are not a workbook; a workbook (.xlsx) is needed")


def _refuse_other_archives(names: set[str], path: str) -> None:
    if "content.xml" in names and "mimetype" in names:
        raise FileFormatError(
            f"{path}: this is an OpenDocument file (.ods), in which error cells cannot be told from "
            f"blanks; {RESAVE}"
        )
    if "xl/workbook.bin" in names:
        raise FileFormatError(f"{path}: this is a binary workbook (.xlsb); {RESAVE}")
    if "[Content_Types].xml" not in names:
        raise FileFormatError(f"{path}: this is a zip archive but no workbook; unpack it and give the record")


def _check_declared_sizes(entries: list[zipfile.ZipInfo], count: int, path: str, limit: int) -> None:
    if count > MAX_PARTS:
        raise FileFormatError(
            f"{path}: the workbook holds {count:,} parts, more than {MAX_PARTS:,}; "
            "save the table as text (.csv)"
        )
    if any(entry.flag_bits & 1 for entry in entries):
        raise FileFormatError(f"{path}: the workbook is locked with a password; save it without one")
    unpacked = sum(entry.file_size for entry in entries)
    packed = max(1, sum(entry.compress_size for entry in entries))
    if unpacked > limit:
        _refuse_size(path, unpacked, limit)
    if unpacked > RATIO_COUNTS_FROM_BYTES and unpacked / packed > MAX_RATIO:
        raise FileFormatError(
            f"{path}: the workbook unpacks to {unpacked / packed:.0f} times its size "
            f"({unpacked / 1e6:.0f} MB), more than {MAX_RATIO} times; no record does that: "
            "save the table as text (.csv)"
        )


def _refuse_size(path: str, unpacked: int, limit: int) -> None:
    raise FileFormatError(
        f"{path}: the workbook unpacks to more than {limit / 1e6:.0f} MB ({unpacked / 1e6:.0f} MB so far); "
        f"save the table as text (.csv)"
    )


def _unpack(
    archive: zipfile.ZipFile, entries: list[zipfile.ZipInfo], path: str, limit: int
) -> dict[str, bytes]:
    # A size declared in the directory is a claim: what is really unpacked is counted as well.
    parts: dict[str, bytes] = {}
    total = 0
    for entry in entries:
        chunks: list[bytes] = []
        with archive.open(entry) as stream:
            while chunk := stream.read(_CHUNK):
                total += len(chunk)
                if total > limit:
                    _refuse_size(path, total, limit)
                chunks.append(chunk)
        parts[entry.filename] = b"".join(chunks)
    return parts


def _workbook_part(parts: Mapping[str, bytes], path: str) -> str:
    for tag, row in _elements(parts.get("_rels/.rels", b""), path, "_rels/.rels"):
        if tag == "Relationship" and row.get("Type", "").endswith("/officeDocument"):
            target = row.get("Target", "").lstrip("/")
            if target in parts:
                return target
    if "xl/workbook.xml" in parts:
        return "xl/workbook.xml"
    raise FileFormatError(f"{path}: the archive holds no workbook part; {RESAVE}")


def _elements(content: bytes, path: str, where: str) -> Iterator[tuple[str, dict[str, str]]]:
    if not content:
        return iter(())
    rows: list[tuple[str, dict[str, str]]] = []
    parse_xml(content, path, where, start=lambda tag, row: rows.append((tag.rpartition(":")[2], row)))
    return iter(rows)
