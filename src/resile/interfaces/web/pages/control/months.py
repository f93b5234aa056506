"""What a month brought: on a page, on paper, and for programs."""

from __future__ import annotations

from datetime import date, timedelta

from starlette.responses import RedirectResponse, Response

from resile.interfaces.web.given_out import given_table
from resile.interfaces.web.visit import Visit, get
from resile.workflows.laboratory.control.exports import month_table
from resile.workflows.laboratory.control.month import days_of, month_report


def months(visit: Visit) -> Response:
    """Lead to the month that was chosen, or to this one."""
    return RedirectResponse(f"/control/month/{(visit.text('month') or visit.at)[:7]}", status_code=303)


def month(visit: Visit) -> Response:
    """Show what a month brought."""
    asked = visit.path("month")
    found = month_report(visit.record, visit.actor, asked, visit.at)
    first, last = (date.fromisoformat(day) for day in days_of(asked))
    return visit.show(
        "control/month.html.j2",
        month=asked,
        found=found.report,
        page=found.page(date=visit.at[:10]),
        before=(first - timedelta(days=1)).isoformat()[:7] if first > date.min else "",
        after=(last + timedelta(days=1)).isoformat()[:7] if last.isoformat() < visit.at[:10] else "",
    )


def month_pdf(visit: Visit) -> Response:
    """Give what a month brought on paper."""
    asked = visit.path("month")
    pdf = month_report(visit.record, visit.actor, asked, visit.at).to_pdf(date=visit.at[:10])
    headers = {"content-disposition": f'inline; filename="production-{asked}.pdf"'}
    return Response(pdf, media_type="application/pdf", headers=headers)


def month_file(visit: Visit) -> Response:
    """Give everything that happened in a month as a list."""
    asked = visit.path("month")
    found = month_report(visit.record, visit.actor, asked, visit.at)
    return given_table(visit, month_table(found.report), f"production-{asked}")


routes = [
    get("/control/month", months),
    get("/control/month/{month}.pdf", month_pdf),
    get("/control/month/{month}.{form}", month_file),
    get("/control/month/{month}", month),
]
