"""Which files a person means: names, folders and patterns to a list of record files."""

from __future__ import annotations

import glob
from collections.abc import Iterable
from pathlib import Path

from resile.errors import InputError, RecordNotFoundError

ENDINGS = frozenset({".csv", ".txt", ".tsv", ".dat", ".xlsx", ".xlsm", ".asc", ".prn"})
"""Endings taken from a folder; a file that is named itself may have any ending."""


def record_files(named: Iterable[Path]) -> list[Path]:
    """Give the files meant, in order.

    Parameters
    ----------
    named : iterable of Path
        Files, folders (their files with the usual endings, sorted by name) or patterns such as ``*.csv``
        (which some shells do not fill in themselves).

    Returns
    -------
    list of Path
        Files; one that does not exist stays in the list, so that its refusal names it.

    Raises
    ------
    InputError, RecordNotFoundError
        Where a folder holds no record file, or a pattern fits none.
    """
    files: list[Path] = []
    for path in named:
        if path.is_dir():
            inside = sorted(p for p in path.iterdir() if p.suffix.lower() in ENDINGS and p.is_file())
            if not inside:
                raise InputError(f"{path}: the folder holds no file ending in {', '.join(sorted(ENDINGS))}")
            files += inside
        else:
            files += _fitting(path)
    return files


def order_files(named: Iterable[Path]) -> list[Path]:
    """Give the test orders meant, each once, in order.

    Parameters
    ----------
    named : iterable of Path
        Files or patterns such as ``*/order.toml`` (which some shells do not fill in themselves).

    Returns
    -------
    list of Path
        One that does not exist stays in the list, so that its refusal names it.

    Raises
    ------
    RecordNotFoundError
        Where a pattern fits no file.
    """
    return list(dict.fromkeys(file for path in named for file in _fitting(path)))


def _fitting(path: Path) -> list[Path]:
    if path.exists() or not glob.has_magic(str(path)):
        return [path]
    fitting = sorted(Path(name) for name in glob.glob(str(path)))  # noqa: PTH207 - a pattern with folders
    if not fitting:
        raise RecordNotFoundError(f"{path}: no file fits this pattern")
    return fitting
