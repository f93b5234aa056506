"""Demand sheets on disk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from resile.errors import InputError
from resile.records.site import SiteDemand
from resile.report.paper.models.model import Page
from resile.version import __version__
from resile.workflows.orders.pages import write_file


def write_demand(demand: SiteDemand, targets: Sequence[Path], *, date: str) -> list[Path]:
    """Write the sheet of a demand; the ending of each file decides its form.

    Parameters
    ----------
    demand : SiteDemand
        Of one site.
    targets : sequence of Path
        Files ending in .html, .pdf or .xlsx.
    date : str
        Date of issue, YYYY-MM-DD.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        For another ending, or where the target is the weather record itself.
    """
    from resile.report.page import html_of_page, pdf_of_page
    from resile.report.paper.choosing.demand import demand_page
    from resile.report.workbook.demand import demand_workbook
    from resile.workflows.sites.in_words import demand_in_words

    makers: dict[str, Callable[[Page], bytes]] = {
        ".html": lambda page: html_of_page(page, version=__version__).encode(),
        ".pdf": pdf_of_page,
        ".xlsx": lambda page: demand_workbook(demand, page),
    }
    for target in targets:
        if target.suffix.lower() not in makers:
            raise InputError(f"{target}: a page ends in {', '.join(makers)}; found '{target.suffix}'")
        source = demand.climate.source
        if source is not None and Path(source.path).resolve() == target.resolve():
            raise InputError(f"{target}: the demand hangs on this file; choose another name")
    page = demand_page(demand_in_words(demand), date=date, package_version=__version__)
    return [write_file(target, makers[target.suffix.lower()](page)) for target in targets]
