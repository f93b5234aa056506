"""Where specification files are looked for, and how one is found by its name.

Order: a path to a file, if one is given; then the folders named in the environment variable
``RESILE_SPECIFICATIONS`` (several are separated as in ``PATH``); then the files that come with the package.
The working folder is *not* searched: a file that happens to lie there must not change a verdict unseen. In a
folder of one's own, limits may lie in the folder itself or in ``limits``; precision statements, rules and
methods lie in folders named as in the package.
"""

from __future__ import annotations

import hashlib
import os
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import RecordNotFoundError, SpecificationError

VARIABLE = "RESILE_SPECIFICATIONS"
PACKAGE_FOLDER = Path(__file__).parent


_NAMES_ONLY: ContextVar[bool] = ContextVar("names_only", default=False)


@contextmanager
def names_only() -> Iterator[None]:
    """Find, within this block, files by their names alone: what comes by the network names no path."""
    before = _NAMES_ONLY.set(True)
    try:
        yield
    finally:
        _NAMES_ONLY.reset(before)


@dataclass(frozen=True, slots=True)
class SpecificationFile:
    """One file, parsed as TOML but not yet checked.

    Attributes
    ----------
    path : Path
        The file.
    content : dict
        As parsed.
    sha256 : str
        Hash of its bytes.
    """

    path: Path
    content: dict[str, Any]
    sha256: str


def folders_for(kind: str) -> tuple[Path, ...]:
    """Give the folders searched for a kind of file, in order.

    Parameters
    ----------
    kind : str
        ``limits``, ``precision``, ``decision_rules``, ``retest_rules``, ``methods``, ``findings``,
        ``budgets``, ``correlations``, ``price_rules``, ``published_limits``, ``slope_priors``,
        ``traffic_rules``, ``heating_rules``, ``retention_rules``, ``label_stock``, ``reading_conditions``,
        ``reclaimed_practice``, ``polymer_effects``, ``quantiles``, ``explanations``, ``run_rules``,
        ``control_patterns``, ``usual_watching``, ``sampling_plans``,
        ``laboratory_comparison`` or ``dispute_rules``.

    Returns
    -------
    tuple of Path
        Folders that exist.
    """
    folders: list[Path] = []
    for text in os.environ.get(VARIABLE, "").split(os.pathsep):
        if text.strip():
            own = Path(text.strip()).expanduser()
            if not own.is_dir():  # a slip here would judge by the shipped rules unseen
                raise SpecificationError(f"{own}: named in {VARIABLE}, but there is no such folder")
            folders += [own / kind, own] if kind == "limits" else [own / kind]
    folders.append(PACKAGE_FOLDER / kind)
    return tuple(folder for folder in folders if folder.is_dir())


def files_of(kind: str, *, pattern: str = "*.toml") -> tuple[Path, ...]:
    """Give every file of a kind, in search order, sorted by name within a folder.

    Parameters
    ----------
    kind : str
        See `folders_for`.
    pattern : str
        File names considered; several patterns stand apart by ``|``.

    Returns
    -------
    tuple of Path
        Files.
    """
    return tuple(
        path
        for folder in folders_for(kind)
        for path in sorted({path for one in pattern.split("|") for path in folder.glob(one)})
    )


def read_toml(path: Path) -> SpecificationFile:
    """Read one TOML file.

    Parameters
    ----------
    path : Path
        File to read.

    Returns
    -------
    SpecificationFile
        Content and hash.

    Raises
    ------
    SpecificationError
        Where the file cannot be read or is not TOML in UTF-8.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise SpecificationError(f"{path}: the file cannot be read ({reason})") from error
    try:
        content = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise SpecificationError(f"{path}: not UTF-8 text (byte {error.start}); save it as UTF-8") from error
    except tomllib.TOMLDecodeError as error:
        raise SpecificationError(f"{path}: not valid TOML: {error}") from error
    return SpecificationFile(path=path, content=content, sha256=hashlib.sha256(data).hexdigest())


def name_in(path: Path) -> str | None:
    """Give the ``identifier`` or ``name`` a file states, or None where it cannot be read.

    Parameters
    ----------
    path : Path
        File to look into.

    Returns
    -------
    str or None
        The name.
    """
    try:
        content = read_toml(path).content
    except SpecificationError:
        return None
    stated = content.get("identifier", content.get("name"))
    return stated if isinstance(stated, str) else None


def find_file(kind: str, wanted: str | Path, *, words: str, pattern: str = "*.toml") -> SpecificationFile:
    """Find a file by its path or its name.

    Parameters
    ----------
    kind : str
        Folder name, see `folders_for`.
    wanted : str or Path
        A path to a file (anything with a folder separator or ending in ``.toml``), or an identifier.
    words : str
        What the file is called for a person, for example ``"specification"``.
    pattern : str
        File names considered.

    Returns
    -------
    SpecificationFile
        The first match in search order.

    Raises
    ------
    RecordNotFoundError
        Where nothing matches; lists what there is.
    """
    text = str(wanted)
    if isinstance(wanted, Path) or text.endswith(".toml") or "/" in text or os.sep in text:
        if _NAMES_ONLY.get():
            raise SpecificationError(
                f"'{text[:80]}': name a {words} that the laboratory has; a file is not opened"
            )
        path = Path(text).expanduser()
        if not path.is_file():
            raise RecordNotFoundError(f"{path}: no such {words} file")
        return read_toml(path)
    candidates = files_of(kind, pattern=pattern)
    names = [(path, name_in(path)) for path in candidates]
    for path, name in names:
        if name == text or (name is None and path.stem == text):
            return read_toml(path)
    known = list(dict.fromkeys(name or path.stem for path, name in names))
    raise RecordNotFoundError(
        f"no {words} is called '{text}'; there are: {', '.join(known) or 'none'} "
        f"(files of your own: give a path, or name their folder in {VARIABLE})"
    )
