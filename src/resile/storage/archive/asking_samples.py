"""The results of an archive sample by sample, for judging them all anew."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from resile.records.archive_answers import ResultsWanted
from resile.records.quantity import AGEING_QUANTITIES
from resile.storage.archive.asking import Asking
from resile.storage.archive.asking_questions import conditions_of
from resile.storage.archive.counting import AS_MADE, GROUP, counted_results
from resile.storage.archive.schema import AGED, RESULTS, TYPED

UNNAMED = "file "
"""What stands before the hash in the name of a sample that nobody named: every file is judged by itself."""

_NAME = "CASE WHEN sample <> '' THEN sample ELSE ? || substr(r.sha256, 1, 12) END"
_AGED = f"test = '{AGED}' AND quantity IN ({', '.join(repr(one) for one in AGEING_QUANTITIES)})"
_COLUMNS = (
    f"{GROUP.format(sha256='r.sha256')} AS unit",
    f"{_NAME} AS sample",
    "lot",
    "product",
    "tested",
    "condition",
    "quantity",
    "temperature_c",
    "value",
    "worst = 'invalid' AS invalid",
    f"{_AGED} AS aged",
    # What only an ageing record needs is left empty for the others: it is read for every row.
    f"CASE WHEN {_AGED} THEN worst ELSE '' END AS worst",
    f"CASE WHEN {_AGED} THEN part ELSE '' END AS method",
    f"CASE WHEN {_AGED} THEN r.sha256 ELSE '' END AS file",
    "laboratory <> '' AS elsewhere",
)


def results_in_order(
    asking: Asking, wanted: ResultsWanted, *, rows: int, as_made: bool = False
) -> Iterator[Any]:
    """Give the results with a value, and what ageing records say, in the order of the archive.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : ResultsWanted
        Which results.
    rows : int
        About how many rows a batch.
    as_made : bool
        Within a sample in the order of day and path, and not of the table: the rule asks for the first ones.

    Yields
    ------
    pyarrow.RecordBatch
        Columns unit (sample and lot: what is judged together), sample, lot, product, tested, condition,
        quantity, temperature_c, value, invalid, aged (a row of an ageing record), worst, method and file
        (of such a row), elsewhere (made by another laboratory).
    """
    conditions, values = conditions_of(wanted)
    columns = ", ".join(_COLUMNS)
    source, order = "results r", ""
    if asking.rows("SELECT 1 FROM results WHERE test = ? LIMIT 1", [TYPED]):
        # A typed value beside a raw record does not count; leaving it out may lose the order of the file.
        source = f"({counted_results('results')}) r"
        order = f" ORDER BY {', '.join(f'r.{name}' for name in RESULTS.order)}"
    if as_made:
        paths = "SELECT sha256 AS of_file, path FROM files WHERE sha256 <> ''"
        source += f" LEFT JOIN ({paths}) f ON f.of_file = r.sha256"
        order = f" ORDER BY unit, {AS_MADE.format(r='r.', f='f.')}"
    question = f"SELECT {columns} FROM {source} WHERE (isfinite(value) OR ({_AGED})) AND {conditions}{order}"
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
    question = f"SELECT count(*) FROM results WHERE isfinite(value) AND NOT ({_AGED}) AND {conditions}"
    return int(asking.rows(question, values)[0][0])
