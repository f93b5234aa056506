"""What a month brought of every product, and what to do."""

from __future__ import annotations

import calendar
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.records.control.month import (
    FailedLot,
    LoadMisfit,
    MonthOfProduct,
    MonthReport,
)
from resile.records.register import Actor, ControlWatch, LaboratorySettings, Product
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.lots import ProducedLot, produced_lots
from resile.storage.lists.production import newest_day
from resile.storage.reading import Reading
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.control.laboratory_lines import laboratory_lines
from resile.workflows.laboratory.control.month_charts import month_chart
from resile.workflows.laboratory.control.products import HOW_TO_LOOK, product_controlled
from resile.workflows.laboratory.control.reconciliation import Reconciled
from resile.workflows.laboratory.control.sampled import SampledProduct

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page

_MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])")


@dataclass(frozen=True, slots=True)
class MonthAnswer:
    """What a month brought, with everything it shows.

    Attributes
    ----------
    report : MonthReport
        As gathered.
    """

    report: MonthReport

    def to_json(self) -> dict[str, Any]:
        """Give the report for machines."""
        return {"schema": "resile-month-1", **asdict(self.report)}

    def to_terminal(self) -> Any:
        """Give the report as a readable sheet."""
        from resile.report.terminal.page_sheet import render_page

        return render_page(self.page(date=""))

    def page(self, *, date: str) -> Page:
        """Give the report on paper: a cover for a manager, then product by product.

        Parameters
        ----------
        date : str
            Date on the page, YYYY-MM-DD.
        """
        from resile.report.paper.control.month import month_page

        return month_page(self.report, date=date)

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the report as web pages (.html) or on paper (.pdf).

        Parameters
        ----------
        targets : sequence of Path
            The ending decides the form.
        date : str
            Date on the page, YYYY-MM-DD.

        Raises
        ------
        InputError
            For another ending.
        """
        from resile.report.page import html_of_page, pdf_of_page
        from resile.workflows.orders.pages import write_file

        paths = [Path(one) for one in targets]
        wrong = next((one for one in paths if one.suffix.lower() not in (".html", ".pdf")), None)
        if wrong is not None:
            raise InputError(f"{wrong}: the report ends in .html or .pdf; found '{wrong.suffix}'")
        page = self.page(date=date)
        return [
            write_file(
                one,
                pdf_of_page(page)
                if one.suffix.lower() == ".pdf"
                else html_of_page(page, version=__version__).encode(),
            )
            for one in paths
        ]

    def to_pdf(self, *, date: str) -> bytes:
        """Give the report on paper."""
        from resile.report.page import pdf_of_page

        return pdf_of_page(self.page(date=date))


def month_report(record: LaboratoryRecord, actor: Actor, month: str, at: str) -> MonthAnswer:
    """Say what a month brought.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    month : str
        Year and month, such as ``2026-03``; the month of `at` where empty.
    at : str
        The time, ISO 8601.

    Raises
    ------
    InputError
        Where the month is none.
    """
    require(actor, "runs.see")
    asked = month or at[:7]
    first, last = days_of(asked)
    day = min(last, at[:10])
    with record.reading() as reading:
        settings = reading.find(LaboratorySettings)
        lots = [one for one in produced_lots(reading, since=_month_before(first)) if one.taken[:10] <= last]
        products = [
            _of_product(reading, key, [one for one in lots if one.product == key], (first, last, day))
            for key in _products(reading, lots)
        ]
        newest = newest_day(reading)
        invented = any(reading.get(Product, one.key).value.invented for one in products)
        laboratory = laboratory_lines(reading, first, day)
    ordered = sorted(products, key=lambda one: (not one.to_do, one.name))
    shown = tuple(one for one in ordered if one.lots or one.loads or any(chart.lots for chart in one.charts))
    name = settings[0].value.name if settings else ""
    return MonthAnswer(
        MonthReport(
            month=asked,
            laboratory=name,
            products=shown,
            laboratory_to_do=laboratory.to_do,
            laboratory_lines=laboratory.told,
            how_to_look=HOW_TO_LOOK,
            newest_month=newest[:7],
            invented=invented,
        )
    )


def days_of(month: str) -> tuple[str, str]:
    """Give the first and the last day of a month.

    Raises
    ------
    InputError
        Where it is none.
    """
    if not _MONTH.fullmatch(month):
        raise InputError(f"'{month}' is no month; needed: year-month, such as 2026-03")
    year, number = int(month[:4]), int(month[5:])
    if year < 1:
        raise InputError(f"'{month}' is no month; needed: year-month, such as 2026-03")
    return f"{month}-01", f"{month}-{calendar.monthrange(year, number)[1]:02d}"


def _month_before(first: str) -> str:
    day = (date.fromisoformat(first) - timedelta(days=1)).isoformat() if first > "0001-01-01" else first
    return day[:8] + "01"


def _products(reading: Reading, lots: Sequence[ProducedLot]) -> list[str]:
    watched = {one.value.product for one in reading.find(ControlWatch) if not one.value.ended}
    return sorted(watched | {one.product for one in lots})


def _of_product(
    reading: Reading, key: str, lots: Sequence[ProducedLot], days: tuple[str, str, str]
) -> MonthOfProduct:
    first, last, day = days
    before, lots = [one for one in lots if one.taken < first], [one for one in lots if one.taken >= first]
    found = product_controlled(reading, key, day, loads_since=first, until=last)
    charts = tuple(
        month_chart(reading, one, margin, found.changes.get(one.kept.key, ()), (first, last))
        for one, margin in zip(found.seen, found.margins, strict=True)
    )
    failed = tuple(_failed(one, found.loads) for one in lots if one.outcome == "fail")
    return MonthOfProduct(
        key=key,
        name=found.product.value.name,
        grade=found.product.value.grade,
        lots=len(lots),
        lots_before=len(before),
        judged=sum(bool(one.outcome) for one in lots),
        failed=failed,
        charts=charts,
        sampling=_sampling(found.sampling, first, last),
        loads=found.loads.loads,
        loads_in_order=found.loads.in_order,
        misfits=_misfits(found.loads),
        to_do=(*_of_failures(failed), *found.to_do),
    )


def _failed(lot: ProducedLot, loads: Reconciled) -> FailedLot:
    left = {one.delivery.key for one in loads.misfits if one.delivery.lot == lot.lot}
    return FailedLot(lot=lot.lot, numbers=", ".join(lot.numbers), day=lot.taken[:10], loads=len(left))


def _of_failures(failed: Sequence[FailedLot]) -> list[str]:
    return [
        f"Lot {one.lot} failed (sample {one.numbers}): take an extra sample at once"
        + (f", and settle what happens to its {one.loads} loads." if one.loads else ".")
        for one in failed
    ]


def _misfits(loads: Reconciled) -> tuple[LoadMisfit, ...]:
    return tuple(
        LoadMisfit(
            load=one.delivery.number,
            day=one.delivery.sent[:10],
            weight=one.weight,
            said=one.said,
            action=one.action,
        )
        for one in loads.misfits
    )


def _sampling(sampled: SampledProduct | None, first: str, last: str) -> tuple[str, ...]:
    if sampled is None:
        return ()
    if sampled.state is None:
        return (f"The sampling plan cannot be used: {sampled.refusal}",)
    state = sampled.state
    changes = [
        f"After lot {one.after_lot} ({one.when[:10]}) sampling became {one.severity}: {one.reason}"
        for one in state.history
        if one.after_lot and first <= one.when[:10] <= last
    ]
    word = "stopped" if state.severity == "stop" else state.severity
    now = f"Sampling: {word} ({state.plan.title})."
    return (now, *changes, *(one.sentence for one in state.due))
