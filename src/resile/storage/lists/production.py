"""What was measured of a product in order of time: what charts and capability look at.

The values stand in the bodies of results, and are read from there. A current table of every value would
double what each result writes into the record; measured on two shared cores, one property of 10,000 lots is
read within a second, a year of 500 lots within a twentieth of one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import ColumnElement, Row, Select, func, or_, select

from resile.records.determination import Condition
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND
from resile.storage.tables import ENTRY

_SAMPLE = BY_KIND["sample"].table

_TANK = BY_KIND["tank"].table

_RUN = BY_KIND["run"].table

_RESULT = BY_KIND["result"].table

_INSTRUMENT = BY_KIND["instrument"].table


@dataclass(frozen=True, slots=True, kw_only=True)
class ProducedValue:
    """One value that a run of a sample of a product gave.

    Attributes
    ----------
    result, run, sample, number : str
        Keys of the result, the run and the sample; number of the sample.
    lot : str
        Lot; the number of the sample where it names none.
    taken : str
        Day or time of sampling; of receipt where it is not known.
    tested : str
        Day or time of the test.
    tank, operator, instrument : str
        Names; empty where not known.
    verification : str
        State of the instrument's verification on the day of the test; empty where not known.
    quantity, unit : str
        Name from the glossary, and its unit.
    value : float
        In that unit.
    condition : Condition
        Residue that was tested.
    temperature_c : float or None
        Test temperature [°C].
    worst : str
        Worst severity of the findings of the run: invalid, caution, note; empty for none.
    """

    result: str
    run: str
    sample: str
    number: str
    lot: str
    taken: str
    tested: str
    tank: str
    operator: str
    instrument: str
    verification: str
    quantity: str
    unit: str
    value: float
    condition: Condition
    temperature_c: float | None
    worst: str


def produced_values(
    reading: Reading, product: str, *, quantities: Collection[str] = (), since: str = "", until: str = ""
) -> list[ProducedValue]:
    """List what was measured of a product, in order of sampling.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product.
    quantities : collection of str
        Names from the glossary; empty for all of them.
    since, until : str
        First and last day of sampling, both included; empty without a bound.

    Returns
    -------
    list of ProducedValue
        By day of sampling, lot, sample and result.
    """
    result, sample, run = ENTRY.alias("result_entry"), ENTRY.alias("sample_entry"), ENTRY.alias("run_entry")
    joined = (
        _SAMPLE.join(_RUN, _RUN.c.sample == _SAMPLE.c.key)
        .join(_RESULT, _RESULT.c.key == _RUN.c.result)
        .join(result, result.c.seq == _RESULT.c.seq)
        .join(sample, sample.c.seq == _SAMPLE.c.seq)
        .join(run, run.c.seq == _RUN.c.seq)
        .outerjoin(_TANK, _TANK.c.key == _SAMPLE.c.tank)
        .outerjoin(_INSTRUMENT, _INSTRUMENT.c.key == _RUN.c.instrument)
    )
    query = (
        select(
            _RESULT.c.key.label("result"),
            _RUN.c.key.label("run"),
            _SAMPLE.c.key.label("sample"),
            _SAMPLE.c.number,
            _SAMPLE.c.lot,
            _SAMPLE.c.received,
            _RUN.c.tested,
            _RUN.c.operator,
            _RUN.c.condition,
            _RUN.c.worst,
            func.coalesce(_TANK.c.name, "").label("tank"),
            func.coalesce(_INSTRUMENT.c.name, "").label("instrument"),
            result.c.body.label("result_body"),
            sample.c.body.label("sample_body"),
            run.c.body.label("run_body"),
        )
        .select_from(joined)
        .where(_SAMPLE.c.product == product)
    )
    if quantities:
        named = (f'"quantity":"{one}"' for one in sorted(quantities))
        query = query.where(or_(*(result.c.body.contains(one, autoescape=True) for one in named)))
    found = [
        one
        for row in reading.rows(query)
        for one in _values_of(row, quantities)
        if (not since or one.taken >= since) and (not until or one.taken[:10] <= until[:10])
    ]
    return sorted(found, key=lambda one: (one.taken, one.lot, one.sample, one.result))


def _values_of(row: Row[Any], quantities: Collection[str]) -> Iterator[ProducedValue]:
    taken = str(orjson.loads(row.sample_body).get("taken", ""))
    verification = str(orjson.loads(row.run_body).get("verification", ""))
    for line in orjson.loads(row.result_body)["lines"]:
        if line["value"] is None or (quantities and line["quantity"] not in quantities):
            continue
        yield ProducedValue(
            result=row.result,
            run=row.run,
            sample=row.sample,
            number=row.number,
            lot=row.lot or row.number,
            taken=taken or row.received,
            tested=row.tested,
            tank=row.tank,
            operator=row.operator,
            instrument=row.instrument,
            verification=verification,
            quantity=line["quantity"],
            unit=line["unit"],
            value=float(line["value"]),
            condition=Condition(line.get("condition") or row.condition),
            temperature_c=line.get("temperature_c"),
            worst=row.worst,
        )


def products_with_results(reading: Reading) -> list[tuple[str, str, str, int]]:
    """Give key, name, grade and number of lots of each product that something was measured of, by name."""
    product = BY_KIND["product"].table
    lots = (
        select(_SAMPLE.c.product, func.count().label("lots"))
        .where(_SAMPLE.c.product != "", _SAMPLE.c.stage != "received")
        .group_by(_SAMPLE.c.product)
        .subquery()
    )
    query = (
        select(product.c.key, product.c.name, product.c.grade, lots.c.lots)
        .join_from(product, lots, lots.c.product == product.c.key)
        .order_by(product.c.name)
    )
    return [(row.key, row.name, row.grade, int(row.lots)) for row in reading.rows(query)]


def state_of_values(reading: Reading, product: str) -> tuple[int | str, ...]:
    """Give what changes whenever anything changes that `produced_values` tells of a product.

    Every change is a new entry of the log, further along it than all before, and its hash depends on all of
    them. What is new or changed therefore moves the furthest place of its kind; what left the product, with
    nothing in its place, lowers a count.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product.

    Returns
    -------
    tuple
        Counts, places and the hash at the furthest of them; equal only where the values are.
    """
    kept = _SAMPLE.outerjoin(_RUN, _RUN.c.sample == _SAMPLE.c.key).outerjoin(
        _RESULT, _RESULT.c.key == _RUN.c.result
    )
    places = (_SAMPLE.c.seq, _RUN.c.seq, _RESULT.c.seq)
    wanted: list[ColumnElement[Any]] = [*map(func.count, places), *map(func.max, places)]
    counted: Select[Any] = select(*wanted).select_from(kept).where(_SAMPLE.c.product == product)
    named: Select[Any] = select(
        *(select(func.max(one.c.seq)).scalar_subquery() for one in (_TANK, _INSTRUMENT))
    )
    state = [int(one or 0) for query in (counted, named) for row in reading.rows(query) for one in row]
    furthest = select(ENTRY.c.hash).where(ENTRY.c.seq == max(state[3:]))
    return (*state, *(row.hash for row in reading.rows(furthest)))


def newest_day(reading: Reading) -> str:
    """Give the day of the newest sample of any product; empty where there is none."""
    query = (
        select(ENTRY.c.body, _SAMPLE.c.received)
        .join_from(_SAMPLE, ENTRY, ENTRY.c.seq == _SAMPLE.c.seq)
        .where(_SAMPLE.c.product != "")
        .order_by(_SAMPLE.c.received.desc())
        .limit(1)
    )
    rows = reading.rows(query)
    return str(orjson.loads(rows[0].body).get("taken") or rows[0].received) if rows else ""
