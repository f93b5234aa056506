"""The results of an archive sample by sample, for judging them all anew."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from resile.records.archive_answers import ResultsWanted
from resile.storage.archive.asking import Asking
from resile.storage.archive.asking_questions import conditions_of
from resile.storage.archive.counting import GROUP, counted_results
from resile.storage.archive.schema import RESULTS, TYPED

UNNAMED = "file "
"""What stands before the hash in the name of a sample that nobody named: every file is judged by itself."""

_NAME = "CASE WHEN sample <> '' THEN sample ELSE ? || substr(sha256, 1, 12) END"
_COLUMNS = (
    f"{GROUP.format(sha256='sha256')} AS unit",
    f"{_NAME} AS sample",
    "lot",
    "product",
    "tested",
    "condition",
    "quantity",
    "temperature_c",
    "value",
    "worst = 'invalid' AS invalid",
)


def results_in_order(asking: Asking, wanted: ResultsWanted, *, rows: int) -> Iterator[Any]:
    """Give the results with a value, in the order of the archive: sample by sample.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.
    rows : int
        About how many rows a batch.

    Yields
    ------
    pyarrow.RecordBatch
        Columns unit (sample and lot: what is judged together), sample, lot, product, tested, condition,
        quantity, temperature_c, value, invalid.
    """
    conditions, values = conditions_of(wanted)
    columns = ", ".join(_COLUMNS)
    source, order = "results", ""
    if asking.rows("SELECT 1 FROM results WHERE test = ? LIMIT 1", [TYPED]):
        # A typed value beside a raw record does not count; leaving it out may lose the order of the file.
        source, order = f"({counted_results('results')})", f" ORDER BY {', '.join(RESULTS.order)}"
    question = f"SELECT {columns} FROM {source} WHERE isfinite(value) AND {conditions}{order}"
    yield from asking.batches(question, [UNNAMED, *values], rows=rows)


def results_counted(asking: Asking, wanted: ResultsWanted) -> int:
    """Count the results with a value.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.

    Returns
    -------
    int
        How many.
    """
    conditions, values = conditions_of(wanted)
    question = f"SELECT count(*) FROM results WHERE isfinite(value) AND {conditions}"
    return int(asking.rows(question, values)[0][0])
