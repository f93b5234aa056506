"""Blocks of whole samples out of an archive: determinations become results by the rules of the judge.

A block holds arrays, one entry a result in the order in which the judge would have them: its sample,
residue and quantity as numbers, its temperature, mean, count and scatter, whether it may be judged, and the
published precision at its value. Replicates are joined as
`resile.judge.results.results.results_from_determinations` joins them, by the same retest rule. What an
invalid ageing record keeps out is not in a block at all; how the others were aged stands beside its samples.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.verdicts.replicates import group_means, group_spreads, replicate_groups
from resile.compute.statistics.verdicts.standards import published_standards
from resile.judge.grades.sample import badly_aged
from resile.judge.results.own_precision import day_of_test
from resile.judge.results.retest import chosen_places
from resile.records.ageing import LongTermAgeingRecord
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.records.specification import PrecisionBand, PrecisionStatement, RetestRule
from resile.workflows.archive.block_ageing import ageing_of_block, long_term_of
from resile.workflows.judging.table_ageing import SampleAgeing

CONDITIONS = tuple(Condition)
QUANTITY_NAMES = tuple(QUANTITIES)
REPLICATE_TOLERANCE_C = 0.1
"""Determinations this near in temperature are of one result [°C]; as the judge takes it by default."""
_CONDITION_CODES = {str(one): code for code, one in enumerate(CONDITIONS)}
_QUANTITY_CODES = {name: code for code, name in enumerate(QUANTITY_NAMES)}

Numbers = NDArray[np.float64]
Codes = NDArray[np.int64]
Truths = NDArray[np.bool_]
ELSEWHERE = -2
"""In place of a day: another laboratory made a determination of the result."""


@dataclass(frozen=True, slots=True)
class ResultBlock:
    """Results of some whole samples.

    Attributes
    ----------
    samples, lots, products, tested : list of str
        One a sample of a lot; the newest day of its tests; empty where the archive does not say.
    sample, quantity, condition : ndarray of int, shape (r,)
        Of each result: places in `samples`, `QUANTITY_NAMES`, `CONDITIONS`.
    temperature_c, value, spread : ndarray of float, shape (r,)
        Not-a-number where there is none.
    count : ndarray of int, shape (r,)
        Determinations in the mean.
    valid : ndarray of bool, shape (r,)
        False where every determination is invalid.
    repeatability, reproducibility : ndarray of float, shape (r,)
        Published standard deviation at the value; not-a-number where none is stated.
    determinations : int
        Rows of the archive in it, but for those of ageing records.
    day : ndarray of int, shape (r,)
        Newest day of the determinations that count: a place in `days`; -1 where no day is known,
        `ELSEWHERE` where another laboratory made one of them.
    days : list of str
        Year-month-day.
    aged : list of (LongTermAgeingRecord, list of int)
        How samples were long-term aged, and which of them so: places in `samples`.
    """

    samples: list[str]
    lots: list[str]
    products: list[str]
    tested: list[str]
    sample: Codes
    quantity: Codes
    condition: Codes
    temperature_c: Numbers
    value: Numbers
    spread: Numbers
    count: Codes
    valid: NDArray[np.bool_]
    repeatability: Numbers
    reproducibility: Numbers
    determinations: int
    day: Codes
    days: list[str]
    aged: list[tuple[LongTermAgeingRecord, list[int]]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Joining:
    """By what determinations become results.

    Attributes
    ----------
    precision : sequence of PrecisionStatement
        The first one with a row for a quantity is used.
    retest_rule : RetestRule
        Which determinations count.
    with_spread : bool
        Whether the scatter of replicates is needed.
    """

    precision: Sequence[PrecisionStatement]
    retest_rule: RetestRule
    with_spread: bool = False


def result_blocks(batches: Iterable[Any], joining: Joining) -> Iterator[ResultBlock]:
    """Give the results of an archive in blocks of whole samples.

    Parameters
    ----------
    batches : iterable of pyarrow.RecordBatch
        From `resile.storage.archive.asking_samples.results_in_order`.
    joining : Joining
        By what determinations become results.

    Yields
    ------
    ResultBlock
        In the order of the archive.
    """
    import pyarrow as pa
    import pyarrow.compute

    held: Any = None
    for batch in batches:
        if not batch.num_rows:
            continue
        table = pa.Table.from_batches([batch])
        held = table if held is None else pa.concat_tables([held, table])
        names = held.column("unit")
        # The last sample may go on in the next batch: it waits.
        last = names[len(names) - 1]
        whole = pa.compute.index(names, last).as_py()
        if whole > 0:
            yield _block(held.slice(0, whole), joining)
            held = held.slice(whole)
    if held is not None:
        yield _block(held, joining)


def _block(table: Any, joining: Joining) -> ResultBlock:
    units, sample = _coded(table, "unit")
    quantity = _known(table, "quantity", _QUANTITY_CODES, -1)
    condition = _known(table, "condition", _CONDITION_CODES, _CONDITION_CODES[str(Condition.UNKNOWN)])
    temperature, value = _numbers(table, "temperature_c"), _numbers(table, "value")
    invalid, aged = _truths(table, "invalid"), _truths(table, "aged")
    ageing = ageing_of_block(table, aged, sample)
    # A quantity that this program does not know is judged by nothing.
    places = np.flatnonzero((quantity >= 0) & ~aged & ~_kept_out(ageing, sample, condition))
    family = (sample[places] * len(QUANTITY_NAMES) + quantity[places]) * len(CONDITIONS) + condition[places]
    group = replicate_groups(family, temperature[places], tolerance_c=REPLICATE_TOLERANCE_C)
    group = _by_family(family, group)
    first = _first_of(group)
    heads = places[first]
    counted, some_valid = _counted(group, ~invalid[places], first.size)
    of_heads = (quantity[heads], condition[heads])
    counted = _by_rule(counted, group, value[places], of_heads, joining)
    counting, values = group[counted], value[places][counted]
    means = group_means(values, counting)
    repeatability, reproducibility = _published(means, *of_heads, joining.precision)
    day, days = _days_of(table, places[counted], counting, first.size)
    return ResultBlock(
        _of_samples(table, "sample", sample, len(units)),
        _of_samples(table, "lot", sample, len(units)),
        _of_samples(table, "product", sample, len(units)),
        _of_samples(table, "tested", sample, len(units)),
        sample=sample[heads],
        quantity=of_heads[0],
        condition=of_heads[1],
        temperature_c=_temperatures(temperature[places], group, first.size),
        value=means,
        spread=group_spreads(values, counting) if joining.with_spread else np.full(first.size, np.nan),
        count=np.bincount(counting, minlength=first.size),
        valid=some_valid,
        repeatability=repeatability,
        reproducibility=reproducibility,
        determinations=int(np.count_nonzero(~aged)),
        day=day,
        days=days,
        aged=long_term_of(ageing),
    )


def _kept_out(ageing: Mapping[int, SampleAgeing], sample: Codes, condition: Codes) -> Truths:
    """Tell which determinations are on a residue that an ageing record says was aged wrongly."""
    found = np.zeros(sample.shape, dtype=bool)
    for residue in (Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED):
        bad = [place for place, one in ageing.items() if residue in badly_aged(one.short_term, one.long_term)]
        if bad:
            found |= (condition == _CONDITION_CODES[str(residue)]) & np.isin(sample, bad)
    return found


def _by_rule(
    counted: Truths, group: Codes, values: Numbers, of_heads: tuple[Codes, Codes], joining: Joining
) -> Truths:
    """Leave out what the retest rule leaves out; groups with no more than it asks for count whole."""
    rule = joining.retest_rule
    if not rule.first or not group.size:
        return counted
    usable = group[counted]
    level, _ = _published(group_means(values[counted], usable), *of_heads, joining.precision)
    found, places = counted.copy(), np.flatnonzero(counted)
    order = np.argsort(usable, kind="stable")
    starts = np.concatenate(([0], np.cumsum(np.bincount(usable))))
    for one in np.flatnonzero(np.diff(starts) > rule.first).tolist():
        own = places[order[starts[one] : starts[one + 1]]]
        known = None if np.isnan(level[one]) else float(level[one])
        chosen, _ = chosen_places(values[own].tolist(), rule, known)
        found[own] = False
        found[own[chosen]] = True
    return found


def _days_of(table: Any, places: Codes, group: Codes, groups: int) -> tuple[Codes, list[str]]:
    """Give the newest day of each group; none where another laboratory made one of it."""
    words, code = _coded(table, "tested")
    day_of_word = [day_of_test((), word) for word in words]
    days = sorted({day for day in day_of_word if day})
    place_of = {day: place for place, day in enumerate(days)}
    own = np.array([place_of.get(day, -1) for day in day_of_word], dtype=np.int64)[code[places]]
    found = np.full(groups, -1, dtype=np.int64)
    np.maximum.at(found, group, own)
    found[group[_truths(table, "elsewhere")[places]]] = ELSEWHERE
    return found, days


def _coded(table: Any, name: str) -> tuple[list[str], Codes]:
    coded = table.column(name).combine_chunks().dictionary_encode()
    codes = coded.indices.to_numpy(zero_copy_only=False)
    return coded.dictionary.to_pylist(), np.asarray(codes, dtype=np.int64)


def _known(table: Any, name: str, codes: dict[str, int], other: int) -> Codes:
    names, found = _coded(table, name)
    return np.array([codes.get(one, other) for one in names], dtype=np.int64)[found]


def _truths(table: Any, name: str) -> Truths:
    return np.asarray(table.column(name).to_numpy(zero_copy_only=False), dtype=bool)


def _numbers(table: Any, name: str) -> Numbers:
    return np.asarray(table.column(name).to_numpy(zero_copy_only=False), dtype=float)


def _of_samples(table: Any, name: str, sample: Codes, samples: int) -> list[str]:
    """Give one word a sample: the largest of its rows, so that a day is the newest."""
    words, found = _coded(table, name)
    order = np.argsort(np.argsort(np.array(words, dtype=object), kind="stable"), kind="stable")
    rank = np.full(samples, -1, dtype=np.int64)
    np.maximum.at(rank, sample, order[found])
    ranked = sorted(words)
    return [ranked[place] for place in rank.tolist()]


def _by_family(family: Codes, group: Codes) -> Codes:
    """Number the groups family by family, in the order in which the judge lists its results."""
    first = _first_of(group)
    _, family_first, inverse = np.unique(family[first], return_index=True, return_inverse=True)
    order = np.lexsort((first, family_first[inverse.reshape(-1)]))
    rank = np.empty(first.size, dtype=np.int64)
    rank[order] = np.arange(first.size)
    return rank[group]


def _first_of(group: Codes) -> Codes:
    """Give the place of the first member of each group."""
    return np.asarray(np.unique(group, return_index=True)[1], dtype=np.int64)


def _counted(group: Codes, fine: Truths, groups: int) -> tuple[Truths, Truths]:
    """Leave invalid determinations out, unless a group has no other."""
    some = np.bincount(group, weights=fine, minlength=groups) > 0
    return fine | ~some[group], some


def _temperatures(temperatures: Numbers, group: Codes, groups: int) -> Numbers:
    """Give the mean temperature of each group; a group has temperatures, or none."""
    known = ~np.isnan(temperatures)
    found = np.full(groups, np.nan)
    if known.any():
        own, inverse = np.unique(group[known], return_inverse=True)
        found[own] = group_means(temperatures[known], inverse.reshape(-1))
    return found


def _published(
    value: Numbers, quantity: Codes, condition: Codes, precision: Sequence[PrecisionStatement]
) -> tuple[Numbers, Numbers]:
    single, several = np.full(value.shape, np.nan), np.full(value.shape, np.nan)
    for code in np.unique(quantity).tolist():
        for residue in np.unique(condition[quantity == code]).tolist():
            here = (quantity == code) & (condition == residue)
            bands = _bands(QUANTITY_NAMES[code], CONDITIONS[residue], precision)
            single[here], several[here] = published_standards(value[here], bands)
    return single, several


def _bands(
    quantity: str, condition: Condition, precision: Sequence[PrecisionStatement]
) -> list[PrecisionBand]:
    """Give the rows that count, as `resile.judge.results.precision.precision_at` takes them."""
    for statement in precision:
        rows = [band for band in statement.bands if band.quantity == quantity]
        if rows:
            return [band for band in rows if band.condition in (None, condition)]
    return []
