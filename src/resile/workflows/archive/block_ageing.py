"""How the samples of a block were aged: the newest record of each kind, out of the rows of the archive."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.records.ageing import LongTermAgeingRecord
from resile.workflows.archive.ageing_rows import AgeingRow, ageing_of_rows
from resile.workflows.judging.table_ageing import SampleAgeing

_COLUMNS = ("condition", "quantity", "value", "worst", "method", "tested", "file")


def ageing_of_block(
    table: Any, aged: NDArray[np.bool_], sample: NDArray[np.int64]
) -> dict[int, SampleAgeing]:
    """Give the ageing records of a block by place of the sample.

    Parameters
    ----------
    table : pyarrow.Table
        Rows of whole samples, as `resile.storage.archive.asking_samples.results_in_order` gives them.
    aged : ndarray of bool, shape (n,)
        Rows of ageing records.
    sample : ndarray of int, shape (n,)
        Place of the sample of each row.

    Returns
    -------
    dict of int to SampleAgeing
        Samples without a record are left out.
    """
    places = np.flatnonzero(aged)
    if not places.size:
        return {}
    own = table.take(places)
    columns = [own.column(name).to_pylist() for name in _COLUMNS]
    rows: dict[int, list[AgeingRow]] = {}
    for place, *said in zip(sample[places].tolist(), *columns, strict=True):
        rows.setdefault(place, []).append(AgeingRow(*said))
    return {place: ageing_of_rows(own) for place, own in rows.items()}


def long_term_of(ageing: Mapping[int, SampleAgeing]) -> list[tuple[LongTermAgeingRecord, list[int]]]:
    """Give each way of long-term ageing (temperature, time and method) with the samples aged so."""
    ways: dict[tuple[float | None, float | None, str], tuple[LongTermAgeingRecord, list[int]]] = {}
    for place, one in ageing.items():
        record = one.long_term
        if record is not None:
            key = (record.temperature_c, record.duration_h, record.method)
            ways.setdefault(key, (record, []))[1].append(place)
    return list(ways.values())
