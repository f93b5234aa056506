"""Quick results beside the slow one, sample by sample, from the series of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.control.production import ProductionResult, ProductionSeries
from resile.records.control.surrogate import QuickSample

_Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class PairedSamples:
    """Samples with every quick result.

    Attributes
    ----------
    samples : tuple of QuickSample
        In order of sampling.
    lacking : tuple of str
        Lots of which a quick result is missing.
    """

    samples: tuple[QuickSample, ...]
    lacking: tuple[str, ...]


def pair_quick_with_slow(slow: ProductionSeries, quick: Sequence[ProductionSeries]) -> PairedSamples:
    """Put quick results and the slow one of each sample beside each other.

    Parameters
    ----------
    slow : ProductionSeries
        What is predicted.
    quick : sequence of ProductionSeries
        What it is predicted from, in their order.

    Returns
    -------
    PairedSamples
        Results of one row belong together where the properties share rows; otherwise the first of a lot with
        the first of that lot, the second with the second.
    """
    by_row = _share_rows(slow, quick)
    tables = [_by_sample(series.results, by_row) for series in (slow, *quick)]
    keys = dict.fromkeys(key for table in tables for key in table)
    samples, lacking = [], []
    for key in keys:
        results = [table.get(key) for table in tables[1:]]
        whole = [one for one in results if one is not None]
        if len(whole) < len(results):
            lacking.append(key[0])
            continue
        asked = tables[0].get(key)
        samples.append(
            QuickSample(
                lot=key[0],
                taken=whole[0].taken,
                quick=tuple(one.value for one in whole),
                slow=None if asked is None else asked.value,
                place=whole[0].place,
            )
        )
    ordered = tuple(sorted(samples, key=lambda one: one.taken))
    return PairedSamples(ordered, tuple(dict.fromkeys(lacking)))


def _share_rows(slow: ProductionSeries, quick: Sequence[ProductionSeries]) -> bool:
    """Tell whether every property shares rows with another: a wide table, one residue a row."""
    places = [{one.place for one in series.results} for series in (slow, *quick)]
    return all(places[0] & other for other in places[1:])


def _by_sample(results: Sequence[ProductionResult], by_row: bool) -> dict[_Key, ProductionResult]:
    found: dict[_Key, ProductionResult] = {}
    counts: dict[str, int] = {}
    for one in results:
        counts[one.lot] = counts.get(one.lot, 0) + 1
        found[one.lot, one.place if by_row else str(counts[one.lot])] = one
    return found
