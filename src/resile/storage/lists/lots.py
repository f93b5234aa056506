"""Lots of a product with what became of them: samples, verdicts, statements."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import ColumnElement, Row, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND
from resile.storage.tables import ENTRY

_SAMPLE = BY_KIND["sample"].table

_VERDICT = BY_KIND["verdict"].table

_STATEMENT = BY_KIND["statement"].table


@dataclass(frozen=True, slots=True, kw_only=True)
class ProducedSample:
    """One sample of a lot, with its newest verdict.

    Attributes
    ----------
    key, number, taken, stage : str
        Key, number, day of sampling (of receipt where it is not known), how far it has come.
    parent : str
        Key of the sample it was split from; empty for one that was taken by itself.
    outcome : str
        Outcome of the newest verdict; empty where it was not judged.
    complies : bool
        True where that verdict says that what was asked is satisfied.
    """

    key: str
    number: str
    taken: str
    stage: str
    parent: str
    outcome: str
    complies: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ProducedLot:
    """A lot of a product, from the samples that were taken of it.

    Attributes
    ----------
    lot, product : str
        Lot, the number of the sample where it names none; key of the product.
    taken : str
        First day of sampling; of receipt where it is not known.
    tank : str
        Key of the tank; empty where not known.
    represents_t : float or None
        Mass of binder that the lot stands for [t]; None where no sample says so.
    samples : tuple of ProducedSample
        In order of sampling.
    stage : str
        How far the furthest sample has come.
    outcome : str
        Of the newest verdict on each sample, the worst; empty where none was judged.
    grade : str
        Grade of the newest verdict.
    judged : str
        When the newest verdict was kept; empty where none was.
    statements : tuple of str
        Numbers of the statements that were issued on its samples and hold.
    issued : str
        First day of issue; empty where none was.
    """

    lot: str
    product: str
    taken: str
    tank: str
    represents_t: float | None
    samples: tuple[ProducedSample, ...]
    stage: str
    outcome: str
    grade: str
    judged: str
    statements: tuple[str, ...]
    issued: str

    @property
    def numbers(self) -> tuple[str, ...]:
        """Numbers of the samples."""
        return tuple(one.number for one in self.samples)


def produced_lots(reading: Reading, product: str = "", *, since: str = "") -> list[ProducedLot]:
    """List the lots of a product with what became of them, in order of sampling.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product; empty for all products.
    since : str
        First day of sampling; empty for all.
    """
    found = _lots(reading, _SAMPLE.c.product == product if product else _SAMPLE.c.product != "")
    return [one for one in found if not since or one.taken >= since]


def lots_named(reading: Reading, names: list[str]) -> dict[str, ProducedLot]:
    """Give lots by their names; a name that no sample carries is left out.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    names : list of str
        Lots as load papers name them.
    """
    found: dict[str, ProducedLot] = {}
    for part in _parts(names):
        found |= {one.lot: one for one in _lots(reading, _SAMPLE.c.lot.in_(part))}
    return found


def _lots(reading: Reading, chosen: ColumnElement[bool]) -> list[ProducedLot]:
    columns = (_SAMPLE.c[name] for name in ("key", "number", "product", "lot", "tank", "received", "stage"))
    query = (
        select(*columns, ENTRY.c.body).join_from(_SAMPLE, ENTRY, ENTRY.c.seq == _SAMPLE.c.seq).where(chosen)
    )
    by_lot: dict[str, list[tuple[Row[Any], dict[str, Any]]]] = {}
    for row in reading.rows(query):
        by_lot.setdefault(row.lot or row.number, []).append((row, orjson.loads(row.body)))
    keys = [row.key for rows in by_lot.values() for row, _ in rows]
    verdicts, statements = _verdicts(reading, keys), _statements(reading, keys)
    lots = [_lot(name, rows, verdicts, statements) for name, rows in by_lot.items()]
    return sorted(lots, key=lambda one: (one.taken, one.lot))


_STAGE_ORDER = ("received", "tested", "graded", "stated", "disposed")

_OUTCOME_ORDER = ("fail", "conditional", "not tested", "pass", "")


def _lot(
    name: str,
    rows: list[tuple[Row[Any], dict[str, Any]]],
    verdicts: dict[str, Row[Any]],
    statements: dict[str, list[Row[Any]]],
) -> ProducedLot:
    rows = sorted(rows, key=lambda one: (one[1].get("taken") or one[0].received, one[0].key))
    judged = [verdicts[row.key] for row, _ in rows if row.key in verdicts]
    held = [one for row, _ in rows for one in statements.get(row.key, ())]
    represents = [body["represents_t"] for _, body in rows if body.get("represents_t") is not None]
    first, body = rows[0]
    newest = max(judged, key=lambda one: str(one.key), default=None)
    return ProducedLot(
        lot=name,
        product=first.product,
        taken=body.get("taken") or first.received,
        tank=next((row.tank for row, _ in rows if row.tank), ""),
        represents_t=max(represents, default=None),
        samples=tuple(_sample(row, body, verdicts.get(row.key)) for row, body in rows),
        stage=max((row.stage for row, _ in rows), key=_STAGE_ORDER.index),
        outcome=min((one.outcome for one in judged), key=_weight, default=""),
        grade=newest.grade if newest else "",
        judged=newest.at if newest else "",
        statements=tuple(one.number for one in held),
        issued=min((one.issued for one in held), default=""),
    )


def _sample(row: Row[Any], body: dict[str, Any], verdict: Row[Any] | None) -> ProducedSample:
    return ProducedSample(
        key=row.key,
        number=row.number,
        taken=body.get("taken") or row.received,
        stage=row.stage,
        parent=body.get("parent", ""),
        outcome=verdict.outcome if verdict else "",
        complies=bool(verdict and orjson.loads(verdict.body).get("complies", False)),
    )


def _weight(outcome: str) -> int:
    return next((place for place, word in enumerate(_OUTCOME_ORDER) if outcome.startswith(word)), 1)


def _verdicts(reading: Reading, samples: list[str]) -> dict[str, Row[Any]]:
    """Give the newest verdict of each sample."""
    table = _VERDICT
    query = select(
        table.c.key, table.c.sample, table.c.outcome, table.c.grade, ENTRY.c.at, ENTRY.c.body
    ).join_from(table, ENTRY, ENTRY.c.seq == table.c.seq)
    found: dict[str, Row[Any]] = {}
    for part in _parts(samples):
        for row in reading.rows(query.where(table.c.sample.in_(part)).order_by(table.c.key)):
            found[row.sample] = row
    return found


def _statements(reading: Reading, samples: list[str]) -> dict[str, list[Row[Any]]]:
    """Give the statements of each sample that were issued and hold."""
    table = _STATEMENT
    query = select(table.c.number, table.c.sample, table.c.issued).where(table.c.state == "issued")
    found: dict[str, list[Row[Any]]] = {}
    for part in _parts(samples):
        for row in reading.rows(query.where(table.c.sample.in_(part)).order_by(table.c.key)):
            found.setdefault(row.sample, []).append(row)
    return found


def _parts(keys: list[str]) -> Iterable[list[str]]:
    """Both databases bound the number of parameters."""
    return (keys[start : start + 500] for start in range(0, len(keys), 500))
