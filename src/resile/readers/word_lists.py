"""The words of a reader, kept as data beside it."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def load_words(package: str, file: str) -> dict[str, Any]:
    """Give a list of words, loaded once.

    Parameters
    ----------
    package : str
        Where the file lies: ``"resile.readers.weather"``.
    file : str
        Its name: ``"words.toml"``.

    Returns
    -------
    dict
        As written in the file; it is shared, so nobody changes it.
    """
    return tomllib.loads(resources.files(package).joinpath(file).read_text(encoding="utf-8"))
