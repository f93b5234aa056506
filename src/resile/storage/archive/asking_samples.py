"""The results of an archive sample by sample, for judging them all anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from resile.storage.archive.asking import Asking

UNNAMED = "file "
"""What stands before the hash in the name of a sample that nobody named: every file is judged by itself."""

_NAME = "CASE WHEN sample <> '' THEN sample ELSE ? || substr(sha256, 1, 12) END"
_COLUMNS = (
    f"{_NAME} || chr(31) || lot AS unit",
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


@dataclass(frozen=True, slots=True)
class SamplesWanted:
    """Which results are meant; what is empty does not count.

    Attributes
    ----------
    product, lot : str
        Names.
    since, until : str
        First and last day of the test, YYYY-MM-DD; a result without a day lies in no span.
    """

    product: str = ""
    lot: str = ""
    since: str = ""
    until: str = ""

    def conditions(self) -> tuple[str, list[Any]]:
        """Give the conditions, and what stands in their places."""
        parts, values = ["TRUE"], []
        for name, sign, value in (
            ("product", "=", self.product),
            ("lot", "=", self.lot),
            ("tested", ">=", self.since),
            ("substr(tested, 1, 10)", "<=", self.until),
        ):
            if value:
                parts.append(f"{name} {sign} ?")
                values.append(value)
        if self.until:
            parts.append("tested <> ''")
        return " AND ".join(parts), values


def results_in_order(asking: Asking, wanted: SamplesWanted, *, rows: int) -> Iterator[Any]:
    """Give the results with a value, in the order of the archive: sample by sample.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : SamplesWanted
        Which results.
    rows : int
        About how many rows a batch.

    Yields
    ------
    pyarrow.RecordBatch
        Columns unit (sample and lot: what is judged together), sample, lot, product, tested, condition,
        quantity, temperature_c, value, invalid.
    """
    conditions, values = wanted.conditions()
    question = f"SELECT {', '.join(_COLUMNS)} FROM results WHERE isfinite(value) AND {conditions}"
    yield from asking.batches(question, [UNNAMED, UNNAMED, *values], rows=rows)


def results_counted(asking: Asking, wanted: SamplesWanted) -> int:
    """Count the results with a value.

    Parameters
    ----------
    asking : Asking
        An opened archive.
    wanted : SamplesWanted
        Which results.

    Returns
    -------
    int
        How many.
    """
    conditions, values = wanted.conditions()
    question = f"SELECT count(*) FROM results WHERE isfinite(value) AND {conditions}"
    return int(asking.rows(question, values)[0][0])
