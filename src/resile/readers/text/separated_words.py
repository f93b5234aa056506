"""Separated text that holds more words than numbers: one grid for each mark that may separate its cells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.readers.grids.grid import Grid
from resile.readers.text.delimited import Dialect, split_lines, to_grid

SEPARATORS = ("semicolon", "tab", "comma")


def grids_by_separator(text: str, separators: Sequence[str] = SEPARATORS) -> Iterator[tuple[str, Grid]]:
    """Cut a text by each separator in turn; whoever knows the words tells which cut makes sense.

    Parameters
    ----------
    text : str
        The decoded file.
    separators : sequence of str
        Those to try.

    Yields
    ------
    tuple of (str, Grid)
        Name of the separator, and the cells; numbers are kept as text, with no mark decided.
    """
    lines = split_lines(text)
    for separator in separators:
        yield separator, to_grid(lines, Dialect(separator, ".", "", '"' in text, 0))
