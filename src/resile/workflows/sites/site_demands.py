"""The demands of many sites at once: one that cannot be answered does not stop the others."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from resile.errors import InputError, ResileError
from resile.readers.sites.table import read_site_table
from resile.readers.source_file import given_file
from resile.readers.weather_record import read_weather_record
from resile.records.climate import DailyWeather
from resile.records.demand_request import DemandRequest
from resile.records.reading import HeldFile
from resile.workflows.orders.pages import file_stem, write_file
from resile.workflows.sites.demand_request import DemandSettings, demand_for
from resile.workflows.sites.site_demand import DemandReport

MOST_WITH_WHAT_IF = 500
"""Sites for which what would change the grade is worked out: nobody reads it of more at once."""
Told = Callable[[int, int], None]
"""Is told how many are done, and of how many."""
FILES_KEPT = 8
"""Weather files remembered at a time: rows of a table that share one mostly stand together."""


@dataclass(frozen=True, slots=True)
class SiteError:
    """A site whose demand could not be given.

    Attributes
    ----------
    site, message : str
        Its name, and why.
    """

    site: str
    message: str


@dataclass(frozen=True, slots=True)
class SiteDemands:
    """The demands of many sites, that can show themselves.

    Attributes
    ----------
    answers : tuple of DemandReport or SiteError
        One a site, in the order of the table.
    unused : tuple of str
        Headings of the table that are not known and were not used.
    """

    answers: tuple[DemandReport | SiteError, ...]
    unused: tuple[str, ...] = ()

    @property
    def reports(self) -> tuple[DemandReport, ...]:
        """Sites that could be answered."""
        return tuple(one for one in self.answers if isinstance(one, DemandReport))

    @property
    def errors(self) -> tuple[SiteError, ...]:
        """Sites that could not be answered."""
        return tuple(one for one in self.answers if isinstance(one, SiteError))

    def to_json(self) -> dict[str, Any]:
        """Give all demands for machines."""
        return {
            "sites": [report.to_json() for report in self.reports],
            "errors": [asdict(error) for error in self.errors],
            "unused": list(self.unused),
        }

    def to_terminal(self) -> Any:
        """Give one line a site, and what could not be answered."""
        from resile.report.terminal.demand import render_demands

        return render_demands(
            tuple(report.demand for report in self.reports),
            tuple((error.site, error.message) for error in self.errors),
            unused=self.unused,
        )

    def write(self, folder: str | Path, *, date: str) -> list[Path]:
        """Write a demand sheet of each site (HTML, PDF) and a table of all (CSV).

        Parameters
        ----------
        folder : str or Path
            Made if need be.
        date : str
            Date of issue, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.
        """
        written, used = [], set()
        for number, report in enumerate(self.reports, start=1):
            stem = file_stem(report.demand.site.name)
            if stem.casefold() in used:
                stem = f"{stem}-{number}"
            used.add(stem.casefold())
            written += report.write([Path(folder) / f"{stem}{end}" for end in (".html", ".pdf")], date=date)
        return [*written, write_file(Path(folder) / "demands.csv", self._table().encode("utf-8-sig"))]

    def _table(self) -> str:
        from resile.report.machine.demand import demand_row

        file = io.StringIO()
        rows = [demand_row(report.demand) for report in self.reports]
        if rows:
            writer = csv.DictWriter(file, fieldnames=list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
        return file.getvalue()


def site_demands(
    table: str | Path | HeldFile | Sequence[DemandRequest],
    *,
    settings: DemandSettings | None = None,
    told: Told | None = None,
) -> SiteDemands:
    """Give the demands of a table of sites.

    Parameters
    ----------
    table : str, Path, HeldFile or sequence of DemandRequest
        Table of sites (.csv, .xlsx, .toml), or what was read from one.
    settings : DemandSettings, optional
        What holds for every site.
    told : callable, optional
        Is told how many sites are done, and of how many; what it raises stops the work.

    Returns
    -------
    SiteDemands
        In the order of the table; sites that cannot be answered stand under its errors. What would change
        a grade is left out of tables of more than 500 sites.

    Raises
    ------
    RecordNotFoundError, FileFormatError
        The table itself cannot be read.
    """
    requests, unused = _requests(table)
    chosen = settings or DemandSettings()
    what_if = len(requests) <= MOST_WITH_WHAT_IF

    @lru_cache(maxsize=FILES_KEPT)
    def stations(path: Path | HeldFile, **how: Any) -> tuple[DailyWeather, ...]:
        return read_weather_record(path, **how)

    answers: list[DemandReport | SiteError] = []
    for done, request in enumerate(requests):
        if told is not None:
            told(done, len(requests))
        try:
            answers.append(demand_for(request, chosen, stations=stations, what_if=what_if))
        except ResileError as error:
            answers.append(SiteError(request.name, str(error)))
    return SiteDemands(tuple(answers), unused)


def _requests(
    table: str | Path | HeldFile | Sequence[DemandRequest],
) -> tuple[Sequence[DemandRequest], tuple[str, ...]]:
    if isinstance(table, str | Path | HeldFile):
        read = read_site_table(given_file(table))
        return read.requests, read.unused
    return table, ()


def request_of(options: Mapping[str, Any]) -> DemandRequest:
    """Give the request that options make up.

    Parameters
    ----------
    options : mapping
        Names of `DemandRequest` fields to values.

    Returns
    -------
    DemandRequest
        Of one site.
    """
    return DemandRequest(**options)


def refuse_both(request: DemandRequest, pages: Sequence[Path]) -> None:
    """Refuse options of one site beside a table of sites.

    Parameters
    ----------
    request : DemandRequest
        From the options.
    pages : sequence of Path
        Pages asked for.

    Raises
    ------
    InputError
        Where there are any.
    """
    if replace(request, depth_mm=0.0, reliability_percent=98.0) != DemandRequest() or pages:
        raise InputError(
            "a table of sites and options of one site were both given; one of them is needed "
            "(sheets of a table go into --folder)"
        )
