"""Temperature slopes by kind of binder, from TOML: what is known where one temperature was tested."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from resile.records.slope_prior import BinderKind, PublishedSlope
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, find_file

FOLDER = "slope_priors"
KIND = "kind of binder"


def load_binder_kind(wanted: str | Path) -> BinderKind:
    """Load what is known of a kind of binder by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        ``"unmodified"``, ``"sbs-modified"``, ``"unknown"``, or the path of a file.

    Returns
    -------
    BinderKind
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such kind, or a key is missing, unknown or wrong.
    """
    return _kind(find_file(FOLDER, wanted, words=KIND))


def is_binder_kind(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is that of a kind of binder.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    bool
        False for anything else, and where there is no such file.
    """
    return is_listed(wanted, keys=("slope",), entries=list_binder_kinds)


def list_binder_kinds() -> tuple[SpecificationEntry, ...]:
    """List every kind of binder on the search path; a faulty file is listed with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        In search order.
    """
    return list_files(FOLDER, KIND, _kind)


def _kind(file: SpecificationFile) -> BinderKind:
    from resile.specifications.schema_slopes import BinderKindModel

    data: dict[str, Any] = checked_file(BinderKindModel, file).model_dump()
    data["slopes"] = tuple(PublishedSlope(**block) for block in data["slopes"])
    data["notes"] = tuple(data["notes"])
    return BinderKind(**data, sha256=file.sha256)
