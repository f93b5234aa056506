"""What lies inside a workbook file, checked before anything opens it.

A workbook is a zip archive of XML parts. An archive of one megabyte can unpack to gigabytes, and a cell that
holds an error or a formula without a stored result reads as blank in every fast library: both are looked for
here. `unpack_workbook` gives the XML parts, `repack` an archive that holds exactly those parts and nothing
else, so that what is read later is what was checked.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.parsers import expat

from resile.errors import FileFormatError

if TYPE_CHECKING:
    from collections.abc import Iterator

MAX_UNPACKED_BYTES = 200_000_000
"""Common practice, no source: a record of a million rows unpacks to about 100 MB."""
MAX_RATIO = 200
"""Unpacked over packed size. Common practice, no source: sheets of numbers pack about tenfold."""
RATIO_COUNTS_FROM_BYTES = 20_000_000
MAX_PARTS = 5_000
MAX_CELLS = 10_000_000
_CHUNK = 1 << 16
_OLD_CONTAINER = b"\xd0\xcf\x11\xe0"
_LOCKED = "EncryptedPackage".encode("utf-16-le")
_RESAVE = "open it and save it as .xlsx"


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
            f"{path}: the workbook is damaged ({error}); fetch it again, or {_RESAVE}"
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
        raise FileFormatError(f"{path}: the workbook lists no sheet; {_RESAVE}")
    return tuple(found)


def results_are_stale(parts: Mapping[str, bytes], path: str) -> bool:
    """Tell whether the workbook asks to be computed when opened, as one written by a script does."""
    workbook = _workbook_part(parts, path)
    return any(
        tag == "calcPr" and row.get("fullCalcOnLoad", "0") in {"1", "true"}
        for tag, row in _elements(parts[workbook], path, workbook)
    )


def refuse_blind_cells(content: bytes, path: str, sheet: str, *, stale: bool) -> None:
    """Refuse a sheet that holds an error, or a formula whose result was never stored.

    Parameters
    ----------
    content : bytes
        XML of the sheet.
    path, sheet : str
        File and sheet for messages.
    stale : bool
        The workbook asks to be computed when opened: a stored result of 0 is then no result.

    Raises
    ------
    FileFormatError
        Names the first such cell, and how many there are; or the sheet spans too many cells, or is damaged.
    """
    scan = _SheetScan(stale=stale)
    _parse(content, path, f"sheet {sheet}", start=scan.start, end=scan.end, text=scan.text)
    if scan.last_row * scan.last_column > MAX_CELLS:
        raise FileFormatError(
            f"{path}, sheet {sheet}: cells reach to row {scan.last_row}, column {scan.last_column}, "
            f"more than {MAX_CELLS:,} cells; delete what lies far outside the table, or save the table as text (.csv)"
        )
    if scan.blind:
        cell, reason = scan.blind
        more = f" (and {scan.blind_count - 1} more such cells)" if scan.blind_count > 1 else ""
        raise FileFormatError(f"{path}, sheet {sheet}, cell {cell}: {reason}{more}")


def _refuse_other_containers(data: bytes, path: str) -> None:
    if data.startswith(_OLD_CONTAINER):
        if _LOCKED in data:
            raise FileFormatError(f"{path}: the workbook is locked with a password; save it without one")
        raise FileFormatError(
            f"{path}: this is a workbook of the old kind (.xls), in which error cells "
            f"cannot be told from blanks; {_RESAVE}"
        )
    if not data.startswith(b"PK"):
        raise FileFormatError(f"{path}: the bytes are not a workbook; a workbook (.xlsx) is needed")


def _refuse_other_archives(names: set[str], path: str) -> None:
    if "content.xml" in names and "mimetype" in names:
        raise FileFormatError(
            f"{path}: this is an OpenDocument file (.ods), in which error cells cannot be told from "
            f"blanks; {_RESAVE}"
        )
    if "xl/workbook.bin" in names:
        raise FileFormatError(f"{path}: this is a binary workbook (.xlsb); {_RESAVE}")
    if "[Content_Types].xml" not in names:
        raise FileFormatError(f"{path}: this is a zip archive but no workbook; unpack it and give the record")


def _check_declared_sizes(entries: list[zipfile.ZipInfo], count: int, path: str, limit: int) -> None:
    if count > MAX_PARTS:
        raise FileFormatError(
            f"{path}: the workbook holds {count:,} parts, more than {MAX_PARTS:,}; save the table as text (.csv)"
        )
    if any(entry.flag_bits & 1 for entry in entries):
        raise FileFormatError(f"{path}: the workbook is locked with a password; save it without one")
    unpacked = sum(entry.file_size for entry in entries)
    packed = max(1, sum(entry.compress_size for entry in entries))
    if unpacked > limit:
        _refuse_size(path, unpacked, limit)
    if unpacked > RATIO_COUNTS_FROM_BYTES and unpacked / packed > MAX_RATIO:
        raise FileFormatError(
            f"{path}: the workbook unpacks to {unpacked / packed:.0f} times its size ({unpacked / 1e6:.0f} MB), "
            f"more than {MAX_RATIO} times; no record does that: save the table as text (.csv)"
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
    raise FileFormatError(f"{path}: the archive holds no workbook part; {_RESAVE}")


def _elements(content: bytes, path: str, where: str) -> Iterator[tuple[str, dict[str, str]]]:
    if not content:
        return iter(())
    rows: list[tuple[str, dict[str, str]]] = []
    _parse(content, path, where, start=lambda tag, row: rows.append((tag.rpartition(":")[2], row)))
    return iter(rows)


def _parse(content: bytes, path: str, where: str, **handlers: object) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse_declaration(*_: object) -> None:
        raise FileFormatError(f"{path}, {where}: holds a document type declaration, which no workbook has")

    parser.StartDoctypeDeclHandler = refuse_declaration
    parser.StartElementHandler = handlers.get("start")  # type: ignore[assignment]
    parser.EndElementHandler = handlers.get("end")  # type: ignore[assignment]
    parser.CharacterDataHandler = handlers.get("text")  # type: ignore[assignment]
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError) as error:
        raise FileFormatError(
            f"{path}, {where}: the workbook is damaged ({error}); fetch it again, or {_RESAVE}"
        ) from error


_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")


class _SheetScan:
    """Walks through the cells of one sheet: how far they reach, and the first that cannot be trusted."""

    def __init__(self, *, stale: bool) -> None:
        self.stale = stale
        self.last_row = self.last_column = 0
        self.blind: tuple[str, str] | None = None
        self.blind_count = 0
        self._row = self._column = 0
        self._name = self._kind = ""
        self._formula = self._has_value = self._in_value = False
        self._value: list[str] = []

    def start(self, tag: str, row: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "c":
            self._open_cell(row)
        elif name == "v":
            self._in_value = self._has_value = True
        elif name == "f":
            self._formula = True
        elif name == "is":
            self._has_value = True
        elif name == "row":
            self._row = int(row["r"]) if row.get("r", "").isdigit() else self._row + 1
            self._column = 0

    def text(self, text: str) -> None:
        if self._in_value:
            self._value.append(text)

    def end(self, tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name == "v":
            self._in_value = False
        elif name == "c" and (self._has_value or self._formula):
            self.last_row = max(self.last_row, self._row)
            self.last_column = max(self.last_column, self._column)
            self._judge_cell("".join(self._value).strip())

    def _open_cell(self, row: dict[str, str]) -> None:
        self._name, self._kind = row.get("r", ""), row.get("t", "n")
        self._formula = self._has_value = self._in_value = False
        self._value.clear()
        match = _CELL.fullmatch(self._name)
        self._column = _column_number(match[1]) if match else self._column + 1
        if match:
            self._row = int(match[2])
        else:
            self._name = f"in row {self._row}, column {self._column}"

    def _judge_cell(self, value: str) -> None:
        reason = ""
        if self._kind == "e":
            reason = f"holds the error {value or 'of a formula'}; mend it or clear the cell"
        elif self._formula and self._is_uncomputed(value):
            reason = "formula without a stored result; open and save the workbook once, or paste values"
        if reason:
            self.blind = self.blind or (self._name, reason)
            self.blind_count += 1

    def _is_uncomputed(self, value: str) -> bool:
        if self._kind == "str":  # a formula may well give an empty text
            return not self._has_value
        return value == "" or (self.stale and value == "0")


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - ord("A") + 1
    return number
