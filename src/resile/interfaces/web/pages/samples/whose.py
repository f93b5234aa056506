"""Products, tanks and customers: three lists side by side, and the page of each one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import BaseRoute

from resile.errors import ResileError
from resile.interfaces.web.sample_cells import lot_cells, sample_row_cells, statement_row_cells
from resile.interfaces.web.visit import Visit, get, post
from resile.records.register import Customer, Product, Tank
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none, revision_seen
from resile.workflows.laboratory.samples.whose import keep_named, list_named, named_sheet, products_to_choose


@dataclass(frozen=True, slots=True)
class Family:
    """One of the three.

    Attributes
    ----------
    noun : type
        Class of what is kept.
    address, title, one : str
        Address of the list, its title, what one of it is called.
    lead, beside : str
        What the list is for; title of its second column, empty for none.
    columns : tuple of str
        What is said of its samples: not what it is itself.
    typed : callable
        Reads the form.
    """

    noun: type[Any]
    address: str
    title: str
    one: str
    lead: str
    beside: str
    columns: tuple[str, ...]
    typed: Callable[[Visit], Any]


def _product(visit: Visit) -> Product:
    return Product(
        name=visit.text("name"),
        grade=visit.text("grade"),
        maker=visit.text("maker"),
        note=visit.text("note"),
    )


def _tank(visit: Visit) -> Tank:
    return Tank(
        name=visit.text("name"),
        product=visit.text("product"),
        place=visit.text("place"),
        temperature_c=hand_number_or_none(visit.text("temperature_c"), "storage temperature"),
        note=visit.text("note"),
    )


def _customer(visit: Visit) -> Customer:
    return Customer(name=visit.text("name"), contact=visit.text("contact"), note=visit.text("note"))


FAMILIES = (
    Family(
        Product,
        "/products",
        "Products",
        "product",
        "Binders made or bought under one name.",
        "Sold as",
        ("lot", "customer"),
        _product,
    ),
    Family(
        Customer,
        "/customers",
        "Customers",
        "customer",
        "Whom the laboratory tests for.",
        "",
        ("product", "lot"),
        _customer,
    ),
    Family(
        Tank,
        "/tanks",
        "Tanks",
        "tank",
        "Where products are stored.",
        "Product in it",
        ("product", "lot", "customer"),
        _tank,
    ),
)


def _pages_of(family: Family) -> list[BaseRoute]:
    def listed(visit: Visit, refusal: ResileError | None = None) -> Response:
        number, words = visit.text("page", "1"), visit.text("words")
        page = int(number) if number.isdecimal() and len(number) < 7 else 1
        found = list_named(visit.record, visit.actor, family.noun, words=words, page=page)
        here = f"{family.address}?{urlencode({'words': words})}"
        return _answer(visit, "whose/list.html.j2", refusal, family, found=found, here=here)

    def add(visit: Visit) -> Response:
        try:
            kept = keep_named(visit.record, visit.actor, visit.at, family.typed(visit))
        except ResileError as error:
            return listed(visit, error)
        return visit.go(f"{family.address}/{kept.key}", said=f"{kept.value.name} is kept.")

    def one(visit: Visit, refusal: ResileError | None = None) -> Response:
        sheet = named_sheet(visit.record, visit.actor, family.noun, visit.path("key"))
        return _answer(
            visit,
            "whose/one.html.j2",
            refusal,
            family,
            sheet=sheet,
            lot_cells=lot_cells(sheet.lots),
            sample_cells=sample_row_cells(sheet.samples, family.columns),
            statement_cells=statement_row_cells(sheet.statements),
        )

    def correct(visit: Visit) -> Response:
        key = visit.path("key")
        try:
            keep_named(
                visit.record,
                visit.actor,
                visit.at,
                family.typed(visit),
                key=key,
                seen=revision_seen(visit.text("seen")),
                reason=visit.text("reason"),
            )
        except ResileError as error:
            return one(visit, error)
        return visit.go(f"{family.address}/{key}", said="Corrected; the earlier revision is kept.")

    return [
        get(family.address, listed),
        post(family.address, add),
        get(f"{family.address}/{{key}}", one),
        post(f"{family.address}/{{key}}", correct),
    ]


def _answer(
    visit: Visit, template: str, refusal: ResileError | None, family: Family, **values: Any
) -> Response:
    values |= {"family": family, "families": FAMILIES}
    if family.noun is Tank:
        values["products"] = products_to_choose(visit.record, visit.actor)
    return visit.show(template, **values) if refusal is None else visit.again(template, refusal, **values)


routes = [route for family in FAMILIES for route in _pages_of(family)]
