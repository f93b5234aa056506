"""Where the record is, and opening it."""

from __future__ import annotations

import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from resile.errors import RecordNotFoundError
from resile.storage.laboratory_record import LaboratoryRecord

__all__ = ["VARIABLE", "LaboratoryRecord", "now", "open_existing_record", "open_record", "usual_place"]

VARIABLE = "RESILE_RECORD"


def usual_place() -> str:
    """Give where the record is kept: as the environment says, or in the user's data folder."""
    return os.environ.get(VARIABLE) or str(_data_folder() / "laboratory.db")


def open_record(where: str | Path = "") -> LaboratoryRecord:
    """Open the laboratory's record, making it where there is none.

    Parameters
    ----------
    where : str or Path
        A file (SQLite) or a PostgreSQL URL; empty for the usual place.

    Raises
    ------
    InputError, StorageError
        Where it cannot be opened.
    """
    if not where and not os.environ.get(VARIABLE):
        _data_folder().mkdir(parents=True, exist_ok=True)
    return LaboratoryRecord.open(where or usual_place())


def open_existing_record(where: str | Path = "") -> LaboratoryRecord:
    """Open the laboratory's record, where there is one.

    Parameters
    ----------
    where : str or Path
        A file (SQLite) or a PostgreSQL URL; empty for the usual place.

    Raises
    ------
    RecordNotFoundError
        Where the file does not exist: a slip in its name must not make an empty record.
    InputError, StorageError
        Where it cannot be opened.
    """
    place = str(where) or usual_place()
    if "://" not in place and not Path(place).is_file():
        raise RecordNotFoundError(
            f"{place}: there is no record here; name it with --record, or set {VARIABLE}"
        )
    return LaboratoryRecord.open(place)


def now() -> str:
    """Give the time as the record keeps it: ISO 8601 in UTC, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _data_folder() -> Path:
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", home / "AppData" / "Local")) / "resile"
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "resile"
    return Path(os.environ.get("XDG_DATA_HOME", home / ".local" / "share")) / "resile"
