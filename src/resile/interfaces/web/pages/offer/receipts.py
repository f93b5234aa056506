"""A supplier's certificate that came with a load, checked line by line."""

from __future__ import annotations

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post
from resile.records.reading import HeldFile
from resile.workflows.laboratory.offer.receipts import check_receipt
from resile.workflows.laboratory.offer.sites_seen import site_choices


def new_receipt(visit: Visit) -> Response:
    """Show the form."""
    return visit.show("receipts/new.html.j2", choices=site_choices(), page=None, report=None)


def check(visit: Visit) -> Response:
    """Show what the certificate shows and what it does not."""
    try:
        first, own = visit.upload("certificate"), visit.uploads("own")
        report = check_receipt(
            visit.actor,
            HeldFile(first.name, first.content),
            own=HeldFile(own[0].name, own[0].content) if own else None,
            specification=visit.text("specification"),
            claim=visit.text("claim"),
            sample=visit.text("sample"),
            batch=visit.text("batch"),
            tank=visit.text("tank"),
            delivered=visit.text("delivered"),
        )
    except ResileError as error:
        return visit.again(
            "receipts/new.html.j2", spoken(error), choices=site_choices(), page=None, report=None
        )
    page = report.page(date=visit.at[:10])
    return visit.show("receipts/new.html.j2", choices=site_choices(), page=page, report=report)


routes = [get("/receipts/new", new_receipt), post("/receipts/new", check)]
