"""What waits in the laboratory: short lists for the first page, quick however much the record holds.

Every query walks an index and stops early. Lists that would have to look through years of runs or verdicts
look at the newest `WINDOW` of them alone: what is older is found in the lists of runs and samples.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Select, func, or_, select

from resile.records.register import SampleStage, StatementState
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

WINDOW = 500
MOST_COUNTED = 1000
"""Counts stop here: more is "many"."""
ONE_BY_ONE = 12
"""So many samples of one product that wait for the same thing are named; more of them are told together."""

_SAMPLE = BY_KIND["sample"].table
_PRODUCT = BY_KIND["product"].table
_RUN = BY_KIND["run"].table
_VERDICT = BY_KIND["verdict"].table
_STATEMENT = BY_KIND["statement"].table
_OPEN = (SampleStage.RECEIVED.value, SampleStage.TESTED.value, SampleStage.GRADED.value)


@dataclass(frozen=True, slots=True)
class WaitingSample:
    """A sample that is not finished.

    Attributes
    ----------
    key, number, grade, received, stage : str
        Key, number, claimed grade, day of receipt, and how far it has come.
    """

    key: str
    number: str
    grade: str
    received: str
    stage: str


@dataclass(frozen=True, slots=True)
class WaitingProduct:
    """Many samples of one product that wait for the same thing.

    Attributes
    ----------
    product, name, stage, oldest : str
        Key and name of the product, how far its samples have come, day of receipt of the oldest.
    samples : int
        How many, counted as far as a bound.
    """

    product: str
    name: str
    stage: str
    oldest: str
    samples: int


@dataclass(frozen=True, slots=True)
class DoubtedRun:
    """A run with findings.

    Attributes
    ----------
    key, test, file_name, sample, number, tested, worst : str
        Key, kind of test, name of the file, key and number of the sample, when it was tested, worst severity.
    temperature_c : float or None
        Test temperature [°C].
    """

    key: str
    test: str
    file_name: str
    sample: str
    number: str
    tested: str
    worst: str
    temperature_c: float | None


@dataclass(frozen=True, slots=True)
class NearLimit:
    """A lot whose deciding value lies near its limit.

    Attributes
    ----------
    sample, number, lot, product, outcome : str
        Key and number of the sample, its lot, name of the product, outcome of the verdict.
    margin : float
        In multiples of the repeatability; negative beyond the limit.
    """

    sample: str
    number: str
    lot: str
    product: str
    outcome: str
    margin: float


@dataclass(frozen=True, slots=True)
class StatementRow:
    """A statement.

    Attributes
    ----------
    key, number, sample, sample_number, state, issued, author : str
        Key and number; key and number of the sample; state; day of issue; key of the author.
    """

    key: str
    number: str
    sample: str
    sample_number: str
    state: str
    issued: str
    author: str


def is_empty(reading: Reading) -> bool:
    """Tell whether nothing was received and nothing measured yet.

    Parameters
    ----------
    reading : Reading
        Where to look.
    """
    tables = (_SAMPLE, _RUN)
    return not any(reading.rows(select(table.c.key).limit(1)) for table in tables)


def waiting_samples(reading: Reading, *, limit: int) -> tuple[list[WaitingSample | WaitingProduct], int]:
    """List the samples that are not finished, the oldest first, and count them.

    Parameters
    ----------
    reading : Reading
        Where to look.
    limit : int
        How many are listed.

    Returns
    -------
    tuple of (list of WaitingSample or WaitingProduct, int)
        Single samples, then products of which many wait: they would hide all others. And how many samples
        wait in all.
    """
    single: list[WaitingSample] = []
    many: list[WaitingProduct] = []
    count = 0
    for stage in _OPEN:  # one by one: each walks its index in order and stops at the limit
        together = _many_of_a_product(reading, stage)
        many += together
        query = _samples().where(_SAMPLE.c.stage == stage)
        query = query.where(_SAMPLE.c.product.not_in([one.product for one in together]))
        query = query.order_by(_SAMPLE.c.received, _SAMPLE.c.key).limit(limit)
        single += [WaitingSample(**row._mapping) for row in reading.rows(query)]
        count += _count(reading, select(_SAMPLE.c.key).where(_SAMPLE.c.stage == stage))
    single.sort(key=lambda one: (one.received, one.key))
    many.sort(key=lambda one: (one.oldest, one.product))
    return [*single[:limit], *many[:limit]], count


def _many_of_a_product(reading: Reading, stage: str) -> list[WaitingProduct]:
    oldest = (
        select(_SAMPLE.c.product, _SAMPLE.c.received)
        .where(_SAMPLE.c.stage == stage)
        .order_by(_SAMPLE.c.received, _SAMPLE.c.key)
        .limit(MOST_COUNTED)
        .subquery()
    )
    samples = func.count()
    query = (
        select(
            oldest.c.product,
            _PRODUCT.c.name,
            func.min(oldest.c.received).label("oldest"),
            samples.label("samples"),
        )
        .join_from(oldest, _PRODUCT, _PRODUCT.c.key == oldest.c.product)
        .group_by(oldest.c.product, _PRODUCT.c.name)
        .having(samples > ONE_BY_ONE)
    )
    return [WaitingProduct(stage=stage, **row._mapping) for row in reading.rows(query)]


def samples_of_customer(reading: Reading, customer: str, *, limit: int) -> list[WaitingSample]:
    """List the newest samples of a customer.

    Parameters
    ----------
    reading : Reading
        Where to look.
    customer : str
        Key of the customer.
    limit : int
        How many.
    """
    query = _samples().where(_SAMPLE.c.customer == customer)
    query = query.order_by(_SAMPLE.c.received.desc(), _SAMPLE.c.key.desc()).limit(limit)
    return [WaitingSample(**row._mapping) for row in reading.rows(query)]


def _samples() -> Select[tuple[str, ...]]:
    return select(
        _SAMPLE.c.key,
        _SAMPLE.c.number,
        _SAMPLE.c.claimed_grade.label("grade"),
        _SAMPLE.c.received,
        _SAMPLE.c.stage,
    )


def doubted_runs(reading: Reading, *, limit: int) -> tuple[list[DoubtedRun], int]:
    """List the newest runs with a finding that weighs, of samples that are not finished or of none.

    Parameters
    ----------
    reading : Reading
        Where to look.
    limit : int
        How many are listed.

    Returns
    -------
    tuple of (list of DoubtedRun, int)
        Invalid ones first; how many there are among the newest.
    """
    found: list[DoubtedRun] = []
    for worst in ("invalid", "caution"):
        newest = select(_RUN.c.key).where(_RUN.c.worst == worst).order_by(_RUN.c.key.desc()).limit(WINDOW)
        query = (
            select(
                _RUN.c.key,
                _RUN.c.test,
                _RUN.c.file_name,
                _RUN.c.sample,
                func.coalesce(_SAMPLE.c.number, "").label("number"),
                _RUN.c.tested,
                _RUN.c.worst,
                _RUN.c.temperature_c,
            )
            .join_from(_RUN, _SAMPLE, _SAMPLE.c.key == _RUN.c.sample, isouter=True)
            .where(_RUN.c.key.in_(newest.scalar_subquery()))
            .where(or_(_RUN.c.sample == "", _SAMPLE.c.stage.in_(_OPEN)))
            .order_by(_RUN.c.key.desc())
        )
        found += [DoubtedRun(**row._mapping) for row in reading.rows(query)]
    return found[:limit], len(found)


def lots_near_limit(reading: Reading, multiple: float, *, limit: int) -> tuple[list[NearLimit], int]:
    """List the samples whose newest verdict lies near a limit, or beyond it.

    Parameters
    ----------
    reading : Reading
        Where to look.
    multiple : float
        In multiples of the repeatability.
    limit : int
        How many are listed.
    """
    newest = (
        select(_VERDICT.c.sample, _VERDICT.c.nearest_margin, _VERDICT.c.outcome)
        .order_by(_VERDICT.c.key.desc())
        .limit(WINDOW)
    )
    margins: dict[str, tuple[float | None, str]] = {}
    for row in reading.rows(newest):
        margins.setdefault(row.sample, (row.nearest_margin, row.outcome))
    near = {key: (at, how) for key, (at, how) in margins.items() if at is not None and at < multiple}
    chosen = list(near)[:limit]
    query = (
        select(_SAMPLE.c.key, _SAMPLE.c.number, _SAMPLE.c.lot, _PRODUCT.c.name)
        .join_from(_SAMPLE, _PRODUCT, _PRODUCT.c.key == _SAMPLE.c.product, isouter=True)
        .where(_SAMPLE.c.key.in_(chosen))
    )
    told = {row.key: row for row in reading.rows(query)}
    rows = [
        NearLimit(key, told[key].number, told[key].lot, told[key].name or "", near[key][1], near[key][0])
        for key in chosen
        if key in told
    ]
    return rows, len(near)


def statements_in(
    reading: Reading, state: StatementState, *, customer: str = "", limit: int
) -> tuple[list[StatementRow], int]:
    """List the statements in a state: drafts the oldest first, others the newest first.

    Parameters
    ----------
    reading : Reading
        Where to look.
    state : StatementState
        The state.
    customer : str
        Key of the customer; empty for all.
    limit : int
        How many are listed.
    """
    table = _STATEMENT
    keys = select(table.c.key).where(table.c.state == state.value)
    if customer:
        keys = keys.where(table.c.customer == customer)
    ordered = table.c.key if state is StatementState.DRAFT else table.c.key.desc()
    query = (
        select(
            table.c.key,
            table.c.number,
            table.c.sample,
            func.coalesce(_SAMPLE.c.number, "").label("sample_number"),
            table.c.state,
            table.c.issued,
            table.c.author,
        )
        .join_from(table, _SAMPLE, _SAMPLE.c.key == table.c.sample, isouter=True)
        .where(table.c.state == state.value)
        .order_by(ordered)
        .limit(limit)
    )
    if customer:
        query = query.where(table.c.customer == customer)
    return [StatementRow(**row._mapping) for row in reading.rows(query)], _count(reading, keys)


def _count(reading: Reading, keys: Select[tuple[str]]) -> int:
    counted = select(func.count()).select_from(keys.limit(MOST_COUNTED).subquery())
    return int(reading.rows(counted)[0][0])
