"""Which results of an archive belong to one sample, and which of them count in a verdict."""

from __future__ import annotations

from resile.storage.archive.schema import TYPED

GROUP = "sample || chr(31) || lot || CASE WHEN sample = '' THEN chr(31) || {sha256} ELSE '' END"
"""SQL: what is judged together: one sample of one lot; a file whose sample is not known stands alone."""

_SAME_C = "0.1000001"
"""Temperatures that differ by no more are one, as determinations of one result [°C]."""


AS_MADE = "{r}tested, {f}path NULLS FIRST, {r}part, {r}condition, {r}quantity, {r}temperature_c, {r}value"
"""SQL: the order in which determinations of one sample were made, as far as an archive knows it."""


def counted_results(results: str) -> str:
    """Give the query for the results that count in verdicts.

    Parameters
    ----------
    results : str
        Table, view or expression that gives the rows of the table ``results``.

    Returns
    -------
    str
        SQL that gives the same columns: typed values are left out where a raw record of the same sample gives
        the property at that temperature, as sheets of results stand beside the records they were made from.
    """
    return (
        f"SELECT r.* FROM {results} r WHERE r.test <> '{TYPED}' OR r.sample = '' OR NOT EXISTS ("
        f"SELECT 1 FROM {results} w WHERE w.test <> '{TYPED}' AND w.sample = r.sample AND w.lot = r.lot "
        "AND w.condition = r.condition AND w.quantity = r.quantity "
        "AND (w.temperature_c IS NOT DISTINCT FROM r.temperature_c "
        f"OR abs(w.temperature_c - r.temperature_c) <= {_SAME_C}))"
    )
