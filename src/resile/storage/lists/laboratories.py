"""Lists of what the laboratory compares itself by: duplicates among its runs, checks, own precision."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, and_, case, func, select

from resile.records.register import TYPED_RESULTS
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_RUN = BY_KIND["run"].table
_SAMPLE = BY_KIND["sample"].table
_CHECK = BY_KIND["check_result"].table


@dataclass(frozen=True, slots=True)
class DuplicateRun:
    """One run of a sample that was tested by two specimens or more.

    Attributes
    ----------
    run, result : str
        Keys.
    sample, sample_number : str
        Key and number of the sample.
    specimen : str
        Key of the specimen; that of the run where no specimen is named.
    condition, test, tested, operator, instrument : str
        As kept with the run.
    """

    run: str
    result: str
    sample: str
    sample_number: str
    specimen: str
    condition: str
    test: str
    tested: str
    operator: str
    instrument: str


def duplicate_runs(
    reading: Reading, *, since: str = "", until: str = "", condition: str = "", limit: int = 500
) -> list[DuplicateRun]:
    """Give the runs of samples that were tested in one residue by two specimens or more.

    Parameters
    ----------
    reading : Reading
        Where to look.
    since, until : str
        Days of the test, both included; empty for no bound.
    condition : str
        Residue; empty for every residue.
    limit : int
        How many groups of sample, residue and test are taken: the newest.

    Returns
    -------
    list of DuplicateRun
        Sample by sample, in the order of the test; runs with an invalid result are left out.
    """
    specimen = case((_RUN.c.specimen == "", _RUN.c.key), else_=_RUN.c.specimen)
    fitting = [
        _RUN.c.sample != "",
        _RUN.c.result != "",
        _RUN.c.worst != "invalid",
        _RUN.c.test != TYPED_RESULTS,
        _RUN.c.tested >= since,
        *([_RUN.c.tested < f"{until[:10]}~"] if until else []),  # a time of that day sorts before it
        *([_RUN.c.condition == condition] if condition else []),
    ]
    groups = (
        select(_RUN.c.sample, _RUN.c.condition, _RUN.c.test)
        .where(*fitting)
        .group_by(_RUN.c.sample, _RUN.c.condition, _RUN.c.test)
        .having(func.count(specimen.distinct()) > 1)
        .order_by(func.max(_RUN.c.tested).desc(), _RUN.c.sample)
        .limit(limit)
        .subquery()
    )
    same = and_(*(groups.c[name] == _RUN.c[name] for name in ("sample", "condition", "test")))
    names = ("result", "sample", "condition", "test", "tested", "operator", "instrument")
    query: Select[Any] = (
        select(
            _RUN.c.key.label("run"),
            *(_RUN.c[name] for name in names),
            specimen.label("specimen"),
            _SAMPLE.c.number.label("sample_number"),
        )
        .join(groups, same)
        .join(_SAMPLE, _SAMPLE.c.key == _RUN.c.sample)
        .where(*fitting)
        .order_by(_RUN.c.sample, _RUN.c.tested, _RUN.c.key)
    )
    return [DuplicateRun(**row._mapping) for row in reading.rows(query)]


def newest_checks(reading: Reading, *, most: int = 60) -> list[str]:
    """Give the keys of the newest checks of each material, the oldest first.

    Parameters
    ----------
    reading : Reading
        Where to look.
    most : int
        How many of a material.
    """
    place = func.row_number().over(
        partition_by=_CHECK.c.material, order_by=(_CHECK.c.done.desc(), _CHECK.c.seq.desc())
    )
    found = select(_CHECK.c.key, _CHECK.c.done, _CHECK.c.seq, place.label("place")).subquery()
    query = select(found.c.key).where(found.c.place <= most).order_by(found.c.done, found.c.seq)
    return [row.key for row in reading.rows(query)]
