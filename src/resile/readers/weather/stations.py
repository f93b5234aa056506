"""From days as read to stations: each day once, in order; a day that contradicts itself is a gap."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

import numpy as np

from resile.errors import FileFormatError
from resile.readers.weather.rows import Day, DayLedger
from resile.records.climate import DailyWeather
from resile.records.finding import Measure
from resile.records.reading import ReadingAccount, SourceFile

_MOST_REPEATED = 0.05


def stations_of(ledger: DayLedger, source: SourceFile, account: ReadingAccount) -> tuple[DailyWeather, ...]:
    """Give each station its days.

    Parameters
    ----------
    ledger : DayLedger
        As filled from the rows.
    source, account
        The file and how it was read.

    Returns
    -------
    tuple of DailyWeather
        In the order in which the stations appear.

    Raises
    ------
    FileFormatError
        More than one row in twenty repeats a day.
    """
    sites: dict[str, dict[datetime.date, Day]] = {}
    doubtful: dict[str, set[datetime.date]] = {}
    for day in ledger.days:
        known = sites.setdefault(day.site, {})
        if day.date not in known:
            known[day.date] = day
            continue
        ledger.repeated += 1
        if not _same(day, known[day.date]):
            doubtful.setdefault(day.site, set()).add(day.date)
    if ledger.repeated > _MOST_REPEATED * len(ledger.days):
        raise FileFormatError(
            f"{source.path}: {ledger.repeated} of {len(ledger.days)} rows repeat a day; one row a day "
            "with its maximum and minimum is needed, or a column 'station' that tells several stations apart"
        )
    return tuple(
        _station(site, known, doubtful.get(site, set()), ledger, source, account)
        for site, known in sites.items()
    )


def _same(one: Day, other: Day) -> bool:
    pairs = ((one.maximum_c, other.maximum_c), (one.minimum_c, other.minimum_c))
    return all(a == b or (np.isnan(a) and np.isnan(b)) for a, b in pairs)


def _station(
    site: str,
    known: Mapping[datetime.date, Day],
    doubtful: set[datetime.date],
    ledger: DayLedger,
    source: SourceFile,
    account: ReadingAccount,
) -> DailyWeather:
    order = sorted(known)
    clear = np.array([date not in doubtful for date in order])
    high = np.where(clear, [known[d].maximum_c for d in order], np.nan)
    low = np.where(clear, [known[d].minimum_c for d in order], np.nan)
    span = (order[-1] - order[0]).days + 1
    return DailyWeather(
        site=site,
        days=np.array(order, dtype="datetime64[D]"),
        maximum_c=high,
        minimum_c=low,
        source=source,
        account=account,
        measures=(
            Measure("days_absent", float(span - len(order)), "d"),
            Measure("values_impossible", float(ledger.impossible)),
            Measure("days_repeated", float(ledger.repeated), "d"),
            Measure("days_contradicting", float(len(doubtful)), "d"),
        ),
    )
