"""Which files of one kind there are: a faulty one is listed with its problem."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from pathlib import Path
from typing import Any

from resile.errors import SpecificationError
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, files_of, read_toml


def list_files(
    folder: str, kind: str, read: Callable[[SpecificationFile], Any]
) -> tuple[SpecificationEntry, ...]:
    """List the files of a folder on the search path.

    Parameters
    ----------
    folder : str
        Name of the folder.
    kind : str
        What its files are, for a person.
    read : callable
        Gives the record of a file, with ``identifier``, ``title``, ``checked`` and perhaps ``edition``.

    Returns
    -------
    tuple of SpecificationEntry
        In search order.
    """
    entries = []
    for path in files_of(folder):
        try:
            one = read(read_toml(path))
        except SpecificationError as error:
            entries.append(SpecificationEntry(path.stem, "", "", "", str(path), str(error), kind))
        else:
            edition = getattr(one, "edition", "")
            entries.append(
                SpecificationEntry(one.identifier, one.title, edition, one.checked, str(path), kind=kind)
            )
    return tuple(entries)


def is_listed(
    wanted: str | Path, *, keys: Collection[str], entries: Callable[[], Sequence[SpecificationEntry]]
) -> bool:
    """Tell whether a name, or a file, is of a kind.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.
    keys : collection of str
        Keys of which a file of this kind has one.
    entries : callable
        Gives the files of this kind.

    Returns
    -------
    bool
        False for anything else, and where there is no such file.
    """
    path = Path(wanted)
    if path.suffix == ".toml" and path.is_file():
        return not read_toml(path).content.keys().isdisjoint(keys)
    return str(wanted) in [entry.identifier for entry in entries()]
