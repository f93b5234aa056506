"""The whole task: a table of sites and a list of binders to a choice that shows and writes itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.readers.range import read_range
from resile.readers.sites.table import read_site_table
from resile.readers.source_file import given_file
from resile.records.choice import Choice, SiteNeed
from resile.records.finding import Finding, Severity
from resile.records.range import BinderRange
from resile.records.reading import HeldFile, SourceFile
from resile.version import __version__
from resile.workflows.choosing.matching import match_binders
from resile.workflows.choosing.needs import need_of, with_demands
from resile.workflows.choosing.standings import RangeStandings
from resile.workflows.judging.agreement import Yardstick, agree
from resile.workflows.predictions.prediction import REQUIRED_PROBABILITY
from resile.workflows.sites.demand_request import DemandSettings
from resile.workflows.sites.site_demand import DEFAULT_MODEL
from resile.workflows.sites.site_demands import SiteDemands, site_demands

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

DEMANDS = "demands"
"""Folder of the demand sheets, below that of the choice."""


@dataclass(frozen=True, slots=True)
class Match:
    """A choice with what it was made from; shows itself.

    Attributes
    ----------
    choice : Choice
        The choice.
    standings : RangeStandings
        How every binder stands to every grade.
    binder_range : BinderRange
        The binders.
    sources : tuple of SourceFile
        Table of sites, list of binders, files of results and of weather.
    demands : SiteDemands or None
        What the sites ask for, with the reasons; None where all grades were typed.
    """

    choice: Choice
    standings: RangeStandings
    binder_range: BinderRange
    sources: tuple[SourceFile, ...]
    demands: SiteDemands | None = None

    @property
    def banner(self) -> str:
        """A warning where the range says that it is invented; empty else."""
        some = self.binder_range
        told = " ".join((some.title, *some.remarks, *(binder.remark for binder in some.binders)))
        return "Invented for demonstration" if "invented" in told.casefold() else ""

    def to_json(self) -> dict[str, Any]:
        """Give the choice as the fixed interface of ``resile match --json`` names it."""
        from resile.report.machine.choice import choice_to_json

        return {
            "package_version": __version__,
            "specification_sha256": self.standings.specification.sha256,
            "sources": [{"path": one.path, "sha256": one.sha256} for one in self.sources],
            **choice_to_json(self.choice),
        }

    def to_terminal(self, *, full: bool = False) -> Any:
        """Give the choice for a terminal."""
        from resile.report.terminal.choice import render_choice

        return render_choice(self.choice, full=full)

    def page(self, *, date: str) -> Page:
        """Give the page of the choice as texts and pictures ready to be set.

        Parameters
        ----------
        date : str
            Date on the page, YYYY-MM-DD.

        Returns
        -------
        Page
            For screen and paper.
        """
        from resile.report.paper.choosing.choice import choice_page

        return choice_page(
            self.choice,
            self.standings.covered,
            self.standings.specification,
            self.sources,
            title=self.binder_range.title,
            date=date,
            banner=self.banner,
        )

    def write(self, folder: Path, *, date: str) -> list[Path]:
        """Write page, workbook, table and map into a folder, and a demand sheet of each site below it.

        Parameters
        ----------
        folder : Path
            Made if need be; files of the same names are replaced.
        date : str
            Date on the page, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.
        """
        from resile.workflows.choosing.files import choice_files
        from resile.workflows.orders.pages import write_file

        files = choice_files(
            self.choice,
            self.standings.covered,
            folder,
            page=self.page(date=date),
            told=self.to_json(),
            date=date,
        )
        written = [write_file(path, content) for path, content in files.items()]
        return written + (self.demands.write(folder / DEMANDS, date=date) if self.demands else [])


def match_sites(
    sites: str | Path | HeldFile | Sequence[SiteNeed],
    binders: str | Path | HeldFile | BinderRange,
    yardstick: Yardstick | None = None,
    *,
    required_probability: float = REQUIRED_PROBABILITY,
    without: Sequence[str] = (),
    prices: Mapping[str, float] | None = None,
    measured_with_uncertainty: bool = False,
    model: str = DEFAULT_MODEL,
    specification: str | Path = "",
) -> Match:
    """Choose a binder of a range for every site.

    Parameters
    ----------
    sites : str, Path, HeldFile or sequence of SiteNeed
        Table of sites, with the grade each needs or with what its demand follows from (place, weather,
        traffic); or the needs themselves.
    binders : str, Path, HeldFile or BinderRange
        List of binders, or the range itself.
    yardstick : Yardstick, optional
        Specification and rules; those of ``m332-2014`` where left out.
    required_probability : float
        Probability that what was not tested would pass, above 0 and below 1.
    without : sequence of str
        Binders that cannot be had.
    prices : mapping of str to float, optional
        Other prices per tonne.
    measured_with_uncertainty : bool
        Ask the probability of measured results too.
    model : str
        Pavement model, for sites whose grade is not stated.
    specification : str or Path
        As given to `agree`, where that is a file of one's own; needed for sites whose grade is not stated.

    Returns
    -------
    Match
        The choice.

    Raises
    ------
    ResileError
        Where a file or a number cannot be used.
    """
    agreed = yardstick if yardstick is not None else agree()
    sources: tuple[SourceFile, ...] = ()
    demands = None
    findings: tuple[Finding, ...] = ()
    if isinstance(sites, str | Path | HeldFile):
        table = read_site_table(given_file(sites))
        needs = tuple(need_of(request) for request in table.requests)
        sources = (table.source,)
        if not all(need.grade for need in needs):
            settings = DemandSettings(
                specification=specification or agreed.specification.identifier, model=model
            )
            demands = site_demands([one for one in table.requests if not one.grade], settings=settings)
            needs, findings = with_demands(needs, demands)
            sources = (*sources, *weather_of(demands))
        findings = (*findings, *_unused(table.unused))
    else:
        needs = tuple(sites)
    found = binders if isinstance(binders, BinderRange) else read_range(given_file(binders))
    choice, standings = match_binders(
        needs,
        found,
        agreed,
        required_probability=required_probability,
        without=without,
        prices=prices,
        measured_with_uncertainty=measured_with_uncertainty,
    )
    choice = replace(choice, findings=(*findings, *choice.findings))
    return Match(choice, standings, found, (*sources, *found.sources), demands)


def _unused(headings: Sequence[str]) -> Iterable[Finding]:
    if headings:
        yield Finding(
            code="site-columns-not-used",
            severity=Severity.NOTE,
            message=f"Columns of the table of sites that are not known: {', '.join(map(repr, headings))}.",
            rule="every column of a table of sites is understood",
            source="own rule",
            advice="Nothing where they are for people; else mend the heading.",
        )


def weather_of(demands: SiteDemands) -> tuple[SourceFile, ...]:
    """Give the weather files that demands rest on, each once."""
    found = (report.demand.climate.source for report in demands.reports)
    return tuple(dict.fromkeys(source for source in found if source is not None))
